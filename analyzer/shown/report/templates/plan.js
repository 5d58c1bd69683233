/* the plan view: what part is shown, the aircraft on it, the labels */
const BARS = [0.05, 0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 50];
const WHOLE = [0, 0, 800, 620];
const INNER = 0.12; // an aircraft nearer to the edge than this share of the view is brought back in

class Plan {
  constructor(attempt) {
    this.attempt = attempt;
    this.flight = attempt.flight.plan;
    this.cursor = attempt.cursor;
    this.box = attempt.section.querySelector(".plan-box");
    this.svg = this.box.querySelector(".plan");
    this.ship = this.svg.querySelector(".ship");
    this.shape = this.ship.querySelector(".ship-shape");
    this.ghost = this.svg.querySelector(".ghost");
    this.other = this.svg.querySelector(".other");
    this.tip = this.box.querySelector(".plan-tip");
    this.frame = this.svg.querySelector(".inset-window");
    this.corners = this.svg.querySelectorAll(".corner");
    this.items = labelItems(this.svg);
    this.marks = Array.from(this.svg.querySelectorAll(".world .mark")).map(mark => mark.transform.baseVal[0].matrix);
    this.points = this.pathPoints();
    this.putRight = attempt.flight.put_right.map(one => ({ from: one.from, step: one.step, x: summed(one.x), y: summed(one.y) }));
    this.chosen = 0;
    this.width = WHOLE[2];
    this.height = WHOLE[3];
    this.fit(this.flight.close, "close");
    listenToPlan(this);
    new ResizeObserver(() => this.resized()).observe(this.box); // also once before the first picture
  }
  pathPoints() {
    const x = this.cursor.x, y = this.cursor.y, points = [];
    for (let i = 0; i < x.length; i += 1) {
      if (x[i] !== null && y[i] !== null) { points.push(this.place(x[i] / 1000, y[i] / 1000)); }
    }
    return points;
  }
  place(east, north) { const f = this.flight; return [f.x0 + east * f.k, f.y0 - north * f.k]; }
  size() {
    const box = this.svg.getBoundingClientRect();
    this.width = box.width - 2 || WHOLE[2];
    this.height = box.height - 2 || WHOLE[3];
    this.svg.classList.toggle("small", this.width < 520);
    measureLabels(this.items);
  }
  resized() {
    const before = this.width, high = this.height;
    this.size();
    if (this.sized && Math.abs(before - this.width) < 1 && Math.abs(high - this.height) < 1) { return; }
    this.sized = true;
    if (this.name) { this.fit(this.name === "whole" ? WHOLE : this.flight.close, this.name); } else { this.show(this.middle, this.unit, ""); }
  }
  fit(view, name) {
    const unit = Math.max(view[2] / this.width, view[3] / this.height);
    this.show([view[0] + view[2] / 2, view[1] + view[3] / 2], unit, name);
  }
  show(middle, unit, name) {
    this.middle = middle;
    this.unit = unit;
    this.name = name;
    const width = this.width * unit, height = this.height * unit;
    const left = middle[0] - width / 2, top = middle[1] - height / 2;
    this.map = { left, top, unit, width: this.width, height: this.height };
    this.svg.setAttribute("viewBox", [left, top, width, height].map(value => value.toFixed(2)).join(" "));
    this.svg.style.setProperty("--pin", unit);
    this.placeCorners(left, top, width, height);
    const wide = unit * this.width >= WHOLE[2] * 0.97;
    this.svg.classList.toggle("wide", wide);
    ["x", "y", "width", "height"].forEach((key, index) => this.frame.setAttribute(key, [left, top, width, height][index].toFixed(1)));
    this.attempt.section.querySelectorAll("[data-view][aria-pressed]").forEach(button => {
      button.setAttribute("aria-pressed", String(button.dataset.view === name));
    });
    if (this.sized && !this.waiting) {
      this.waiting = true;
      window.requestAnimationFrame(() => { this.waiting = false; this.settle(); });
    }
  }
  placeCorners(left, top, width, height) {
    this.corners.forEach(corner => {
      const name = corner.dataset.corner;
      const x = name[1] === "w" ? left : left + width, y = name[0] === "n" ? top : top + height;
      corner.setAttribute("transform", "translate(" + x.toFixed(2) + " " + y.toFixed(2) + ")");
    });
    const perMile = this.flight.k / this.unit, most = Math.min(190, this.width * 0.3);
    const bar = BARS.filter(length => length * perMile <= most).pop() || BARS[0];
    this.svg.querySelector(".scale-line").setAttribute("d", "M0 -6V0H" + (bar * perMile).toFixed(1) + "V-6");
    const word = this.svg.querySelector(".scale-word");
    say(word, bar + " NM");
    word.setAttribute("x", (bar * perMile / 2).toFixed(1));
  }
  settle() {
    const frame = this.svg.getBoundingClientRect(), taken = [];
    this.svg.querySelectorAll(".corners .corner").forEach(corner => {
      const box = corner.getBoundingClientRect();
      if (box.width) { taken.push([box.left - frame.left - 4, box.top - frame.top - 4, box.right - frame.left + 4, box.bottom - frame.top + 4]); }
    });
    this.marks.forEach(mark => {
      const x = (mark.e - this.map.left) / this.unit, y = (mark.f - this.map.top) / this.unit;
      taken.push([x - 10, y - 10, x + 10, y + 10]);
    });
    settleLabels(this.items, this.points.concat(this.otherPoints()), taken, this.map);
  }
  otherPoints() {
    const one = this.putRight[this.chosen];
    return one ? one.x.map((x, i) => this.place(x / 1000, one.y[i] / 1000)) : [];
  }
  zoom(factor, at) {
    const unit = held(this.unit * factor, 40 / this.width, 1600 / this.width);
    const about = at || this.now || this.middle, share = unit / this.unit;
    this.show([about[0] + (this.middle[0] - about[0]) * share, about[1] + (this.middle[1] - about[1]) * share], unit, "");
  }
  pan(dx, dy) { this.show([this.middle[0] - dx * this.unit, this.middle[1] - dy * this.unit], this.unit, ""); }
  move(at, time, follow) {
    const c = this.cursor, x = between(c.x, at), y = between(c.y, at);
    if (x === null || y === null) { return; }
    const track = nearest(c.track, at) / 10 + (c.variation || 0);
    this.now = this.place(x / 1000, y / 1000);
    this.ship.setAttribute("transform", "translate(" + this.now[0].toFixed(1) + " " + this.now[1].toFixed(1) + ")");
    this.shape.setAttribute("transform", "rotate(" + track.toFixed(0) + ")");
    this.moveOther(time);
    if (follow) { this.follow(follow === "jump"); }
  }
  moveOther(time) {
    const one = this.putRight[this.chosen], at = one ? (time - one.from) / one.step : -1;
    const shown = one && at >= 0 && at <= one.x.length - 1;
    this.other.classList.toggle("away", !shown);
    if (!shown) { return; }
    const low = Math.min(Math.floor(at), one.x.length - 2);
    const place = this.place(between(one.x, at) / 1000, between(one.y, at) / 1000);
    const ahead = Math.atan2(one.x[low + 1] - one.x[low], one.y[low + 1] - one.y[low]) * 180 / Math.PI;
    this.other.setAttribute("transform", "translate(" + place[0].toFixed(1) + " " + place[1].toFixed(1) + ")");
    this.other.querySelector(".other-shape").setAttribute("transform", "rotate(" + ahead.toFixed(0) + ")");
  }
  follow(jump) {
    const half = [this.width * this.unit / 2, this.height * this.unit / 2];
    const off = [this.now[0] - this.middle[0], this.now[1] - this.middle[1]];
    const room = [half[0] * (1 - 2 * INNER), half[1] * (1 - 2 * INNER)];
    if (Math.abs(off[0]) <= room[0] && Math.abs(off[1]) <= room[1]) { return; }
    if (jump) { this.show(this.now, this.unit, ""); return; }
    const by = off.map((value, i) => value - held(value, -room[i], room[i]));
    this.show([this.middle[0] + by[0], this.middle[1] + by[1]], this.unit, "");
  }
  choose(number) {
    this.chosen = this.chosen === number ? -1 : number;
    const section = this.attempt.section;
    section.querySelectorAll("[data-put-right]").forEach(chip => {
      chip.setAttribute("aria-pressed", String(Number(chip.dataset.putRight) === this.chosen));
    });
    section.querySelectorAll("[data-cause]").forEach(layer => layer.classList.toggle("off", Number(layer.dataset.cause) !== this.chosen));
    section.querySelectorAll("[data-cause-words]").forEach(words => { words.hidden = Number(words.dataset.causeWords) !== this.chosen; });
    this.moveOther(this.attempt.time);
    this.settle();
  }
}
