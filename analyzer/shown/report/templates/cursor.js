(function () {
"use strict";
var root = document.documentElement;
var flights = JSON.parse(document.getElementById("flight-data").textContent);
var reduced = window.matchMedia("(prefers-reduced-motion: reduce)");
var active = null;
var NEEDLE_HALF = 74;
var BARS = [0.05, 0.1, 0.2, 0.5, 1, 2, 5, 10, 20];

function clock(seconds) {
  var whole = Math.round(seconds), hours = Math.floor(whole / 3600);
  var minutes = Math.floor(whole / 60) % 60, rest = ("0" + whole % 60).slice(-2);
  return hours ? hours + ":" + ("0" + minutes).slice(-2) + ":" + rest : ("0" + minutes).slice(-2) + ":" + rest;
}
function grouped(value) { return String(value).replace(/\B(?=(\d{3})+$)/g, ","); }
function summed(steps) {
  var total = 0;
  return steps.map(function (step) { total += step || 0; return step === null ? null : total; });
}
function between(list, at) {
  if (!list.length) { return null; }
  var low = Math.floor(at), a = list[low], b = list[Math.min(low + 1, list.length - 1)];
  if (a === null || a === undefined) { return null; }
  return b === null || b === undefined ? a : a + (b - a) * (at - low);
}
function nearest(list, at) {
  var value = list.length ? list[Math.min(list.length - 1, Math.round(at))] : null;
  return value === undefined ? null : value;
}
function say(place, words) { if (place && place.textContent !== words) { place.textContent = words; } }

function Attempt(section, flight) {
  var self = this;
  this.section = section;
  this.flight = flight;
  this.cursor = flight.cursor;
  Object.keys(flight.steps).forEach(function (name) { self.cursor[name] = summed(flight.steps[name]); });
  this.last = this.cursor.x.length - 1;
  this.slider = section.querySelector(".slider");
  this.playButton = section.querySelector(".play");
  this.pace = section.querySelector(".pace select");
  this.plan = section.querySelector(".plan-figure .plan");
  this.ship = this.plan.querySelector(".ship");
  this.shipPin = this.ship.querySelector(".pin");
  this.shape = this.ship.querySelector(".ship-shape");
  this.needleBox = section.querySelector(".dock .needle");
  this.hand = section.querySelector(".needle-hand");
  this.read = {};
  section.querySelectorAll("[data-read]").forEach(function (place) { self.read[place.dataset.read] = place; });
  this.plots = flight.plots.map(function (plot) {
    var svg = section.querySelector(".plot-" + plot.key + " .plot");
    var hair = svg.querySelector(".hair");
    return { svg: svg, hair: hair, line: hair && hair.querySelector(".hair-line"), dot: hair && hair.querySelector(".hair-dot"), plot: plot };
  });
  this.whole = [0, 0, 800, 620];
  this.view = flight.plan.close;
  this.frame = this.plan.querySelector(".inset-window");
  this.time = this.cursor.t0;
  this.playing = false;
  this.listen();
  this.move(this.cursor.open_at === undefined ? this.cursor.t0 : this.cursor.open_at);
}
Attempt.prototype.phaseAt = function (time) {
  var found = null;
  this.cursor.phases.forEach(function (phase) { if (time >= phase[3]) { found = phase; } });
  return found;
};
Attempt.prototype.end = function () { return this.cursor.t0 + this.last * this.cursor.step; };
Attempt.prototype.move = function (time) {
  var c = this.cursor, f = this.flight;
  time = Math.max(c.t0, Math.min(this.end(), time));
  this.time = time;
  var at = (time - c.t0) / c.step;
  var x = between(c.x, at) / 1000, y = between(c.y, at) / 1000;
  var track = nearest(c.track, at);
  var px = f.plan.x0 + x * f.plan.k, py = f.plan.y0 - y * f.plan.k;
  this.ship.setAttribute("transform", "translate(" + px.toFixed(1) + " " + py.toFixed(1) + ")");
  this.shape.setAttribute("transform", "rotate(" + ((track / 10) + (f.variation || 0)).toFixed(0) + ")");
  var altitude = between(c.altitude, at), along = between(c.along, at) / 1000;
  var values = {
    altitude: altitude,
    deflection: scaled(between(c.deflection, at), 1000),
    track_plot: scaled(nearest(c.track_plot, at), 10),
    rate: scaled(between(c.rate, at), 100),
    margin_plot: capped(between(c.margin_plot, at), 600),
    speed: scaled(between(c.speed, at), 10)
  };
  this.plots.forEach(function (one) {
    if (!one.hair) { return; }
    var plot = one.plot, isAlong = plot.across === "along";
    var hx = plot.x[0] + plot.x[1] * (isAlong ? along : time);
    var value = isAlong ? altitude : values[plot.series];
    var known = value !== null && value !== undefined;
    if (plot.series === "deflection" && known) { value = Math.max(-1.25, Math.min(1.25, value)); }
    if (one.line) { one.line.setAttribute("transform", "translate(" + hx.toFixed(1) + " 0)"); }
    one.dot.setAttribute("transform", known ? "translate(" + hx.toFixed(1) + " " + (plot.y[0] + plot.y[1] * value).toFixed(1) + ")" : "translate(-99 -99)");
    one.hair.classList.toggle("away", hx < 74 || hx > 552);
  });
  this.write(time, at, altitude, track, values);
  if (this.slider.value !== String(Math.round(time))) { this.slider.value = Math.round(time); }
};
function capped(value, most) { return value === null ? null : Math.min(value, most); }
function scaled(value, factor) { return value === null || value === undefined ? null : value / factor; }
Attempt.prototype.write = function (time, at, altitude, track, values) {
  var c = this.cursor, read = this.read, phase = this.phaseAt(time);
  var phaseWords = phase ? phase[0] + "  " + phase[2] : "–";
  say(read.time, clock(time));
  say(read.phase, phaseWords);
  say(read.altitude, altitude === null ? "–" : grouped(Math.round(altitude / 10) * 10) + " ft");
  var limit = this.limitWords(at, altitude);
  say(read.limit, limit.words);
  read.limit.classList.toggle("beyond", limit.beyond);
  var margin = nearest(c.margin, at);
  say(read.margin, margin === null ? "–" : Math.abs(margin / 100).toFixed(2) + " NM " + (margin < 0 ? "outside" : "inside"));
  read.margin.classList.toggle("beyond", margin !== null && margin < 0);
  say(read.distance, (between(c.distance, at) / 100).toFixed(1) + " NM");
  var whole = Math.round(track / 10) % 360 || 360;
  say(read.track, ("00" + whole).slice(-3) + "°");
  var rate = values.rate || 0;
  say(read.rate, Math.abs(rate) < 0.3 ? "level" : Math.abs(rate).toFixed(1) + "°/s " + (rate > 0 ? "right" : "left"));
  say(read.speed, Math.round(values.speed) + " kt");
  var words = this.needle(values.deflection);
  this.slider.setAttribute("aria-valuetext", clock(time) + ", " + (phase ? phase[2] : "") + ", " + (altitude === null ? "" : Math.round(altitude) + " feet, " + limit.words + ", ") + words);
};
Attempt.prototype.limitWords = function (at, altitude) {
  var low = nearest(this.cursor.low, at), high = nearest(this.cursor.high, at);
  if (altitude === null || (low === null && high === null)) { return { words: "no limit", beyond: false }; }
  if (low !== null && low === high) {
    var off = Math.round(altitude - low);
    return { words: Math.abs(off) + " ft " + (off < 0 ? "low" : "high"), beyond: Math.abs(off) > 100 };
  }
  if (low !== null && altitude < low) { return { words: Math.round(low - altitude) + " ft below", beyond: true }; }
  if (high !== null && altitude > high) { return { words: Math.round(altitude - high) + " ft above", beyond: true }; }
  var spare = Math.min(low === null ? Infinity : altitude - low, high === null ? Infinity : high - altitude);
  return { words: grouped(Math.round(spare)) + " ft inside", beyond: false };
};
Attempt.prototype.needle = function (deflection) {
  var none = deflection === null;
  this.needleBox.classList.toggle("in-cone", none);
  if (none) { say(this.read.needle, "over the station"); return "no needle"; }
  var shown = Math.max(-1.06, Math.min(1.06, -deflection));
  this.hand.setAttribute("transform", "translate(" + (shown * NEEDLE_HALF).toFixed(1) + " 0)");
  var share = Math.round(Math.abs(deflection) * 100);
  var words = share < 3 ? "on course" : share > 100 ? "full scale, course to the " + (deflection > 0 ? "left" : "right") : share + " %, course to the " + (deflection > 0 ? "left" : "right");
  say(this.read.needle, words);
  return "needle " + words;
};
Attempt.prototype.show = function (view, name) {
  this.view = view;
  var share = view[2] / this.whole[2];
  this.plan.setAttribute("viewBox", view.map(function (value) { return value.toFixed(1); }).join(" "));
  this.plan.style.setProperty("--pin", Math.max(0.05, share));
  this.plan.classList.toggle("wide", share > Math.sqrt(this.flight.plan.close[2] / this.whole[2]));
  ["x", "y", "width", "height"].forEach(function (name, index) { this.frame.setAttribute(name, view[index].toFixed(1)); }, this);
  var overlay = this.plan.querySelector(".overlay");
  overlay.setAttribute("transform", "translate(" + view[0].toFixed(1) + " " + view[1].toFixed(1) + ") scale(" + share.toFixed(4) + ")");
  var perMile = this.flight.plan.k / share, bar = BARS[0];
  BARS.forEach(function (length) { if (length * perMile <= 190) { bar = length; } });
  overlay.querySelector(".scale-line").setAttribute("d", "M0 -6V0H" + (bar * perMile).toFixed(1) + "V-6");
  var word = overlay.querySelector(".scale-word");
  word.textContent = bar + " NM";
  word.setAttribute("x", (bar * perMile / 2).toFixed(1));
  this.section.querySelectorAll("[data-view]").forEach(function (button) {
    if (button.hasAttribute("aria-pressed")) { button.setAttribute("aria-pressed", String(button.dataset.view === name)); }
  });
};
Attempt.prototype.zoom = function (factor) {
  var v = this.view, c = this.cursor, at = (this.time - c.t0) / c.step, f = this.flight.plan;
  var w = Math.max(40, Math.min(1600, v[2] * factor)), h = w * this.whole[3] / this.whole[2];
  var cx = v[0] + v[2] / 2, cy = v[1] + v[3] / 2;
  if (factor < 1) { cx = f.x0 + between(c.x, at) / 1000 * f.k; cy = f.y0 - between(c.y, at) / 1000 * f.k; }
  this.show([cx - w / 2, cy - h / 2, w, h], "");
};
Attempt.prototype.play = function (on) {
  var self = this, before = null;
  this.playing = on;
  this.playButton.classList.toggle("playing", on);
  this.playButton.setAttribute("aria-label", on ? "Pause" : "Play");
  if (!on) { return; }
  if (this.time >= this.end() - 0.5) { this.move(this.cursor.t0); }
  function frame(now) {
    if (!self.playing) { return; }
    if (before !== null) { self.move(self.time + (now - before) / 1000 * Number(self.pace.value)); }
    before = now;
    if (self.time >= self.end()) { self.play(false); return; }
    window.requestAnimationFrame(frame);
  }
  window.requestAnimationFrame(frame);
};
Attempt.prototype.listen = function () {
  var self = this, section = this.section;
  this.slider.addEventListener("input", function () { active = self; self.play(false); self.move(Number(self.slider.value)); });
  this.playButton.addEventListener("click", function () { active = self; self.play(!self.playing); });
  section.addEventListener("click", function (event) {
    var jump = event.target.closest("[data-jump]"), button = event.target.closest("[data-view]");
    active = self;
    if (jump) { self.play(false); self.jump(Number(jump.dataset.jump), jump); }
    if (button) {
      var name = button.dataset.view;
      if (name === "whole") { self.show(self.whole, name); }
      if (name === "close") { self.show(self.flight.plan.close, name); }
      if (name === "in") { self.zoom(0.6); }
      if (name === "out") { self.zoom(1.6); }
    }
  });
  section.querySelectorAll("[data-layer]").forEach(function (box) {
    var name = box.dataset.layer === "full-scale" ? ".full-scale-lines" : ".layer-" + box.dataset.layer;
    box.addEventListener("change", function () {
      section.querySelectorAll(name).forEach(function (layer) { layer.classList.toggle("off", !box.checked); });
    });
  });
  this.plots.forEach(function (one) {
    if (one.hair) { one.svg.addEventListener("pointermove", function (event) { self.hoverPlot(one, event); }); }
  });
  this.plan.addEventListener("pointermove", function (event) { self.hoverPlan(event); });
};
Attempt.prototype.jump = function (time, from) {
  this.move(time);
  var hidden = this.plan.getBoundingClientRect();
  if (!from.closest("svg") && (hidden.bottom < 80 || hidden.top > window.innerHeight - 160)) {
    this.plan.scrollIntoView({ block: "center", behavior: reduced.matches ? "auto" : "smooth" });
  }
};
function placeIn(svg, event) {
  var matrix = svg.getScreenCTM();
  return matrix ? new DOMPoint(event.clientX, event.clientY).matrixTransform(matrix.inverse()) : null;
}
Attempt.prototype.hoverPlot = function (one, event) {
  var place = placeIn(one.svg, event), plot = one.plot;
  if (!place || this.playing) { return; }
  active = this;
  if (plot.across === "time") { this.move((place.x - plot.x[0]) / plot.x[1]); return; }
  var along = (place.x - plot.x[0]) / plot.x[1] * 1000, height = (place.y - plot.y[0]) / plot.y[1];
  var c = this.cursor, k = Math.abs(plot.x[1]) / 1000, q = Math.abs(plot.y[1]);
  this.seek(function (index) {
    var a = c.altitude[index];
    return a === null ? Infinity : Math.hypot((c.along[index] - along) * k, (a - height) * q);
  }, Infinity);
};
Attempt.prototype.hoverPlan = function (event) {
  var place = placeIn(this.plan, event), f = this.flight.plan, c = this.cursor;
  if (!place || this.playing || event.buttons || event.target.closest(".inset")) { return; }
  var east = (place.x - f.x0) / f.k * 1000, north = (f.y0 - place.y) / f.k * 1000;
  active = this;
  this.seek(function (index) { return Math.hypot(c.x[index] - east, c.y[index] - north); }, 26 * this.view[2] / this.whole[2] / f.k * 1000);
};
Attempt.prototype.seek = function (far, most) {
  var best = -1, least = most;
  for (var index = 0; index <= this.last; index += 1) {
    var distance = far(index);
    if (distance < least) { least = distance; best = index; }
  }
  if (best >= 0) { this.move(this.cursor.t0 + best * this.cursor.step); }
};

var sections = document.querySelectorAll("[data-attempt]");
root.classList.add("live");
var attempts = Array.prototype.map.call(sections, function (section, index) { return new Attempt(section, flights[index]); });
active = attempts[0];
document.addEventListener("keydown", function (event) {
  var tag = event.target.tagName, step = event.shiftKey ? 10 : 1;
  if (!active || event.ctrlKey || event.altKey || event.metaKey) { return; }
  if (tag === "INPUT" || tag === "SELECT" || tag === "TEXTAREA") { return; }
  if (event.target.closest(".table-box")) { return; }
  if (event.key === "ArrowRight") { active.play(false); active.move(active.time + step); event.preventDefault(); }
  if (event.key === "ArrowLeft") { active.play(false); active.move(active.time - step); event.preventDefault(); }
  if (event.key === " " && tag !== "BUTTON" && tag !== "A") { active.play(!active.playing); event.preventDefault(); }
});
}());
