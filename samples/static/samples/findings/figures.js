// Figures under the hand: point at a dot to see its fish, move the limit to read the lines there.
//
// The page says everything without it: the fish stand in a list, the lines in a table.

const REACH = 14;
const MOST_NAMED = 3;

/** Return the corners of an SVG line, such as "38,71.3 40,71". */
export function pointsOf(text) {
  return text.trim().split(/\s+/).filter(Boolean).map((pair) => pair.split(",").map(Number));
}

/** Return which point lies nearest to a place, no farther than in reach; -1 if there is none. */
export function nearest(points, x, y, reach = REACH) {
  let found = -1;
  let least = reach;
  points.forEach(([px, py], at) => {
    const away = Math.hypot(px - x, py - y);
    if (away <= least) [found, least] = [at, away];
  });
  return found;
}

/** Return which points lie on the same spot as one of them: fish of one age and length. */
export function together(points, at) {
  if (at < 0) return [];
  const [x, y] = points[at];
  return points.flatMap(([px, py], other) => (px === x && py === y ? [other] : []));
}

/** Return a value of a line between its points; null where the line does not reach. */
export function valueAt(xs, ys, x) {
  const after = xs.findIndex((one) => one >= x);
  if (after < 0 || x < xs[0]) return null;
  if (xs[after] === x) return ys[after];
  const share = (x - xs[after - 1]) / (xs[after] - xs[after - 1]);
  return ys[after - 1] + share * (ys[after] - ys[after - 1]);
}

/** Return a change in percent with its sign. */
export function signed(value) {
  const number = Math.round(value);
  if (number === 0) return "0";
  return number > 0 ? `+${number}` : `\u2212${-number}`;
}

/** Return what a group's line says at a limit: the change, and its interval. */
export function changeAt(line, limit) {
  const [middle, low, high] = [line.middle, line.low, line.high].map((ys) => valueAt(line.x, ys, limit));
  if (middle === null) return { answer: "no change", interval: "" };
  return { answer: `${signed(middle)}%`, interval: `(${signed(low)} to ${signed(high)})` };
}

/** Return the values at a place of a drawing, by the scale that the drawing carries. */
export function valuesAt(scale, x, y) {
  const [xLow, xHigh, xStart, xEnd, yLow, yHigh, yStart, yEnd] = scale;
  const between = (at, low, high, start, end) => low + ((at - start) / (end - start)) * (high - low);
  return [between(x, xLow, xHigh, xStart, xEnd), between(y, yLow, yHigh, yStart, yEnd)];
}

/** Return where a value lies in a drawing. */
export function placeOf(scale, value) {
  const [low, high, start, end] = scale;
  return start + ((value - low) / (high - low)) * (end - start);
}

/** Return what the axes say of a dot. */
export function wordsFor(values, axes) {
  return values.map((value, at) => `${axes[at]} ${value.toFixed(1)}`).join(", ");
}

/** Return what a link to a vial, or what stands for a fish without one, says. */
export const nameOf = (vial) => (vial ? `Vial ${vial}` : "Fish without a vial");

const scaleOf = (svg) => svg.dataset.scale.split(" ").map(Number);

function placeIn(svg, event) {
  const box = svg.getBoundingClientRect();
  const [, , wide, high] = svg.getAttribute("viewBox").split(" ").map(Number);
  return [((event.clientX - box.left) / box.width) * wide, ((event.clientY - box.top) / box.height) * high];
}

function ringAt(svg) {
  const ring = document.createElementNS(svg.namespaceURI, "circle");
  ring.setAttribute("class", "draw-chosen");
  ring.setAttribute("r", "5");
  svg.append(ring);
  return ring;
}

function linkTo(vial, address) {
  const link = document.createElement(vial ? "a" : "span");
  if (vial) link.href = `${address}${vial}/`;
  link.textContent = nameOf(vial);
  return link;
}

function showFish(panel, vials, axes, address) {
  const tip = document.createElement("p");
  tip.className = "panel-tip soft no-print";
  tip.textContent = "Point at a dot to see its fish.";
  panel.querySelector(".panel-list")?.before(tip);
  for (const svg of panel.querySelectorAll("svg.panel-plot")) {
    const points = pointsOf(svg.querySelector("[data-dots]")?.getAttribute("points") ?? "");
    let ring = null;
    let chosen = -1;
    let only = "";
    const choose = (event) => {
      const [x, y] = placeIn(svg, event);
      const found = nearest(points, x, y, event.pointerType === "touch" ? 2 * REACH : REACH);
      if (found === chosen) return;
      chosen = found;
      ring?.remove();
      ring = null;
      // Those with a page of their own first: only so many are named.
      const here = together(points, chosen).map((one) => vials[one]).sort((one, other) => Boolean(other) - Boolean(one));
      only = here.length === 1 ? here[0] : "";
      svg.toggleAttribute("data-hit", Boolean(only));
      if (chosen < 0) return;
      ring = ringAt(svg);
      ring.setAttribute("cx", points[chosen][0]);
      ring.setAttribute("cy", points[chosen][1]);
      const links = here.slice(0, MOST_NAMED).flatMap((vial) => [linkTo(vial, address), ", "]);
      const more = here.length > MOST_NAMED ? `and ${here.length - MOST_NAMED} more, ` : "";
      tip.replaceChildren(...links, more, wordsFor(valuesAt(scaleOf(svg), ...points[chosen]), axes));
    };
    svg.addEventListener("pointermove", choose);
    svg.addEventListener("pointerdown", choose);
    svg.addEventListener("click", (event) => {
      // A finger covers the dot that it touches: what it says is read first, and followed there.
      if (event.pointerType !== "touch" && only) location.assign(`${address}${only}/`);
    });
  }
}

function moveLine(figure, { value, unit, panels: lines }) {
  const control = figure.querySelector(".move-line");
  if (!control) return;
  const [range, output] = [control.querySelector("input"), control.querySelector("output")];
  const named = (limit) => `${unit === "in" ? limit.toFixed(1) : Math.round(limit)} ${unit}`;
  const limits = lines.flatMap((line) => line.x);
  range.min = Math.min(...limits);
  range.max = Math.max(...limits);
  range.step = unit === "in" ? "0.1" : "1";
  range.value = value;
  output.textContent = named(value);
  control.hidden = false;
  range.addEventListener("input", () => {
    const limit = Number(range.value);
    const words = named(limit);
    const said = [];
    output.textContent = words;
    figure.querySelectorAll("[data-panel]").forEach((panel, at) => {
      const { answer, interval } = changeAt(lines[at], limit);
      panel.querySelector("[data-answer]").textContent = answer;
      panel.querySelector("[data-interval]").textContent = interval;
      said.push(`${panel.querySelector("h3").firstChild.textContent.trim()} ${answer}`);
      for (const svg of panel.querySelectorAll("svg.panel-plot")) {
        const [, , , , , , bottom, top] = scaleOf(svg);
        const x = placeOf(scaleOf(svg), limit).toFixed(1);
        for (const mark of svg.querySelectorAll("[data-mark]")) mark.setAttribute("d", `M${x} ${top}V${bottom}`);
      }
    });
    range.setAttribute("aria-valuetext", `${words}: ${said.join(", ")}`);
  });
}

function start() {
  const block = document.getElementById("figure-data");
  if (!block) return;
  const data = JSON.parse(block.textContent);
  for (const figure of document.querySelectorAll("[data-figure]")) {
    const place = figure.dataset.figure;
    const dots = data.dots[place] ?? [];
    figure.querySelectorAll("[data-panel]").forEach((panel, at) => {
      if (dots[at]) showFish(panel, dots[at].split(" "), data.axes[place], data.address);
    });
    if (data.lines[place]) moveLine(figure, data.lines[place]);
  }
}

if (typeof document !== "undefined") start();
