/* lays out the plan's labels for what is shown: each at the first of its spots that is free, off the path and in view */
const CELL = 6; // pixels: how fine the path's room is kept
const MARGIN = 3;

function boxOf(b, spot, map) {
  const x = (spot[0] - map.left) / map.unit + spot[2], y = (spot[1] - map.top) / map.unit + spot[3];
  return [x + b.x - MARGIN, y + b.y - MARGIN, x + b.x + b.width + MARGIN, y + b.y + b.height + MARGIN];
}
function apart(a, b) { return a[2] <= b[0] || b[2] <= a[0] || a[3] <= b[1] || b[3] <= a[1]; }
/* the line from the place to the nearest edge of the label */
function pointerTo(box, spot) {
  const x = held(0, box.x + spot[2], box.x + box.width + spot[2]), y = held(0, box.y + spot[3], box.y + box.height + spot[3]);
  return "M0 0L" + x.toFixed(1) + " " + y.toFixed(1);
}
function pathCells(points, map) {
  const cells = new Set();
  points.forEach(point => {
    const x = (point[0] - map.left) / map.unit, y = (point[1] - map.top) / map.unit;
    if (x > -40 && y > -40 && x < map.width + 40 && y < map.height + 40) {
      cells.add(Math.floor(x / CELL) * 4096 + Math.floor(y / CELL));
    }
  });
  return cells;
}
function onPath(box, cells) {
  for (let x = Math.floor(box[0] / CELL); x <= Math.floor(box[2] / CELL); x += 1) {
    for (let y = Math.floor(box[1] / CELL); y <= Math.floor(box[3] / CELL); y += 1) {
      if (cells.has(x * 4096 + y)) { return true; }
    }
  }
  return false;
}
function labelItems(plan) {
  return Array.from(plan.querySelectorAll(".labels .label")).map(group => ({
    group,
    at: group.querySelector(".at"),
    pointer: group.querySelector(".pointer"),
    strict: group.classList.contains("strict"),
    spots: group.dataset.spots ? group.dataset.spots.split(";").map(spot => spot.split(" ").map(Number)) : [],
    box: null,
  }));
}
function measureLabels(items) {
  items.forEach(item => item.group.classList.remove("wordless"));
  items.forEach(item => {
    item.box = item.at.getBBox();
    const sign = item.pointer && item.at.querySelector(".reach");
    item.least = sign ? sign.getBBox() : null;
  });
}
function spotFor(item, size, boxes, cells, map) {
  let second = null;
  for (const spot of item.spots) {
    const px = (spot[0] - map.left) / map.unit, py = (spot[1] - map.top) / map.unit;
    if (px < 0 || py < 0 || px > map.width || py > map.height) { continue; }
    const box = boxOf(size, spot, map);
    if (box[0] < 0 || box[1] < 0 || box[2] > map.width || box[3] > map.height) { continue; }
    if (!boxes.every(other => apart(box, other))) { continue; }
    if (!onPath(box, cells)) { return [spot, box]; }
    second = second || [spot, box];
  }
  return item.strict ? null : second;
}
/* a finding without room for its words keeps its sign */
function settleLabels(items, points, taken, map) {
  const boxes = taken.slice(), cells = pathCells(points, map);
  items.forEach(item => {
    let size = item.box, found = spotFor(item, size, boxes, cells, map);
    if (!found && item.least) { size = item.least; found = spotFor(item, size, boxes, cells, map); }
    item.group.classList.toggle("unplaced", !found);
    item.group.classList.toggle("wordless", size === item.least);
    if (!found || !item.box.width) { return; }
    const spot = found[0];
    boxes.push(found[1]);
    item.group.setAttribute("transform", "translate(" + spot[0] + " " + spot[1] + ")");
    item.at.setAttribute("transform", "translate(" + spot[2] + " " + spot[3] + ")");
    if (item.pointer) { item.pointer.setAttribute("d", pointerTo(size, spot)); }
  });
}
/* words of a strip or a bar: those that have no room, or touch one before, are not seen */
function settleWords(svg) {
  const frame = svg.getBoundingClientRect(), placed = [];
  if (!frame.width) { return; }
  const words = Array.from(svg.querySelectorAll("text:not(.sign-number)"));
  words.forEach(word => word.classList.remove("unplaced"));
  const boxes = words.map(word => word.getBoundingClientRect());
  words.forEach((word, i) => {
    const room = word.dataset.room ? Number(word.dataset.room) / 100 * frame.width - 4 : Infinity, box = boxes[i];
    const own = [box.left, box.top + 1, box.right, box.bottom - 1];
    const cut = own[0] < frame.left - 1 || own[2] > frame.right + 1 || box.top < frame.top - 2 || box.bottom > frame.bottom + 2;
    const free = box.width <= room && !cut && placed.every(other => apart(own, other));
    word.classList.toggle("unplaced", !free);
    if (free) { placed.push(own); }
  });
}
/* signs over a bar, moved aside where they would touch */
function settleSigns(svg) {
  const width = svg.getBoundingClientRect().width;
  const groups = Array.from(svg.querySelectorAll("[data-place]"));
  if (!width || !groups.length) { return; }
  const least = Math.min(25, width / groups.length), places = groups.map(group => Number(group.dataset.place) / 100 * width);
  let before = -least / 2, after = width + least / 2;
  for (let i = 0; i < places.length; i += 1) { places[i] = before = Math.max(places[i], before + least); }
  for (let i = places.length - 1; i >= 0; i -= 1) { places[i] = after = Math.min(places[i], after - least); }
  groups.forEach((group, i) => {
    group.querySelector("svg").setAttribute("x", places[i].toFixed(1));
    group.querySelector("line").setAttribute("x1", places[i].toFixed(1));
  });
}
