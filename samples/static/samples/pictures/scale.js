// Setting a scale: two taps on the picture fill in the fields, and typed pixels move the points.

import { openViewer, svgElement } from "../lab/viewer.js";
import { coordinate, distanceUm, withPoint } from "./points.js";

const ARM_PX = 14;

const viewer = openViewer(document.querySelector("[data-viewer]"));
const form = document.querySelector("[data-points]");
const apart = form.querySelector("[data-apart]");
const line = svgElement("line", { class: "points-line" });
const crosses = [1, 2].map((number) => {
  const group = svgElement("g", { class: "points-cross" });
  group.append(
    svgElement("path", { d: `M-${ARM_PX} 0H${ARM_PX}M0 -${ARM_PX}V${ARM_PX}` }),
    svgElement("text", { x: 8, y: -8 }),
  );
  group.lastChild.textContent = number;
  return group;
});
viewer.overlay.append(line, ...crosses);

function typedPoints() {
  return [1, 2].map((number) => {
    const x = coordinate(form.elements[`x${number}`].value);
    const y = coordinate(form.elements[`y${number}`].value);
    return x === null || y === null ? null : { x, y };
  });
}

function show() {
  const points = typedPoints();
  const places = points.map((point) => point && viewer.toScreen(point));
  crosses.forEach((cross, at) => {
    cross.toggleAttribute("hidden", !places[at]);
    if (places[at]) cross.setAttribute("transform", `translate(${places[at].x} ${places[at].y})`);
  });
  const [first, last] = places;
  line.toggleAttribute("hidden", !first || !last);
  apart.textContent = "";
  if (!first || !last) return;
  for (const [name, value] of [["x1", first.x], ["y1", first.y], ["x2", last.x], ["y2", last.y]]) {
    line.setAttribute(name, value);
  }
  const pixels = Math.hypot(points[0].x - points[1].x, points[0].y - points[1].y);
  const um = distanceUm(form.elements.distance.value);
  const scale = um && pixels ? ` That is ${(um / pixels).toPrecision(4)} µm a pixel.` : "";
  apart.textContent = `The points are ${pixels.toFixed(0)} pixels apart.${scale}`;
}

viewer.on("tap", (point) => {
  withPoint(typedPoints(), point).forEach((one, at) => {
    if (!one) return;
    form.elements[`x${at + 1}`].value = one.x.toFixed(1);
    form.elements[`y${at + 1}`].value = one.y.toFixed(1);
  });
  show();
});
viewer.on("change", show);
form.addEventListener("input", show);
show();
