/* the time bar at the foot of the window: readings, needle, play; it serves the reversal in view */
const NEEDLE_HALF = 74;

class Dock {
  constructor(place, attempts) {
    this.place = place;
    this.attempts = attempts;
    this.slider = place.querySelector(".slider");
    this.button = place.querySelector(".play");
    this.pace = place.querySelector(".pace select");
    this.box = place.querySelector(".needle:not(.pointer-dial)");
    this.hand = this.box.querySelector(".needle-hand");
    this.dial = place.querySelector(".needle-box .pointer-dial");
    this.read = {};
    place.querySelectorAll("[data-read]").forEach(reading => { this.read[reading.dataset.read] = reading; });
    this.slider.addEventListener("input", () => this.attempt.pin(Number(this.slider.value)));
    this.button.addEventListener("click", () => this.play(!this.attempt.playing));
    place.addEventListener("click", event => {
      const jump = event.target.closest("[data-jump]");
      if (jump) { this.attempt.jump(Number(jump.dataset.jump), jump); }
    });
    new ResizeObserver(() => this.settle()).observe(place);
  }
  settle() {
    this.place.querySelectorAll(".time-bar").forEach(settleWords);
    this.place.querySelectorAll(".strip-signs").forEach(settleSigns);
    document.documentElement.style.setProperty("--dock-height", this.place.offsetHeight + "px");
  }
  serve(attempt) {
    if (this.attempt === attempt) { return; }
    if (this.attempt) { this.play(false); }
    this.attempt = attempt;
    this.place.querySelectorAll("[data-bar]").forEach(bar => { bar.hidden = Number(bar.dataset.bar) !== attempt.index; });
    this.slider.min = Math.ceil(attempt.cursor.t0);
    this.slider.max = Math.max(Math.ceil(attempt.cursor.t0) + 1, Math.floor(attempt.end()));
    this.slider.setAttribute("aria-label", "Time in the flight" + (this.attempts.length > 1 ? ", reversal " + (attempt.index + 1) : ""));
    if (this.dial) {
      this.dial.toggleAttribute("hidden", !attempt.cursor.full_deg);
      this.box.toggleAttribute("hidden", Boolean(attempt.cursor.full_deg));
    }
    if (this.served) { this.settle(); }
    this.served = true;
    attempt.move(attempt.time);
  }
  play(on) {
    const attempt = this.attempt;
    let before = null;
    attempt.playing = on;
    this.button.classList.toggle("playing", on);
    this.button.setAttribute("aria-label", on ? "Pause" : "Play");
    if (!on) { return; }
    if (attempt.time >= attempt.end() - 0.5) { attempt.move(attempt.cursor.t0, "jump"); } else { attempt.move(attempt.time, "jump"); }
    const frame = now => {
      if (!attempt.playing) { return; }
      if (before !== null) { attempt.move(attempt.time + (now - before) / 1000 * Number(this.pace.value), "play"); }
      before = now;
      if (attempt.time >= attempt.end()) { this.play(false); return; }
      window.requestAnimationFrame(frame);
    };
    window.requestAnimationFrame(frame);
  }
  show(attempt, at, values) {
    const c = attempt.cursor, read = this.read, time = attempt.time, phase = attempt.phaseAt(time);
    say(read.time, clock(time));
    say(read.utc, timeOfDay(c.utc, time) || "time");
    const inside = c.segments.find(each => each[0] === "inbound" && time >= each[1] && time <= each[2]);
    const early = phase && inside && phase[1] !== "inbound" && phase[1] !== "final" ? ", established" : "";
    say(read.phase, phase ? phase[0] + "  " + phase[2] + early : "–");
    say(read.altitude, values.altitude === null ? "–" : grouped(Math.round(values.altitude / 10) * 10) + " ft");
    const limit = limitWords(c, at, values.altitude), segment = c.segments.find(each => time >= each[1] && time <= each[2]);
    say(read.limit, limit.words);
    say(read.segment, segment && limit.there ? "against " + segment[0] + " limit" : "against limit");
    read.limit.classList.toggle("beyond", limit.beyond);
    const margin = nearest(c.margin, at);
    say(read.margin, margin === null ? "–" : Math.abs(margin / 100).toFixed(2) + " NM " + (margin < 0 ? "outside" : "inside"));
    read.margin.classList.toggle("beyond", margin !== null && margin < 0);
    say(read.distance, (between(c.distance, at) / 100).toFixed(1) + " NM");
    say(read.track, String(Math.round(values.track) % 360 || 360).padStart(3, "0") + "°");
    const rate = values.rate || 0;
    say(read.rate, Math.abs(rate) < 0.3 ? "level" : Math.abs(rate).toFixed(1) + "°/s " + (rate > 0 ? "right" : "left"));
    say(read.speed, Math.round(values.speed) + " kt");
    const needle = c.full_deg && this.dial ? this.bearing(c, at, values.deflection) : this.needle(values.deflection);
    if (this.slider.value !== String(Math.round(time))) { this.slider.value = Math.round(time); }
    const altitude = values.altitude === null ? "" : Math.round(values.altitude) + " feet, " + limit.words + ", ";
    this.slider.setAttribute("aria-valuetext", clock(time).slice(1) + " into the flight, " + (phase ? phase[2] + ", " : "") + altitude + needle);
  }
  /* a beacon: the pointer as it stands before the pilot, and how far off the inbound bearing the flight is */
  bearing(c, at, deflection) {
    const pointer = nearest(c.pointer, at), off = deflection === null ? null : Math.round(Math.abs(deflection) * c.full_deg);
    this.dial.classList.toggle("in-cone", pointer === null);
    if (pointer !== null) { this.dial.querySelector(".needle-hand").setAttribute("transform", "rotate(" + pointer + ")"); }
    const words = off === null ? "over the station" : off === 0 ? "on the bearing" : off + "°, bearing to the " + (deflection > 0 ? "left" : "right");
    say(this.read.needle, words);
    return words;
  }
  needle(deflection) {
    const none = deflection === null;
    this.box.classList.toggle("in-cone", none);
    if (none) { say(this.read.needle, "over the station"); return "no needle"; }
    this.hand.setAttribute("transform", "translate(" + (held(-deflection, -1.06, 1.06) * NEEDLE_HALF).toFixed(1) + " 0)");
    const share = Math.round(Math.abs(deflection) * 100), side = "course to the " + (deflection > 0 ? "left" : "right");
    const words = share < 3 ? "on course" : share > 100 ? "full scale, " + side : share + " %, " + side;
    say(this.read.needle, words);
    return "needle " + words;
  }
}
/* the altitude against what is judged at this moment; what isn't judged, as the landing, has no limit */
function limitWords(c, at, altitude) {
  const low = nearest(c.low, at), high = nearest(c.high, at);
  if (altitude === null) { return { words: "no altitude", beyond: false, there: false }; }
  if (low === null && high === null) {
    const last = c.segments[c.segments.length - 1], time = c.t0 + at * c.step;
    return { words: last && last[0] === "final" && time > last[2] ? "landing" : "no limit", beyond: false, there: false };
  }
  if (low !== null && low === high) {
    const off = Math.round(altitude - low);
    return { words: Math.abs(off) + " ft " + (off < 0 ? "low" : "high"), beyond: Math.abs(off) > 100, there: true };
  }
  if (low !== null && altitude < low) { return { words: Math.round(low - altitude) + " ft below", beyond: true, there: true }; }
  if (high !== null && altitude > high) { return { words: Math.round(altitude - high) + " ft above", beyond: true, there: true }; }
  const spare = Math.min(low === null ? Infinity : altitude - low, high === null ? Infinity : high - altitude);
  return { words: grouped(Math.round(spare)) + " ft inside", beyond: false, there: true };
}
