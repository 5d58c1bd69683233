/* the plan as a drawing for a lesson's notes: SVG, or PNG of twice the size; made here, nothing is sent anywhere */
const NOT_SAVED = ".movers, .ghost, .unplaced, .off, .away, [hidden]";

function drawingText(plan) {
  const copy = plan.svg.cloneNode(true), style = document.createElementNS("http://www.w3.org/2000/svg", "style");
  copy.querySelectorAll(NOT_SAVED).forEach(part => part.remove());
  copy.querySelectorAll("[tabindex]").forEach(part => part.removeAttribute("tabindex"));
  copy.setAttribute("xmlns", "http://www.w3.org/2000/svg");
  copy.setAttribute("width", Math.round(plan.width));
  copy.setAttribute("height", Math.round(plan.height));
  const colours = Array.from(document.querySelectorAll("style")).map(one => one.textContent).join("\n");
  style.textContent = colours.split("@media print")[0] + "svg.plan{background:" + getComputedStyle(plan.svg).backgroundColor + "}";
  copy.prepend(style);
  copy.classList.add("saved");
  return new XMLSerializer().serializeToString(copy);
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
  canvas.height = 2 * Math.round(plan.height);
  picture.onload = () => {
    canvas.getContext("2d").drawImage(picture, 0, 0, canvas.width, canvas.height);
    handOver(canvas.toDataURL("image/png"), name);
  };
  picture.src = address;
}
