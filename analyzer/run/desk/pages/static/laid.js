/* flights laid over one plan: each can be hidden, the one under the pointer stands out */
const drawing = document.querySelector("[data-laid]");
document.documentElement.classList.add("scripted");
function flightOf(number) { return drawing.querySelector(`[data-flight="${number}"]`); }
document.querySelectorAll("input[data-flight]").forEach(box => {
  box.addEventListener("change", () => flightOf(box.dataset.flight).classList.toggle("off", !box.checked));
  const line = box.closest("li");
  const lift = on => { const flight = flightOf(box.dataset.flight); if (flight) { flight.classList.toggle("lifted", on); } };
  ["mouseenter", "focusin"].forEach(kind => line.addEventListener(kind, () => lift(true)));
  ["mouseleave", "focusout"].forEach(kind => line.addEventListener(kind, () => lift(false)));
});
