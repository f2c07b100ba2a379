// Draws marks over the picture and on the brightness profile. Handles are moved here by pointer
// and keys; what a move makes of the marks is the caller's.

import { isDrawn, lengthOf, pointAt } from "./marking.js";
import { svgElement } from "./viewer.js";

const HIT_PX = 15;
const TICK_PX = 11;
const LABEL_PX = 26;
const FINE_PX = 1;
const COARSE_PX = 10;
const HEIGHT = 150;
const TOP = 34;
const BOTTOM = 140;
const KEYS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };

/**
 * Draw on the overlay of a viewer. `hands` has `moveEnd(end, point, isDone)`,
 * `moveAnnulus(place, point, isDone)`, `nudge(place, px)`, `nudgeEnd(end, dx, dy)` and
 * `remove(place)`.
 */
export class MarksOverlay {
  constructor(viewer, hands) {
    this.viewer = viewer;
    this.hands = hands;
    this.still = svgElement("g", { class: "marks-still" });
    this.live = svgElement("g");
    viewer.overlay.append(this.still, this.live);
    this.handles = new Map();
  }

  /** Draw the active radius with handles; other radii, layers and suggestions without. */
  draw({ active, others, layers, suggested }) {
    this.still.replaceChildren();
    for (const radius of others) this.drawStill(radius, "marks-other", (place) => place + 1);
    for (const radius of layers) this.drawStill(radius, "marks-layer", (place) => place + 1);
    if (isDrawn(active)) this.drawStill({ ...active, annuli: suggested }, "marks-suggested", () => "?");
    this.drawActive(active);
  }

  drawStill(radius, name, label) {
    if (!isDrawn(radius)) return;
    const { from, to } = this.ends(radius);
    const at = line(from, to);
    const dark = svgElement("line", { class: "marks-casing", ...at });
    this.still.append(dark, svgElement("line", { class: `marks-line ${name}`, ...at }));
    radius.annuli.forEach((far, place) => {
      const mark = svgElement("g", { class: name });
      this.placeMark(mark, radius, far, place + 1, label(place), true);
      this.still.append(mark);
    });
  }

  ends(radius) {
    return { from: this.viewer.toScreen(radius.core), to: this.viewer.toScreen(radius.edge) };
  }

  drawActive(radius) {
    const names = [];
    if (isDrawn(radius)) {
      const { from, to } = this.ends(radius);
      for (const name of ["casing", "line"]) {
        setAll(this.handle(name, () => svgElement("line", { class: `marks-${name}` })), line(from, to));
        names.push(name);
      }
    }
    for (const end of ["core", "edge"]) {
      if (!radius?.[end]) continue;
      names.push(end);
      this.drawEnd(end, this.viewer.toScreen(radius[end]));
    }
    if (isDrawn(radius)) {
      radius.annuli.forEach((far, place) => {
        names.push(`annulus-${place}`);
        const mark = this.handle(`annulus-${place}`, () => this.newAnnulus(place));
        mark.setAttribute("aria-valuenow", far.toFixed(1));
        mark.setAttribute("aria-valuemax", lengthOf(radius).toFixed(1));
        this.placeMark(mark, radius, far, place, place + 1, false);
      });
    }
    for (const [name, element] of this.handles) {
      if (names.includes(name)) continue;
      element.remove();
      this.handles.delete(name);
    }
  }

  handle(name, make) {
    if (!this.handles.has(name)) {
      const made = make();
      this.handles.set(name, made);
      this.live.append(made);
    }
    return this.handles.get(name);
  }

  drawEnd(end, point) {
    const handle = this.handle(end, () => this.newEnd(end));
    for (const circle of handle.children) setAll(circle, { cx: point.x, cy: point.y });
  }

  newEnd(end) {
    const label = end === "core" ? "Core" : "Edge";
    const handle = svgElement("g", {
      class: "marks-handle", tabindex: 0, role: "button", "data-handle": end,
      "aria-label": `${label}, move with the arrow keys`,
    });
    handle.append(
      svgElement("circle", { class: "marks-hit", r: HIT_PX }),
      svgElement("circle", { class: "marks-end", r: end === "core" ? 6 : 4 }),
    );
    this.drag(handle, (point, isDone) => this.hands.moveEnd(end, point, isDone));
    handle.addEventListener("keydown", (event) => {
      const step = KEYS[event.key];
      if (!step) return;
      event.preventDefault();
      const size = event.shiftKey ? COARSE_PX : FINE_PX;
      this.hands.nudgeEnd(end, step[0] * size, step[1] * size);
    });
    return handle;
  }

  newAnnulus(place) {
    const handle = svgElement("g", {
      class: "marks-handle marks-own", tabindex: 0, role: "slider", "data-handle": `annulus-${place}`,
      "aria-label": `Annulus ${place + 1}, pixels from the core`, "aria-valuemin": 0,
    });
    this.drag(handle, (point, isDone) => this.hands.moveAnnulus(place, point, isDone));
    handle.addEventListener("keydown", (event) => {
      const outward = { ArrowRight: 1, ArrowUp: 1, ArrowLeft: -1, ArrowDown: -1 }[event.key];
      if (outward) {
        event.preventDefault();
        this.hands.nudge(place, outward * (event.shiftKey ? COARSE_PX : FINE_PX));
      } else if (event.key === "Delete" || event.key === "Backspace") {
        event.preventDefault();
        this.hands.remove(place);
      }
    });
    return handle;
  }

  /** Put a tick across the radius and its number beside it, on alternate sides. */
  placeMark(mark, radius, far, place, label, isStill) {
    const at = this.viewer.toScreen(pointAt(radius, far));
    const { from, to } = this.ends(radius);
    const length = Math.hypot(to.x - from.x, to.y - from.y) || 1;
    const across = { x: -(to.y - from.y) / length, y: (to.x - from.x) / length };
    const side = place % 2 ? -1 : 1;
    if (!mark.childElementCount) {
      const square = isStill
        ? svgElement("rect", { class: "marks-plate", width: 18, height: 18 })
        : svgElement("circle", { class: "marks-plate", r: 10 });
      const ticks = ["marks-casing", "marks-tick"].map((name) => svgElement("line", { class: name }));
      const parts = [...ticks, square, svgElement("text", { class: "marks-number" })];
      if (!isStill) parts.unshift(svgElement("circle", { class: "marks-hit", r: HIT_PX }));
      mark.append(...parts);
    }
    const away = (reach) => ({ x: at.x + side * reach * across.x, y: at.y + side * reach * across.y });
    const plate = away(LABEL_PX);
    for (const tick of mark.querySelectorAll("line")) setAll(tick, line(away(-TICK_PX), away(TICK_PX)));
    setAll(mark.querySelector(".marks-hit"), { cx: at.x, cy: at.y });
    setAll(mark.querySelector(".marks-plate"), isStill ? { x: plate.x - 9, y: plate.y - 9 } : { cx: plate.x, cy: plate.y });
    const number = mark.querySelector(".marks-number");
    setAll(number, { x: plate.x, y: plate.y + 5 });
    number.textContent = String(label);
  }

  /** A drag that begins on a handle is the handle's own: the picture stays where it is. */
  drag(handle, move) {
    let isDown = false;
    const pointOf = (event) => this.viewer.toPicture(this.viewer.pointOf(event));
    handle.addEventListener("pointerdown", (event) => {
      if (event.button !== 0) return;
      event.stopPropagation();
      event.preventDefault();
      handle.focus({ preventScroll: true });
      handle.setPointerCapture(event.pointerId);
      isDown = true;
    });
    handle.addEventListener("pointermove", (event) => {
      if (!isDown) return;
      event.stopPropagation();
      move(pointOf(event), false);
    });
    const end = (event) => {
      if (!isDown) return;
      isDown = false;
      event.stopPropagation();
      move(event.type === "pointerup" ? pointOf(event) : null, true);
    };
    handle.addEventListener("pointerup", end);
    handle.addEventListener("pointercancel", end);
  }

  focus(name) {
    this.handles.get(name)?.focus({ preventScroll: true });
  }
}

function line(from, to) {
  return { x1: from.x, y1: from.y, x2: to.x, y2: to.y };
}

function setAll(element, attributes) {
  if (!element) return;
  for (const [key, value] of Object.entries(attributes)) element.setAttribute(key, value);
}

// ---------- The profile ----------

/** Draw brightness from core to edge with a line at each mark; `text` names a share's distance. */
export function drawProfile(svg, { brightness, marks, suggested, text }) {
  svg.replaceChildren();
  if (!brightness.length) return;
  const width = svg.clientWidth || 900;
  svg.setAttribute("viewBox", `0 0 ${width} ${HEIGHT}`);
  const least = Math.min(...brightness);
  const spread = Math.max(...brightness) - least || 1;
  const points = brightness.map((value, place) => {
    const x = (place / (brightness.length - 1)) * width;
    return `${x.toFixed(1)} ${(BOTTOM - ((value - least) / spread) * (BOTTOM - TOP - 8)).toFixed(1)}`;
  });
  svg.append(
    svgElement("path", { class: "marks-area", d: `M0 ${BOTTOM}L${points.join("L")}L${width} ${BOTTOM}Z` }),
    svgElement("path", { class: "marks-curve", d: `M${points.join("L")}` }),
  );
  marks.forEach((share, place) => addLine(svg, share * width, place + 1, "marks-at"));
  suggested.forEach((share) => addLine(svg, share * width, "?", "marks-at marks-at-suggested"));
  svg.setAttribute("aria-label", text);
}

function addLine(svg, x, label, name) {
  const number = svgElement("text", { class: "marks-number", x, y: 20 });
  number.textContent = String(label);
  svg.append(svgElement("line", { class: name, x1: x, x2: x, y1: 28, y2: BOTTOM }), number);
}

/** Return how far along the profile an event points, as a share. */
export function shareUnder(svg, event) {
  const box = svg.getBoundingClientRect();
  return Math.min(Math.max((event.clientX - box.left) / box.width, 0), 1);
}
