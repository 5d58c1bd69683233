/* the chart form while it is filled in: the drawing, the file and the words at the fields follow each change */
const form = document.querySelector("form[data-live]");
const drawing = document.querySelector("[data-drawing]"), words = document.querySelector("[data-drawing-words]");
const toml = document.querySelector("[data-toml]"), needed = document.querySelector("[data-needed]");
const IDLE_MS = 700;
let running = false, changed = false, last = null, idle = 0;
const left = new Set(Array.from(form.querySelectorAll(".wrong")).map(one => one.dataset.key));

async function ask(areas) {
  const body = new URLSearchParams();
  new FormData(form).forEach((value, name) => { if (typeof value === "string") { body.append(name, value); } });
  body.set("areas", areas ? "yes" : "no");
  const answer = await fetch(form.dataset.live, { method: "POST", body, headers: { Accept: "application/json" } });
  if (!answer.ok) { throw new Error(String(answer.status)); }
  return answer.json();
}
function show(answer) {
  last = answer;
  if (answer.drawing) {
    drawing.innerHTML = answer.drawing;
    words.textContent = answer.words;
  } else {
    const said = document.createElement("p");
    said.className = "words-in";
    said.textContent = answer.words;
    drawing.replaceChildren(said);
    words.textContent = "";
  }
  toml.textContent = answer.toml;
  const count = answer.needed.length;
  needed.textContent = count ? "Still needed: " + answer.needed.slice(0, 3).join(", ") + (count > 3 ? " and " + (count - 3) + " more" : "") : answer.elsewhere.concat(answer.doubts).join(" ");
  tellWrong(false);
  form.dataset.drawn = String(Number(form.dataset.drawn || 0) + 1);
}
/* a box that is being typed into is told of when the keys rest */
function tellWrong(resting) {
  const active = document.activeElement;
  form.querySelectorAll("[data-key]").forEach(place => {
    const key = place.dataset.key, bad = last.wrong[key] || "";
    const busy = place.contains(active) && !resting && !place.classList.contains("wrong");
    const told = bad && left.has(key) && !busy ? bad : "";
    const said = place.querySelector(".words"), box = place.querySelector("input, select");
    place.classList.toggle("wrong", Boolean(told));
    const shown = told || said.dataset.hint || "";
    if (said.textContent !== shown) { said.textContent = shown; }
    if (told) { box.setAttribute("aria-invalid", "true"); } else { box.removeAttribute("aria-invalid"); }
  });
}
async function follow() {
  changed = true;
  if (running) { return; }
  running = true;
  try {
    while (changed) {
      changed = false;
      let answer = await ask(false);
      show(answer);
      if (answer.waits && !changed) {
        answer = await ask(true);
        if (!changed) { show(answer); }
      }
    }
  } catch (error) {
    words.textContent = "The desk doesn't answer: what is typed stays here; start the desk again and go on.";
  } finally {
    running = false;
  }
}
form.addEventListener("input", event => {
  const place = event.target.closest("[data-key]");
  if (place) { left.add(place.dataset.key); }
  clearTimeout(idle);
  idle = setTimeout(() => { if (last) { tellWrong(true); } }, IDLE_MS);
  follow();
});
/* a form half filled in is not left by a slip */
let leaving = false;
form.addEventListener("submit", event => { leaving = !(event.submitter && event.submitter.formAction.endsWith("/charts/file")); });
window.addEventListener("beforeunload", event => { if (left.size && !leaving) { event.preventDefault(); } });
form.addEventListener("focusout", () => { if (last) { setTimeout(() => tellWrong(false), 0); } });
document.querySelectorAll(".no-script").forEach(one => { one.hidden = true; });
follow();
