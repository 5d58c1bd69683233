/* one cursor for plan, strips, needle and readings of a reversal; the keys move the reversal in view */
const reduced = window.matchMedia("(prefers-reduced-motion: reduce)");
let dock = null;

class Attempt {
  constructor(section, flight, index) {
    this.section = section;
    this.flight = flight;
    this.index = index;
    this.cursor = flight.cursor;
    Object.keys(flight.steps).forEach(name => { this.cursor[name] = summed(flight.steps[name]); });
    ["low", "high"].forEach(name => { this.cursor[name] = this.cursor[name].map(value => scaled(value, 100)); });
    this.last = Math.max(1, this.cursor.x.length) - 1;
    this.time = this.cursor.open_at === undefined ? this.cursor.t0 : this.cursor.open_at;
    this.playing = false;
    this.plan = new Plan(this);
    this.strips = new Strips(this);
    this.listen();
  }
  end() { return this.cursor.t0 + this.last * this.cursor.step; }
  phaseAt(time) {
    let found = null;
    this.cursor.phases.forEach(phase => { if (time >= phase[3]) { found = phase; } });
    return found;
  }
  /* at the moment of a finding the altitude that it was judged by: the line goes through what was recorded */
  altitudeAt(at) {
    const judged = this.cursor.judged.find(each => Math.abs(each[0] - this.time) < 0.06);
    return judged ? judged[1] : between(this.cursor.altitude, at);
  }
  marginAt(at) {
    const margin = between(this.cursor.margin_plot, at), altitude = this.altitudeAt(at), recorded = between(this.cursor.altitude, at);
    if (margin === null || altitude === null || altitude === recorded) { return margin; }
    const low = nearest(this.cursor.low, at), high = nearest(this.cursor.high, at);
    const above = low === null || (high !== null && altitude - low > high - altitude);
    return margin + (above ? recorded - altitude : altitude - recorded);
  }
  move(time, follow) {
    const c = this.cursor;
    this.time = held(time, c.t0, this.end());
    const at = (this.time - c.t0) / c.step;
    const values = {
      altitude: this.altitudeAt(at),
      along: scaled(between(c.along, at), 1000),
      deflection: scaled(between(c.deflection, at), 1000),
      margin_plot: this.marginAt(at),
      track: scaled(nearest(c.track, at), 10),
      track_plot: scaled(nearest(c.track_plot, at), 10),
      rate: scaled(between(c.rate, at), 100),
      speed: scaled(between(c.speed, at), 10),
    };
    this.plan.move(at, this.time, follow);
    this.strips.move(this.time, values);
    if (dock && dock.attempt === this) { dock.show(this, at, values); tellMoment(this); }
  }
  pin(time) {
    setActive(this);
    dock.play(false);
    this.move(time, "near");
  }
  jump(time, from) {
    setActive(this);
    dock.play(false);
    this.move(time, "jump");
    if (from.dataset.finding !== undefined) { tellFinding(this, Number(from.dataset.finding)); }
    if (!from.closest("svg.plan, .dock")) { this.bringIn(); }
  }
  bringIn() {
    const box = this.plan.box.getBoundingClientRect();
    if (box.bottom < 80 || box.top > window.innerHeight - 160) {
      this.plan.box.scrollIntoView({ block: "center", behavior: reduced.matches ? "auto" : "smooth" });
    }
  }
  listen() {
    const section = this.section, plan = this.plan;
    section.addEventListener("click", event => {
      const jump = event.target.closest("[data-jump]"), button = event.target.closest("[data-view]");
      const chip = event.target.closest("[data-put-right]");
      setActive(this);
      if (jump) { this.jump(Number(jump.dataset.jump), jump); }
      const save = event.target.closest("[data-save]");
      if (save && (save.dataset.save === "svg" || save.dataset.save === "png")) { savePlan(plan, save.dataset.save); }
      if (save && (save.dataset.save === "geojson" || save.dataset.save === "kml")) { saveFlight(this, save.dataset.save); }
      if (chip) { plan.choose(Number(chip.dataset.putRight)); }
      if (!button) { return; }
      const name = button.dataset.view;
      if (name === "whole") { plan.fit(WHOLE, name); }
      if (name === "close") { plan.fit(plan.flight.close, name); }
      if (name === "in") { plan.zoom(0.6); }
      if (name === "out") { plan.zoom(1 / 0.6); }
    });
    section.querySelectorAll("[data-layer]").forEach(box => {
      const name = box.dataset.layer === "full-scale" ? ".full-scale-lines" : ".layer-" + box.dataset.layer;
      const apply = () => section.querySelectorAll(name).forEach(layer => layer.classList.toggle("off", !box.checked));
      box.addEventListener("change", apply);
      apply();
    });
  }
}
function setActive(attempt) { if (dock) { dock.serve(attempt); } }
/* the reversal that holds the middle of the window is the one that the dock and the keys move */
function watchView(attempts) {
  if (attempts.length < 2) { return; }
  let waiting = false;
  window.addEventListener("scroll", () => {
    if (waiting) { return; }
    waiting = true;
    window.requestAnimationFrame(() => {
      waiting = false;
      const middle = window.innerHeight / 2;
      const seen = attempts.find(one => { const box = one.section.getBoundingClientRect(); return box.top <= middle && box.bottom > middle; });
      if (seen && !dock.attempt.playing) { dock.serve(seen); }
    });
  }, { passive: true });
}
function listenToKeys() {
  document.addEventListener("keydown", event => {
    const tag = event.target.tagName, step = event.shiftKey ? 10 : 1, attempt = dock.attempt;
    if (event.ctrlKey || event.altKey || event.metaKey) { return; }
    const jump = event.target.closest('[role="button"][data-jump]');
    if (jump && (event.key === "Enter" || event.key === " ")) {
      const owner = attempts.find(one => one.section.contains(jump)) || attempt;
      owner.jump(Number(jump.dataset.jump), jump);
      event.preventDefault();
      return;
    }
    if (tag === "INPUT" || tag === "SELECT" || tag === "TEXTAREA" || event.target.closest(".table-box")) { return; }
    if (event.key === "ArrowRight") { attempt.pin(attempt.time + step); event.preventDefault(); }
    if (event.key === "ArrowLeft") { attempt.pin(attempt.time - step); event.preventDefault(); }
    if (event.key === " " && tag !== "BUTTON" && tag !== "A" && tag !== "SUMMARY") { dock.play(!attempt.playing); event.preventDefault(); }
  });
}
document.documentElement.classList.add("live");
const flights = JSON.parse(document.getElementById("flight-data").textContent);
const attempts = Array.from(document.querySelectorAll("[data-attempt]")).map((section, index) => new Attempt(section, flights[index], index));
dock = new Dock(document.querySelector(".dock"), attempts);
attempts.forEach(one => one.move(one.time));
dock.serve(attempts[0]);
watchView(attempts);
listenToKeys();
listenToFrame(attempts);
