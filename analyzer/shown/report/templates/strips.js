/* the strips: one cursor through all of them, a value beside each */
const WORDS = {
  altitude: v => grouped(Math.round(v.altitude / 10) * 10),
  margin: v => grouped(Math.round(v.margin_plot)).replace("-", "−"),
  needle: (v, c) => c.full_deg ? Math.round(Math.abs(v.deflection) * c.full_deg) + "° " + (v.deflection > 0 ? "R" : "L")
    : (Math.abs(v.deflection) > 1 ? "full " : Math.round(Math.abs(v.deflection) * 100) + " % ") + (v.deflection > 0 ? "R" : "L"),
  track: v => String(Math.round(v.track) % 360 || 360).padStart(3, "0") + "°",
  rate: v => Math.abs(v.rate).toFixed(1) + (Math.abs(v.rate) < 0.05 ? "" : v.rate > 0 ? " R" : " L"),
  speed: v => String(Math.round(v.speed)),
};
const NAMES = { altitude: "altitude", margin: "margin_plot", needle: "deflection", track: "track", rate: "rate", speed: "speed" };

class Strips {
  constructor(attempt) {
    this.attempt = attempt;
    const section = attempt.section;
    this.strips = attempt.flight.plots.map(plot => {
      const svg = section.querySelector(".strip-" + plot.key + " .strip-plot"), hair = svg.querySelector(".hair");
      return {
        plot, svg, hair,
        line: hair && hair.querySelector(".hair-line"), dot: hair && hair.querySelector(".hair-dot"),
        ghost: hair && hair.querySelector(".ghost-line"), value: section.querySelector('[data-value="' + plot.key + '"]'),
      };
    });
    this.strips.forEach(one => { if (one.hair) { this.listen(one); } });
    new ResizeObserver(() => this.settle()).observe(section.querySelector(".stack"));
  }
  settle() {
    this.attempt.section.querySelectorAll(".strip-plot, .strip-bands, .strip-axis").forEach(settleWords);
    this.attempt.section.querySelectorAll(".strip-signs").forEach(settleSigns);
  }
  move(time, values) {
    this.strips.forEach(one => {
      if (!one.hair) { return; }
      const plot = one.plot, along = plot.across === "along";
      const x = plot.x[0] + plot.x[1] * (along ? values.along : time);
      let value = along ? values.altitude : values[plot.series];
      const known = value !== null && value !== undefined;
      if (plot.series === "deflection" && known) { value = held(value, -1.25, 1.25); }
      if (plot.series === "margin_plot" && known) { value = Math.min(value, 450); }
      const percent = x.toFixed(2) + "%";
      if (one.line) { one.line.setAttribute("x1", percent); one.line.setAttribute("x2", percent); }
      one.dot.setAttribute("cx", percent);
      one.dot.setAttribute("cy", known ? (plot.y[0] + plot.y[1] * value).toFixed(1) : "-99");
      one.hair.classList.toggle("away", x < -0.5 || x > 100.5);
      const shown = values[NAMES[plot.key]];
      if (one.value) { say(one.value, shown === null || shown === undefined ? "–" : WORDS[plot.key](values, this.attempt.cursor)); }
    });
  }
  ghost(time) {
    this.strips.forEach(one => {
      if (!one.ghost) { return; }
      one.ghost.classList.toggle("away", time === null);
      if (time === null) { return; }
      const percent = (one.plot.x[0] + one.plot.x[1] * time).toFixed(2) + "%";
      one.ghost.setAttribute("x1", percent);
      one.ghost.setAttribute("x2", percent);
    });
  }
  timeAt(one, event) {
    const box = one.svg.getBoundingClientRect(), plot = one.plot;
    const share = (event.clientX - box.left) / box.width * 100;
    if (plot.across === "time") { return (share - plot.x[0]) / plot.x[1]; }
    const c = this.attempt.cursor, y = event.clientY - box.top, px = box.width / 100;
    let least = Infinity, best = -1;
    c.along.forEach((along, i) => {
      if (c.altitude[i] === null) { return; }
      const far = Math.hypot((plot.x[0] + plot.x[1] * along / 1000 - share) * px, plot.y[0] + plot.y[1] * c.altitude[i] - y);
      if (far < least) { least = far; best = i; }
    });
    return best < 0 ? null : c.t0 + best * c.step;
  }
  listen(one) {
    let held = false;
    const go = event => { const time = this.timeAt(one, event); if (time !== null) { this.attempt.pin(time); } };
    one.svg.addEventListener("pointerdown", event => {
      if (event.button || event.target.closest("[data-jump]")) { return; }
      held = true;
      one.svg.setPointerCapture(event.pointerId);
      setActive(this.attempt);
      go(event);
    });
    one.svg.addEventListener("pointermove", event => {
      if (held) { go(event); } else if (!this.attempt.playing && event.pointerType !== "touch") { this.ghost(this.timeAt(one, event)); }
    });
    ["pointerup", "pointercancel"].forEach(name => one.svg.addEventListener(name, () => { held = false; }));
    one.svg.addEventListener("pointerleave", () => { if (!held) { this.ghost(null); } });
  }
}
