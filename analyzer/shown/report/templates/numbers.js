/* numbers as people read them, and values between the moments of the lists */
function two(value) { return String(value).padStart(2, "0"); }
function clock(seconds) {
  const whole = Math.round(seconds), hours = Math.floor(whole / 3600);
  const rest = two(Math.floor(whole / 60) % 60) + ":" + two(whole % 60);
  return "+" + (hours ? hours + ":" + rest : rest);
}
function timeOfDay(midnight, seconds) {
  if (midnight === null || midnight === undefined) { return ""; }
  const whole = Math.round(midnight + seconds) % 86400;
  return two(Math.floor(whole / 3600)) + ":" + two(Math.floor(whole / 60) % 60) + ":" + two(whole % 60) + " UTC";
}
function grouped(value) { return String(value).replace(/\B(?=(\d{3})+$)/g, ","); }
function summed(steps) {
  let total = 0;
  return steps.map(step => { total += step || 0; return step === null ? null : total; });
}
function between(list, at) {
  if (!list.length) { return null; }
  const low = Math.min(Math.floor(at), list.length - 1), a = list[low], b = list[Math.min(low + 1, list.length - 1)];
  if (a === null || a === undefined) { return null; }
  return b === null || b === undefined ? a : a + (b - a) * (at - low);
}
function nearest(list, at) {
  const value = list.length ? list[Math.min(list.length - 1, Math.round(at))] : null;
  return value === undefined ? null : value;
}
function scaled(value, factor) { return value === null || value === undefined ? null : value / factor; }
function held(value, low, high) { return Math.max(low, Math.min(high, value)); }
function say(place, words) { if (place && place.textContent !== words) { place.textContent = words; } }
