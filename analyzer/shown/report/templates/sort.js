(function () {
"use strict";
document.documentElement.classList.add("live");
document.querySelectorAll("table[data-sortable]").forEach(function (table) {
  var body = table.tBodies[0];
  table.querySelectorAll("th[data-by]").forEach(function (head) {
    var button = document.createElement("button");
    button.type = "button";
    button.className = "sort";
    button.textContent = head.textContent;
    head.textContent = "";
    head.appendChild(button);
    button.addEventListener("click", function () {
      var down = head.getAttribute("aria-sort") === "ascending", place = head.cellIndex, byNumber = head.dataset.by === "number";
      table.querySelectorAll("th[aria-sort]").forEach(function (other) { other.removeAttribute("aria-sort"); });
      head.setAttribute("aria-sort", down ? "descending" : "ascending");
      Array.prototype.slice.call(body.rows).sort(function (a, b) {
        var x = a.cells[place], y = b.cells[place];
        var order = byNumber ? Number(x.dataset.value) - Number(y.dataset.value) : x.textContent.localeCompare(y.textContent);
        return down ? -order : order;
      }).forEach(function (row) { body.appendChild(row); });
    });
  });
});
}());
