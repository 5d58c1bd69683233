/* asks how the work is coming on, and goes on when it is done */
const place = document.querySelector("[data-wait]"), lesson = place.dataset.wait;
async function look() {
  try {
    const answer = await (await fetch("/work?lesson=" + lesson, { headers: { Accept: "application/json" } })).json();
    if (!answer.lessons[lesson].waiting) { window.location.reload(); return; }
    const before = answer.waiting.indexOf(Number(lesson));
    if (before > 0) { place.textContent = before + " before it. The page goes on by itself."; }
  } catch { place.textContent = "The desk doesn't answer. Start it again: nothing is lost."; }
  setTimeout(look, 300);
}
look();
