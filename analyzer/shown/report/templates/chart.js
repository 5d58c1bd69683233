/* the chart's plan is moved and zoomed as the report's; nothing is flown on it */
function setActive() {}
document.documentElement.classList.add("live");
const place = document.querySelector("[data-chart]");
const charted = {
  section: place, time: 0, playing: true,
  flight: { plan: JSON.parse(document.getElementById("chart-data").textContent), put_right: [] },
  cursor: { x: [], y: [], t0: 0, step: 1 },
  strips: { ghost() {} },
  pin() {},
};
const chart = new Plan(charted);
place.addEventListener("click", event => {
  const button = event.target.closest("[data-view]");
  if (!button) { return; }
  const name = button.dataset.view;
  if (name === "whole") { chart.fit(WHOLE, name); }
  if (name === "close") { chart.fit(chart.flight.close, name); }
  if (name === "in") { chart.zoom(0.6); }
  if (name === "out") { chart.zoom(1 / 0.6); }
});
