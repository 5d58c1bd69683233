/* how the plan view is moved: hover shows a ghost, a click or tap pins, drag, wheel, pinch and keys move and zoom */
const NEAR_PX = 26, SAME_PX = 12, PER_SECOND_PX = 0.02, TAP_PX = 7;

function drawingPlace(plan, event) {
  const box = plan.svg.getBoundingClientRect();
  return [plan.map.left + (event.clientX - box.left - 1) * plan.unit, plan.map.top + (event.clientY - box.top - 1) * plan.unit];
}
/* the moment whose place is nearest; where legs overlap, the one nearest to the present time */
function momentAt(plan, place) {
  const f = plan.flight, c = plan.cursor, now = plan.attempt.time;
  const east = (place[0] - f.x0) / f.k * 1000, north = (f.y0 - place[1]) / f.k * 1000, px = f.k / plan.unit / 1000;
  let least = NEAR_PX, best = -1, cost = Infinity;
  const far = c.x.map((x, i) => (x === null || c.y[i] === null ? Infinity : Math.hypot(x - east, c.y[i] - north) * px));
  far.forEach(distance => { if (distance < least) { least = distance; } });
  far.forEach((distance, i) => {
    if (distance > Math.min(NEAR_PX, least + SAME_PX)) { return; }
    const own = distance + PER_SECOND_PX * Math.abs(c.t0 + i * c.step - now);
    if (own < cost) { cost = own; best = i; }
  });
  return best < 0 ? null : c.t0 + best * c.step;
}
function hover(plan, event) {
  const time = event.target.closest(".inset, .label[data-jump]") ? null : momentAt(plan, drawingPlace(plan, event));
  plan.ghost.classList.toggle("away", time === null);
  plan.tip.hidden = time === null;
  plan.attempt.strips.ghost(time);
  if (time === null) { return; }
  const c = plan.cursor, at = (time - c.t0) / c.step, place = plan.place(c.x[Math.round(at)] / 1000, c.y[Math.round(at)] / 1000);
  plan.ghost.setAttribute("transform", "translate(" + place[0].toFixed(1) + " " + place[1].toFixed(1) + ")");
  const altitude = between(c.altitude, at), phase = plan.attempt.phaseAt(time);
  say(plan.tip, clock(time) + (phase ? " · " + phase[2] : "") + (altitude === null ? "" : " · " + grouped(Math.round(altitude / 10) * 10) + " ft"));
}
function listenToPlan(plan) {
  const pointers = new Map();
  let moved = 0, gap = 0, rested = 0, scrolled = 0;
  const box = plan.box, svg = plan.svg;
  window.addEventListener("scroll", () => { scrolled = performance.now(); }, { passive: true });
  svg.addEventListener("pointerdown", event => {
    if (event.button) { return; }
    pointers.set(event.pointerId, [event.clientX, event.clientY]);
    moved = pointers.size > 1 ? TAP_PX : 0;
    gap = 0;
    setActive(plan.attempt);
  });
  svg.addEventListener("pointermove", event => {
    const before = pointers.get(event.pointerId);
    rested = performance.now();
    if (!before) { if (event.pointerType !== "touch" && !plan.attempt.playing) { hover(plan, event); } return; }
    const dx = event.clientX - before[0], dy = event.clientY - before[1];
    if (pointers.size === 1 && moved + Math.hypot(dx, dy) < TAP_PX) { return; }
    if (!svg.hasPointerCapture(event.pointerId)) { svg.setPointerCapture(event.pointerId); }
    moved = TAP_PX;
    pointers.set(event.pointerId, [event.clientX, event.clientY]);
    plan.pan(dx / pointers.size, dy / pointers.size);
    if (pointers.size === 2) { pinch(event); }
  });
  function pinch(event) {
    const [a, b] = Array.from(pointers.values());
    const now = Math.hypot(a[0] - b[0], a[1] - b[1]);
    if (gap > 10 && now > 10) {
      plan.zoom(gap / now, drawingPlace(plan, { clientX: (a[0] + b[0]) / 2, clientY: (a[1] + b[1]) / 2 }));
    }
    gap = now;
    event.preventDefault();
  }
  function lifted(event) {
    const known = pointers.delete(event.pointerId);
    if (!known || event.type === "pointercancel" || moved >= TAP_PX) { return; }
    if (event.target.closest("[data-jump], [data-view]")) { return; }
    const time = momentAt(plan, drawingPlace(plan, event));
    if (time !== null) { plan.attempt.pin(time); }
  }
  svg.addEventListener("pointerup", lifted);
  svg.addEventListener("pointercancel", lifted);
  svg.addEventListener("pointerleave", () => { plan.ghost.classList.add("away"); plan.tip.hidden = true; plan.attempt.strips.ghost(null); });
  /* a drag must not end as a click on what lies under the pointer */
  svg.addEventListener("click", event => { if (moved >= TAP_PX) { event.stopPropagation(); moved = 0; } }, true);
  svg.addEventListener("wheel", event => {
    const scrolling = performance.now() - scrolled < 300 && rested < scrolled; // the page is being scrolled past the plan
    const widest = event.deltaY > 0 && plan.unit * plan.width >= 1590;
    if ((scrolling || widest) && !event.ctrlKey) { return; }
    event.preventDefault();
    plan.zoom(Math.exp(held(event.deltaY, -60, 60) * 0.006), drawingPlace(plan, event));
  }, { passive: false });
  box.addEventListener("keydown", event => {
    if (event.target !== box || event.ctrlKey || event.altKey || event.metaKey) { return; }
    const step = 60, pans = { ArrowLeft: [step, 0], ArrowRight: [-step, 0], ArrowUp: [0, step], ArrowDown: [0, -step] };
    if (pans[event.key]) { plan.pan(pans[event.key][0], pans[event.key][1]); }
    else if (event.key === "+" || event.key === "=") { plan.zoom(0.7, plan.middle); }
    else if (event.key === "-") { plan.zoom(1 / 0.7, plan.middle); }
    else if (event.key === "Home") { plan.fit(plan.flight.close, "close"); }
    else if (event.key === "End") { plan.fit(WHOLE, "whole"); }
    else { return; }
    event.preventDefault();
    event.stopPropagation();
  });
}
