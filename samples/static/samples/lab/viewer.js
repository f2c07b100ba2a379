// Shows one large picture by tiles: pan and zoom by mouse, keys and fingers; brightness, contrast
// and inversion change the view alone. Whoever draws on it puts elements into `overlay` and places
// them with toScreen() at each "change".

import {
  clamp, countLevels, fit, levelFor, panBy, scaleBar, tilesInView, toPicture, toScreen, zoomAt,
} from "./view_geometry.js";

const SVG = "http://www.w3.org/2000/svg";
const STEP = 1.25;
const PAN_PX = 60;
const TAP_PX = 5;
const MOST_TILES = 160;
const WIDEST_BAR_PX = 160;
const ASK_AGAIN_MS = 1000;

/**
 * Open the viewer in an element written by `pictures/viewer.html`. Its dataset says which picture:
 * `picture` (id), `width`, `height`, `umPerPx` (empty without a scale), `tiles`, `tileSize`.
 *
 * Returns `root`, `stage` (takes the pointer and the keys), `overlay` (an SVG over the picture in
 * screen pixels of the stage), `toPicture` and `toScreen` between its points and pixels of the
 * picture, `pointOf(event)` for the point of the stage under an event, `view` (center and zoom),
 * `show(view)`, `draw()`, and `on(name, listener)`, which returns what takes the listener away:
 *
 * - "change": pan, zoom or size changed;
 * - "tap": a press without a drag, with the pixel of the picture under it and the event.
 *
 * A drag that begins on an element of the overlay is that element's own: it stops the event.
 */
export function openViewer(root) {
  const viewer = new Viewer(root);
  return {
    root,
    stage: viewer.stage,
    overlay: viewer.overlay,
    toPicture: (point) => toPicture(viewer.view, viewer.frame, point),
    toScreen: (point) => toScreen(viewer.view, viewer.frame, point),
    pointOf: (event) => viewer.pointOf(event),
    get view() { return { ...viewer.view }; },
    show: (view) => viewer.show({ ...viewer.view, ...view }),
    draw: () => viewer.draw(),
    on: (name, listener) => viewer.on(name, listener),
  };
}

class Viewer {
  constructor(root) {
    this.root = root;
    this.picture = { width: Number(root.dataset.width), height: Number(root.dataset.height) };
    this.tileSize = Number(root.dataset.tileSize);
    this.levels = countLevels(this.picture, this.tileSize);
    this.umPerPx = Number(root.dataset.umPerPx);
    this.tiles = new Map();
    this.listeners = { change: new Set(), tap: new Set() };
    this.pointers = new Map();
    this.stage = root.querySelector("[data-stage]");
    this.canvas = root.querySelector("canvas");
    this.overlay = root.querySelector("[data-overlay]");
    this.bar = root.querySelector("[data-scale-bar]");
    this.base = this.load(root.dataset.thumbnail);
    this.isTiled = root.dataset.ready === "yes";
    this.isWhole = true;
    this.measure();
    this.view = fit(this.picture, this.frame);
    new ResizeObserver(() => this.resize()).observe(this.stage);
    listenToPointers(this);
    listenToKeys(this);
    listenToControls(this);
    this.draw();
    if (!this.isTiled) this.waitForTiles();
  }

  on(name, listener) {
    this.listeners[name].add(listener);
    return () => this.listeners[name].delete(listener);
  }

  tell(name, ...facts) {
    for (const listener of this.listeners[name]) listener(...facts);
  }

  measure() {
    this.frame = { width: this.stage.clientWidth || 1, height: this.stage.clientHeight || 1 };
    this.dots = window.devicePixelRatio || 1;
  }

  resize() {
    this.measure();
    this.show(this.isWhole ? fit(this.picture, this.frame) : this.view);
  }

  show(view) {
    this.view = clamp(view, this.picture, this.frame);
    this.isWhole = this.view.zoom === fit(this.picture, this.frame).zoom;
    this.draw();
    this.tell("change");
  }

  showWhole() {
    this.show(fit(this.picture, this.frame));
  }

  zoomBy(factor, point = { x: this.frame.width / 2, y: this.frame.height / 2 }) {
    this.show(zoomAt(this.view, this.picture, this.frame, factor, point));
  }

  pan(dx, dy) {
    this.show(panBy(this.view, this.picture, this.frame, dx, dy));
  }

  pointOf(event) {
    const box = this.stage.getBoundingClientRect();
    return { x: event.clientX - box.left, y: event.clientY - box.top };
  }

  // ---------- Drawing ----------

  /** Draw in the next frame of the screen; asked several times, once. */
  draw() {
    if (this.isDrawing) return;
    this.isDrawing = true;
    requestAnimationFrame(() => {
      this.isDrawing = false;
      this.paint();
    });
  }

  paint() {
    const { width, height } = this.frame;
    this.canvas.width = Math.round(width * this.dots);
    this.canvas.height = Math.round(height * this.dots);
    this.overlay.setAttribute("viewBox", `0 0 ${width} ${height}`);
    const pen = this.canvas.getContext("2d");
    pen.scale(this.dots, this.dots);
    pen.imageSmoothingEnabled = this.view.zoom < 2;
    this.paintPart(pen, this.base, { x: 0, y: 0, ...this.picture });
    if (this.isTiled) this.paintTiles(pen);
    this.paintScaleBar();
    this.root.dataset.zoom = this.view.zoom.toPrecision(4);
  }

  paintTiles(pen) {
    const sharp = levelFor(this.view.zoom, this.dots, this.levels);
    // Coarser ones that are there already lie beneath those still on their way.
    for (let level = 0; level <= sharp; level += 1) {
      const boxes = tilesInView(
        this.view, this.picture, this.frame, level, this.levels, this.tileSize,
      );
      for (const box of boxes) {
        const name = `${box.level}/${box.column}_${box.row}`;
        if (level === sharp || level === 0) this.fetchTile(name);
        this.paintPart(pen, this.tiles.get(name), box);
      }
    }
    this.stage.dataset.level = String(sharp);
  }

  paintPart(pen, image, box) {
    if (!image || !image.isThere) return;
    const corner = toScreen(this.view, this.frame, box);
    const { zoom } = this.view;
    pen.drawImage(image, corner.x, corner.y, box.width * zoom, box.height * zoom);
  }

  fetchTile(name) {
    const known = this.tiles.get(name);
    this.tiles.delete(name);
    this.tiles.set(name, known ?? this.load(`${this.root.dataset.tiles}${name}.jpg`));
    // Those not looked at for longest go first.
    if (this.tiles.size > MOST_TILES) this.tiles.delete(this.tiles.keys().next().value);
  }

  load(address) {
    const image = new Image();
    image.decoding = "async";
    image.addEventListener("load", () => {
      image.isThere = true;
      this.draw();
    });
    image.src = address;
    return image;
  }

  paintScaleBar() {
    if (!this.bar) return;
    const widest = Math.min(WIDEST_BAR_PX, this.frame.width / 3);
    const { width, label } = scaleBar(this.umPerPx, this.view.zoom, widest);
    this.bar.style.inlineSize = `${width}px`;
    this.root.querySelector("[data-scale-words]").textContent = label;
  }

  // ---------- Tiles on their way ----------

  async waitForTiles() {
    const notice = this.root.querySelector("[data-waiting]");
    try {
      const answer = await fetch(this.root.dataset.tiles, { credentials: "same-origin" });
      const { state, sentence } = await answer.json();
      this.isTiled = state === "ready";
      if (notice) notice.textContent = this.isTiled ? "" : sentence;
      if (this.isTiled) this.draw();
      if (state !== "waiting") return;
    } catch {
      // Nobody answers just now: the small picture stays, and is asked about again.
    }
    setTimeout(() => this.waitForTiles(), ASK_AGAIN_MS);
  }
}

// ---------- Hands ----------

function listenToPointers(viewer) {
  const { stage } = viewer;
  let moved = 0;
  stage.addEventListener("pointerdown", (event) => {
    if (event.button !== 0) return;
    stage.setPointerCapture(event.pointerId);
    viewer.pointers.set(event.pointerId, viewer.pointOf(event));
    if (viewer.pointers.size === 1) moved = 0;
  });
  stage.addEventListener("pointermove", (event) => {
    const before = viewer.pointers.get(event.pointerId);
    if (!before) return;
    const now = viewer.pointOf(event);
    const others = [...viewer.pointers].filter(([id]) => id !== event.pointerId);
    moved += Math.hypot(now.x - before.x, now.y - before.y);
    viewer.pointers.set(event.pointerId, now);
    if (others.length) pinch(viewer, before, now, others[0][1]);
    else if (moved > TAP_PX) viewer.pan(now.x - before.x, now.y - before.y);
  });
  const end = (event) => {
    const wasDown = viewer.pointers.delete(event.pointerId);
    if (!wasDown || event.type !== "pointerup" || viewer.pointers.size || moved > TAP_PX) return;
    const point = toPicture(viewer.view, viewer.frame, viewer.pointOf(event));
    viewer.tell("tap", point, event);
  };
  stage.addEventListener("pointerup", end);
  stage.addEventListener("pointercancel", end);
  // A page is scrolled by the same wheel: the picture takes it once it was clicked or has the
  // focus, and always with Ctrl, which is also how a trackpad says that two fingers part.
  let isInHand = false;
  document.addEventListener("pointerdown", (event) => {
    isInHand = stage.contains(event.target);
  });
  stage.addEventListener("wheel", (event) => {
    if (!event.ctrlKey && !isInHand && !stage.matches(":focus-within")) return;
    event.preventDefault();
    viewer.zoomBy(STEP ** (-event.deltaY / 100), viewer.pointOf(event));
  }, { passive: false });
}

/** Zoom by how two fingers part, about the one that rests, and move with their middle. */
function pinch(viewer, before, now, other) {
  const apart = (point) => Math.max(Math.hypot(point.x - other.x, point.y - other.y), 1);
  const middle = { x: (now.x + other.x) / 2, y: (now.y + other.y) / 2 };
  viewer.zoomBy(apart(now) / apart(before), middle);
  viewer.pan((now.x - before.x) / 2, (now.y - before.y) / 2);
}

const KEYS = {
  "+": (viewer) => viewer.zoomBy(STEP),
  "=": (viewer) => viewer.zoomBy(STEP),
  "-": (viewer) => viewer.zoomBy(1 / STEP),
  0: (viewer) => viewer.showWhole(),
  ArrowLeft: (viewer) => viewer.pan(PAN_PX, 0),
  ArrowRight: (viewer) => viewer.pan(-PAN_PX, 0),
  ArrowUp: (viewer) => viewer.pan(0, PAN_PX),
  ArrowDown: (viewer) => viewer.pan(0, -PAN_PX),
};

function listenToKeys(viewer) {
  viewer.stage.addEventListener("keydown", (event) => {
    const act = KEYS[event.key];
    if (!act || event.ctrlKey || event.metaKey || event.altKey || event.defaultPrevented) return;
    event.preventDefault();
    act(viewer);
  });
}

function listenToControls(viewer) {
  const controls = viewer.root.querySelector("[data-view-controls]");
  if (!controls) return;
  controls.addEventListener("click", (event) => {
    const act = KEYS[event.target.closest("[data-key]")?.dataset.key];
    if (act) act(viewer);
  });
  const adjust = () => {
    const value = (name) => controls.querySelector(`[data-adjust="${name}"]`);
    const parts = [`brightness(${value("brightness").value}%)`];
    parts.push(`contrast(${value("contrast").value}%)`);
    if (value("invert").checked) parts.push("invert(1)");
    viewer.canvas.style.filter = parts.join(" ");
  };
  controls.addEventListener("input", adjust);
  // Enter in one of its fields would load the page again.
  controls.addEventListener("submit", (event) => event.preventDefault());
  controls.addEventListener("reset", () => requestAnimationFrame(adjust));
}

/** Fetch what a picture shows at first, for a page to come: the dataset of its viewer and a frame. */
export function preloadPicture({ width, height, tileSize, tiles, thumbnail, ready }, frame) {
  const fetchImage = (address) => { new Image().src = address; };
  fetchImage(thumbnail);
  if (ready !== "yes") return;
  const picture = { width: Number(width), height: Number(height) };
  const levels = countLevels(picture, Number(tileSize));
  const view = fit(picture, frame);
  const level = levelFor(view.zoom, window.devicePixelRatio || 1, levels);
  for (const one of tilesInView(view, picture, frame, level, levels, Number(tileSize))) {
    fetchImage(`${tiles}${one.level}/${one.column}_${one.row}.jpg`);
  }
}

/** Return a new element for the overlay. */
export function svgElement(name, attributes = {}) {
  const made = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
  return made;
}
