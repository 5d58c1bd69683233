/* the margin and the report in its frame: each tells the other the moment and the finding; what is said is kept without leaving the page */
const together = document.querySelector("[data-lesson]"), frame = document.querySelector(".report-frame");
document.documentElement.classList.add("scripted");
let moment = null;

function two(value) { return String(value).padStart(2, "0"); }
function clock(seconds) {
  const whole = Math.max(0, Math.round(seconds)), hours = Math.floor(whole / 3600);
  return "+" + (hours ? hours + ":" : "") + two(Math.floor(whole / 60) % 60) + ":" + two(whole % 60);
}
function margin() { return document.querySelector(".margin"); }
window.addEventListener("message", event => {
  const told = event.data;
  if (!frame || event.source !== frame.contentWindow || !told || typeof told !== "object") { return; }
  if (told.kind === "moment" && Number.isFinite(told.seconds)) {
    moment = told.seconds;
    margin().querySelectorAll("[data-cursor]").forEach(one => { one.textContent = clock(moment); });
  }
  if (told.kind === "finding" && Number.isInteger(told.index)) {
    const place = margin().querySelector(`[data-reversal="${Number(told.reversal)}"][data-index="${told.index}"] details`);
    if (!place) { return; }
    margin().querySelectorAll(".margin-findings details[open]").forEach(one => { if (one !== place) { one.open = false; } });
    place.open = true;
    place.scrollIntoView({ block: "nearest" });
  }
});
function goTo(seconds, reversal) {
  if (!frame) { return; }
  frame.contentWindow.postMessage({ kind: "go-to", reversal: reversal === undefined ? null : Number(reversal), seconds: Number(seconds) }, "*");
}
together.addEventListener("click", event => {
  const go = event.target.closest("[data-go]"), take = event.target.closest("[data-take]");
  if (go) {
    goTo(go.dataset.go, go.dataset.reversal);
    if (frame && window.innerWidth < 1080) { frame.scrollIntoView({ block: "start" }); }
  }
  if (take && moment !== null) { document.querySelector("#at").value = clock(moment); }
});
together.addEventListener("toggle", event => {
  const line = event.target.closest("li[data-index]");
  if (line && event.target.open && window.innerWidth >= 1080) {  // on a phone the report would come into view and the finding leave it
    const go = line.querySelector("[data-go]");
    if (go && document.activeElement && line.contains(document.activeElement)) { goTo(go.dataset.go, go.dataset.reversal); }
  }
}, true);
function refuse(form, words) {
  let said = form.querySelector(".said-wrong");
  if (!said) {
    said = document.createElement("p");
    said.className = "said-wrong small";
    said.setAttribute("role", "alert");
    form.prepend(said);
  }
  said.textContent = words;
}
document.addEventListener("submit", async event => {
  const form = event.target.closest(".margin form");
  if (!form || "plain" in form.dataset) { return; }
  event.preventDefault();
  const pressed = event.submitter, author = form.querySelector("[name=author]");
  if (form.matches("[data-margin]") && !(pressed && pressed.value)) { return; }
  const needs = pressed && pressed.dataset.needs ? document.getElementById(pressed.dataset.needs) : null;
  if (author && !author.value.trim()) { author.focus(); refuse(form, "Say who speaks: your name first."); return; }
  if (needs && !needs.value.trim()) { needs.focus(); refuse(needs.closest("details") || form, "A word on why is needed here."); return; }
  const body = new FormData(form);
  if (pressed && pressed.name) { body.set(pressed.name, pressed.value); }
  const open = Array.from(margin().querySelectorAll("details[open]")).map(one => one.id).filter(Boolean), at = margin().scrollTop;
  try {
    const answer = await fetch(form.action, { method: "POST", body: new URLSearchParams(body) });
    const page = new DOMParser().parseFromString(await answer.text(), "text/html"), fresh = page.querySelector(".margin");
    if (!answer.ok || !fresh) { refuse(form, (page.querySelector("main .notice") || page.body).textContent.trim()); return; }
    margin().replaceWith(fresh);
    open.forEach(id => { const one = document.getElementById(id); if (one) { one.open = true; } });
    fresh.scrollTop = at;
    fresh.dataset.kept = String(Date.now());
    if (moment !== null) { fresh.querySelectorAll("[data-cursor]").forEach(one => { one.textContent = clock(moment); }); }
    fresh.focus({ preventScroll: true });
  } catch {
    refuse(form, "The desk doesn't answer: this was not kept. Start the desk again, then press once more.");
  }
});
