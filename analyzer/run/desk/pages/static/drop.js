/* recordings dropped or chosen: sent two at a time with their progress, then what was read of each; nothing else leaves */
const form = document.querySelector("[data-drop]"), arrivals = document.querySelector("[data-arrivals]");
const AT_ONCE = 2, POLL_MS = 350;
const waiting = [];
let sending = 0;

document.documentElement.classList.add("scripted");
form.querySelector('input[name="file"]').addEventListener("change", event => { take(Array.from(event.target.files)); event.target.value = ""; });
form.querySelector("[data-folder]").addEventListener("change", event => { take(Array.from(event.target.files)); event.target.value = ""; });
form.addEventListener("submit", event => event.preventDefault());

let inside = 0;
["dragenter", "dragover", "dragleave", "drop"].forEach(kind => document.addEventListener(kind, event => {
  if (!event.dataTransfer || !Array.from(event.dataTransfer.types).includes("Files")) { return; }
  event.preventDefault();
  inside += kind === "dragenter" ? 1 : kind === "dragleave" ? -1 : 0;
  form.classList.toggle("over", kind !== "drop" && inside > 0);
  if (kind === "drop") { inside = 0; dropped(event.dataTransfer); }
}));
async function dropped(data) {
  const entries = Array.from(data.items || []).map(item => item.webkitGetAsEntry && item.webkitGetAsEntry()).filter(Boolean);
  if (!entries.length) { take(Array.from(data.files)); return; }
  for (const entry of entries) { take(await filesOf(entry)); }
}
async function filesOf(entry) {
  if (entry.isFile) { return new Promise(done => entry.file(file => done([file]), () => done([]))); }
  const reader = entry.createReader(), found = [];
  for (;;) {
    const some = await new Promise(done => reader.readEntries(done, () => done([])));
    if (!some.length) { return found; }
    for (const one of some) { found.push(...await filesOf(one)); }
  }
}
function take(files) {
  files.filter(file => !file.name.startsWith(".")).forEach(file => {
    const place = document.createElement("article");
    place.className = "arrival paper";
    place.innerHTML = "<p class='arrival-name'></p><progress max='1' value='0'></progress><p class='arrival-words quiet'>waits</p>";
    place.querySelector(".arrival-name").textContent = file.name;
    place.querySelector("progress").setAttribute("aria-label", file.name);
    arrivals.prepend(place);
    waiting.push([file, place]);
  });
  next();
}
function next() {
  while (sending < AT_ONCE && waiting.length) { send(...waiting.shift()); }
}
function tell(place, words, bad) {
  const said = place.querySelector(".arrival-words");
  said.textContent = words;
  said.classList.toggle("bad-words", Boolean(bad));
}
function send(file, place) {
  const request = new XMLHttpRequest(), bar = place.querySelector("progress"), body = new FormData();
  sending += 1;
  body.append("desk_form", form.elements.desk_form.value);
  body.append("file", file, file.name);
  request.open("POST", form.action);
  request.setRequestHeader("Accept", "application/json");
  request.upload.addEventListener("progress", event => {
    if (event.lengthComputable) { bar.value = event.loaded / event.total; tell(place, Math.round(100 * bar.value) + " % sent"); }
  });
  request.addEventListener("loadend", () => {
    sending -= 1;
    next();
    let answer = {};
    try { answer = JSON.parse(request.responseText); } catch { /* told below */ }
    const one = (answer.received || [])[0], bad = (answer.refused || [])[0];
    if (one) { bar.removeAttribute("value"); follow(one, place); return; }
    bar.remove();
    tell(place, bad ? bad.error : answer.error || "The desk doesn't answer: start it again and drop this recording once more.", true);
  });
  request.send(body);
}
async function follow(one, place) {
  tell(place, one.known ? "here already; its lesson:" : "kept; being read");
  for (;;) {
    const answer = await fetch("/work?lesson=" + one.lesson, { headers: { Accept: "application/json" } }).then(got => got.json()).catch(() => null);
    if (!answer) { tell(place, "Kept. The desk doesn't answer now; the lesson is in the list when it runs again."); return; }
    const state = answer.lessons[one.lesson];
    if (state && !state.waiting) { break; }
    const before = answer.waiting.indexOf(one.lesson);
    tell(place, before > 0 ? "kept; " + before + " before it" : "kept; being read");
    await new Promise(done => setTimeout(done, POLL_MS));
  }
  const card = await fetch("/lessons/" + one.lesson + "/card").then(got => got.ok ? got.text() : "").catch(() => "");
  if (card) { place.innerHTML = card; }
}
window.addEventListener("beforeunload", event => { if (sending || waiting.length) { event.preventDefault(); } });
