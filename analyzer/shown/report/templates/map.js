/* the stretch of this reversal for a map or globe, as RFC 7946 GeoJSON or OGC KML 2.2; made here, nothing is sent anywhere */
const CAUTION = "Training debrief only, not for navigation or flight planning. " +
  "The chart in force, local rules and a licensed instructor decide.";
const FEET_IN_METRES = 0.3048;

function degrees(value) { return Number((((value / 1e5 + 180) % 360 + 360) % 360 - 180).toFixed(5)); }
function placeAt(c, at) { return [degrees(between(c.longitude, at)), Number((between(c.latitude, at) / 1e5).toFixed(5))]; }
/* the track of a phase, cut where it crosses the antimeridian */
function trackOf(c, phase) {
  const lines = [], moments = [phase[3]];
  for (let i = Math.ceil((phase[3] - c.t0) / c.step); c.t0 + i * c.step < phase[4]; i += 1) { moments.push(c.t0 + i * c.step); }
  moments.push(phase[4]);
  let before = null;
  moments.forEach(time => {
    const at = held((time - c.t0) / c.step, 0, c.x.length - 1);
    if (between(c.longitude, at) === null) { return; }
    const place = placeAt(c, at), feet = between(c.altitude, at);
    if (!before || Math.abs(place[0] - before[0]) > 180) { lines.push({ places: [], time: [], feet: [] }); }
    const line = lines[lines.length - 1];
    line.places.push(place);
    line.time.push(Number(time.toFixed(1)));
    line.feet.push(feet === null ? null : Math.round(feet));
    before = place;
  });
  return lines.filter(line => line.places.length > 1);
}
function flightOf(attempt) {
  const c = attempt.cursor, flight = attempt.flight, procedure = flight.ground[0].properties.procedure;
  const features = flight.ground.slice();
  c.phases.forEach(phase => {
    const lines = trackOf(c, phase), one = lines.length === 1;
    if (!lines.length) { return; }
    const kept = name => (one ? lines[0][name] : lines.map(line => line[name]));
    const properties = { kind: "track", procedure, name: "flown track", attempt: flight.number, phase: phase[1],
      start_s: phase[3], end_s: phase[4], time_s: kept("time"), altitude_ft: kept("feet") };
    const geometry = { type: one ? "LineString" : "MultiLineString", coordinates: kept("places") };
    features.push({ type: "Feature", properties, geometry });
  });
  flight.findings.forEach(([code, at_s, number, severity, short, text]) => {
    if (!number || at_s === null) { return; }
    const at = held((at_s - c.t0) / c.step, 0, c.x.length - 1), feet = between(c.altitude, at);
    const properties = { kind: "finding", procedure, name: number + " " + short, attempt: flight.number, number, code,
      severity, at_s, altitude_ft: feet === null ? null : Math.round(feet), text };
    features.push({ type: "Feature", properties, geometry: { type: "Point", coordinates: placeAt(c, at) } });
  });
  return { type: "FeatureCollection", name: document.title, generator: "Reversal Debrief", caution: CAUTION, features };
}
function marked(text) { return String(text).replace(/&/g, "&amp;").replace(/</g, "&lt;").replace(/>/g, "&gt;"); }
function line(places, feet) {
  return places.map((place, i) => place.join(",") + (feet ? "," + (feet[i] * FEET_IN_METRES).toFixed(1) : "")).join(" ");
}
function shapeOf(feature) {
  const told = feature.properties, shape = feature.geometry, many = shape.type.startsWith("Multi");
  const parts = many ? shape.coordinates : [shape.coordinates];
  const each = parts.map((part, i) => {
    const feet = told.kind === "track" ? (many ? told.altitude_ft[i] : told.altitude_ft) : [told.altitude_ft];
    const high = feet.every(one => typeof one === "number");
    const mode = "<altitudeMode>" + (high ? "absolute" : "clampToGround") + "</altitudeMode>";
    const where = rows => "<coordinates>" + rows + "</coordinates>";
    if (told.kind === "area") {
      return "<Polygon><tessellate>1</tessellate>" + part.map((ring, hole) => {
        const edge = hole ? "innerBoundaryIs" : "outerBoundaryIs";
        return "<" + edge + "><LinearRing>" + where(line(ring)) + "</LinearRing></" + edge + ">";
      }).join("") + "</Polygon>";
    }
    if (told.kind === "track") {
      return "<LineString><extrude>" + Number(high) + "</extrude><tessellate>" + Number(!high) + "</tessellate>" + mode +
        where(line(part, high ? feet : null)) + "</LineString>";
    }
    return "<Point>" + mode + where(line([part], high ? feet : null)) + "</Point>";
  }).join("");
  return many ? "<MultiGeometry>" + each + "</MultiGeometry>" : each;
}
/* a colour of the page as KML writes it: alpha, blue, green, red */
function kmlColour(name, alpha) {
  const hexadecimal = getComputedStyle(document.documentElement).getPropertyValue("--" + name).trim();
  return alpha + hexadecimal.slice(5, 7) + hexadecimal.slice(3, 5) + hexadecimal.slice(1, 3);
}
function styleOf(told) {
  const colour = told.kind === "area" ? "area-line" : told.kind === "finding" ? (told.severity === "minor" ? "open" : "bad")
    : told.kind === "track" ? "phase-" + told.phase.replace(" ", "-") : "ink";
  const solid = "<color>" + kmlColour(colour, "ff") + "</color>", clear = "<color>" + kmlColour(colour, "44") + "</color>";
  return "<Style><IconStyle>" + solid + "</IconStyle><LineStyle>" + solid + "<width>3</width></LineStyle><PolyStyle>" + clear +
    "<fill>" + Number(told.name !== "distance limit") + "</fill></PolyStyle></Style>";
}
function kmlOf(collection) {
  const marks = collection.features.map(feature => {
    const told = feature.properties, name = told.phase || told.name, words = told.text || told.reference || told.place || "";
    return "<Placemark><name>" + marked(name) + "</name>" + (words ? "<description>" + marked(words) + "</description>" : "") +
      styleOf(told) + shapeOf(feature) + "</Placemark>";
  });
  return '<?xml version="1.0" encoding="UTF-8"?>\n<kml xmlns="http://www.opengis.net/kml/2.2"><Document><name>' +
    marked(collection.name) + "</name><description>" + collection.generator + ". " + CAUTION +
    " Heights are above mean sea level.</description>\n" + marks.join("\n") + "\n</Document></kml>\n";
}
function saveFlight(attempt, kind) {
  const collection = flightOf(attempt);
  const text = kind === "kml" ? kmlOf(collection) : JSON.stringify(collection) + "\n";
  const type = kind === "kml" ? "application/xml" : "application/geo+json";
  handOver("data:" + type + ";charset=utf-8," + encodeURIComponent(text), "flight_" + (attempt.index + 1) + "." + kind);
}
