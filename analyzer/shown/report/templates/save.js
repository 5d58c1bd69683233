/* the plan as a drawing for a lesson's notes: SVG, or PNG of twice the size; made here, nothing is sent anywhere */
const NOT_SAVED = ".movers, .ghost, .unplaced, .off, .away, [hidden]";

function drawingText(plan) {
  const copy = plan.svg.cloneNode(true), style = document.createElementNS("http://www.w3.org/2000/svg", "style");
  copy.querySelectorAll(NOT_SAVED).forEach(part => part.remove());
  copy.querySelectorAll("[tabindex]").forEach(part => part.removeAttribute("tabindex"));
  copy.setAttribute("xmlns", "http://www.w3.org/2000/svg");
  copy.setAttribute("width", Math.round(plan.width));
  copy.setAttribute("height", Math.round(plan.height));
  const rules = Array.from(document.querySelectorAll("style")).map(one => one.textContent).join("\n").split("@media print")[0];
  const said = getComputedStyle(document.documentElement);
  const colours = rules.replace(/\.pin\{[^}]*\}/g, "").replace(/var\(--([\w-]+)\)/g, (all, name) => said.getPropertyValue("--" + name).trim() || all);
  style.textContent = colours + "svg.plan{background:" + getComputedStyle(plan.svg).backgroundColor + "}";
  copy.querySelectorAll(".pin").forEach(pin => pin.setAttribute("transform", "scale(" + plan.unit.toFixed(4) + ")"));
  addCaution(copy, plan);
  copy.prepend(style);
  copy.classList.add("saved");
  return new XMLSerializer().serializeToString(copy);
}
/* what stands on every sheet, in a line below the drawing */
function addCaution(copy, plan) {
  const map = plan.map, high = map.height + 24, line = document.createElementNS("http://www.w3.org/2000/svg", "g");
  const word = document.createElementNS("http://www.w3.org/2000/svg", "text");
  const place = [map.left + 8 * map.unit, map.top + (map.height + 16) * map.unit];
  word.textContent = CAUTION;
  word.setAttribute("class", "note");
  line.setAttribute("transform", "translate(" + place.join(" ") + ") scale(" + Math.min(1, map.width / 640) * map.unit + ")");
  line.append(word);
  copy.append(line);
  copy.setAttribute("viewBox", [map.left, map.top, map.width * map.unit, high * map.unit].map(each => each.toFixed(2)).join(" "));
  copy.setAttribute("height", Math.round(high));
}
function handOver(address, name) {
  const link = document.createElement("a");
  link.href = address;
  link.download = name;
  link.click();
}
function savePlan(plan, kind) {
  const text = drawingText(plan), address = "data:image/svg+xml;charset=utf-8," + encodeURIComponent(text);
  const name = "plan_" + (plan.attempt.index + 1) + "." + kind;
  if (kind === "svg") { handOver(address, name); return; }
  const picture = new Image(), canvas = document.createElement("canvas");
  canvas.width = 2 * Math.round(plan.width);
  canvas.height = 2 * Math.round(plan.height + 24);
  picture.onload = () => {
    canvas.getContext("2d").drawImage(picture, 0, 0, canvas.width, canvas.height);
    handOver(canvas.toDataURL("image/png"), name);
  };
  picture.src = address;
}
