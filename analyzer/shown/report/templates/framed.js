/* shown inside a page around it: tells that page the moment and the finding chosen, and goes where it asks; nothing else */
const FRAMED = window.parent !== window;
let toldSecond = null;

function tell(words) {
  if (FRAMED) { window.parent.postMessage(words, "*"); }
}
function tellMoment(attempt) {
  const second = Math.round(attempt.time), key = attempt.index + ":" + second;
  if (key === toldSecond) { return; }
  toldSecond = key;
  tell({ kind: "moment", reversal: attempt.flight.number, seconds: second });
}
/* `index` is the place of the finding in the list of its reversal in the result file */
function tellFinding(attempt, index) {
  const finding = attempt.flight.findings[index];
  tell({ kind: "finding", reversal: attempt.flight.number, index, code: finding[0], seconds: finding[1] });
}
function listenToFrame(attempts) {
  if (!FRAMED) { return; }
  window.addEventListener("message", event => {
    const asked = event.data;
    if (event.source !== window.parent || !asked || asked.kind !== "go-to" || !Number.isFinite(asked.seconds)) { return; }
    const holds = one => asked.seconds >= one.cursor.t0 && asked.seconds <= one.end();
    const named = attempts.find(one => one.flight.number === asked.reversal);
    const attempt = named || attempts.find(holds) || dock.attempt;
    setActive(attempt);
    dock.play(false);
    attempt.move(asked.seconds, "jump");
    attempt.bringIn();
  });
}
