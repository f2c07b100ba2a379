// The page of marks: a picture, a radius, its annuli as handles, as a list and on the profile.

import {
  acceptAnnuli, activeRadius, addAnnulus, annuliOf, deleteAnnulus, deleteSecondRadius,
  distanceText, farOf, fromServer, isDrawn, lengthOf, marginCode, marginShare, measured,
  moveAnnulus, newDrawing, nextPlace, notMarked, noteSuggestion, setEnd, switchRadius, toServer,
  typedDistance, undo,
} from "./marking.js";
import { singleKeysAreOn } from "../keys.js";
import { carrying, typedIn } from "./carried.js";
import { drawProfile, MarksOverlay, shareUnder } from "./marks_view.js";
import { openViewer } from "./viewer.js";

const OUT_OF_REACH = "The server can't be reached. Marks stay on this page; try again.";

class MarksPage {
  constructor(root) {
    this.root = root;
    this.umPerPx = Number(root.dataset.umPerPx);
    this.part = (name) => root.querySelector(`[data-${name}]`);
    this.field = root.querySelector("[name=marks]");
    const kept = JSON.parse(document.getElementById("marks-drawn").textContent);
    this.layers = kept.layers.map((layer) => fromServer(layer.radii));
    const sentBack = this.typed();
    this.wasSentBack = sentBack !== null;
    this.drawing = newDrawing(fromServer(sentBack ?? kept.own));
    this.brightness = [];
    this.suggested = [];
    this.viewer = openViewer(root.querySelector("[data-viewer]"));
    this.overlay = new MarksOverlay(this.viewer, this);
    this.listen();
    this.show();
    this.guardUnsaved();
    this.loadProfile();
  }

  /** Ask before the page is left with marks that were not saved; the other fields go along. */
  guardUnsaved() {
    const form = this.part("form");
    const saved = this.wasSentBack ? null : this.field.value;
    let sent = false;
    form.addEventListener("submit", () => {
      sent = true;
    });
    window.addEventListener("pageshow", () => {
      sent = false;
    });
    window.addEventListener("beforeunload", (event) => {
      if (!sent && this.field.value && this.field.value !== saved) event.preventDefault();
    });
    document.querySelector("[data-back-to-session]")?.addEventListener("click", ({ currentTarget }) => {
      currentTarget.href = carrying(currentTarget.href, typedIn(form));
    });
  }

  /** Return what the page was sent with before, where it came back with a problem. */
  typed() {
    try {
      return JSON.parse(this.field.value);
    } catch {
      return null;
    }
  }

  listen() {
    this.viewer.on("change", () => {
      this.drawOverlay();
      this.drawCurve();
    });
    this.viewer.on("tap", (point) => this.tap(point));
    this.viewer.stage.addEventListener("keydown", (event) => this.singleKey(event));
    this.root.addEventListener("click", (event) => {
      const act = event.target.closest("[data-act]")?.dataset.act;
      if (act) this.act(act, event.target.closest("[data-act]"));
    });
    this.root.addEventListener("change", (event) => {
      if (event.target.matches("[data-layer]")) this.drawOverlay();
      if (event.target.matches("[data-far]")) this.typeDistance(event.target);
    });
    this.part("profile-drawing").addEventListener("click", (event) => {
      const radius = activeRadius(this.drawing);
      if (!isDrawn(radius)) return;
      this.apply(addAnnulus(this.drawing, shareUnder(event.currentTarget, event) * lengthOf(radius)));
    });
  }

  // ---------- What is done ----------

  apply({ drawing, sentence }) {
    const before = activeRadius(this.drawing);
    this.drawing = drawing;
    const now = activeRadius(drawing);
    if (before?.core !== now?.core || before?.edge !== now?.edge) {
      this.suggested = [];
      this.part("suggested")?.replaceChildren();
      this.loadProfile();
    }
    this.show();
    if (sentence) this.say(sentence);
  }

  say(sentence) {
    this.part("say").textContent = sentence;
  }

  tap(point) {
    const radius = activeRadius(this.drawing);
    if (!radius?.core) this.apply(setEnd(this.drawing, "core", point));
    else if (!radius.edge) this.apply(setEnd(this.drawing, "edge", point));
    else this.apply(addAnnulus(this.drawing, farOf(radius, point)));
  }

  act(name, button) {
    const acts = {
      draw: () => this.drawRadius(),
      add: () => this.addNext(),
      undo: () => this.apply(undo(this.drawing)),
      switch: () => this.apply(switchRadius(this.drawing)),
      "delete-second": () => this.apply(deleteSecondRadius(this.drawing)),
      suggest: () => this.suggest(),
      "accept-all": () => this.accept(this.suggested),
      accept: () => this.accept([this.suggested[Number(button.dataset.place)]]),
      remove: () => this.remove(Number(button.dataset.place)),
    };
    acts[name]();
  }

  /** Place a radius where the view is, to be moved from there: the way of the keys. */
  drawRadius() {
    if (isDrawn(activeRadius(this.drawing))) {
      this.overlay.focus("core");
      this.say("The radius is drawn. Move its core and edge with the arrow keys.");
      return;
    }
    const { stage } = this.viewer;
    const at = (share) => this.viewer.toPicture({
      x: stage.clientWidth * share, y: stage.clientHeight / 2,
    });
    const { drawing } = setEnd(this.drawing, "core", this.onPicture(at(0.5)));
    this.apply(setEnd(drawing, "edge", this.onPicture(at(0.85))));
    this.say("Radius drawn. Move its core and edge with the arrow keys.");
    this.overlay.focus("core");
  }

  onPicture(point) {
    const { width, height } = this.viewer.root.dataset;
    const within = (value, most) => Math.min(Math.max(value, 0), Number(most));
    return { x: within(point.x, width), y: within(point.y, height) };
  }

  addNext() {
    const radius = activeRadius(this.drawing);
    const far = isDrawn(radius) ? nextPlace(radius) : 0;
    this.apply(addAnnulus(this.drawing, far));
    const place = activeRadius(this.drawing)?.annuli.indexOf(far) ?? -1;
    const input = this.part("list").querySelectorAll("[data-far]")[place];
    input?.focus();
    input?.select();
  }

  typeDistance(input) {
    const far = typedDistance(input.value, this.umPerPx);
    if (far === null) this.say("Enter a distance from the core, such as 0.94.");
    else this.apply(moveAnnulus(this.drawing, Number(input.dataset.far), far));
    this.show();
  }

  singleKey(event) {
    const act = { a: "add", z: "undo", d: "switch" }[event.key.toLowerCase()];
    if (!act || !singleKeysAreOn() || event.defaultPrevented) return;
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    event.preventDefault();
    if (act === "add") this.apply(addAnnulus(this.drawing, nextPlace(activeRadius(this.drawing) ?? { annuli: [] })));
    else this.act(act);
  }

  remove(place) {
    this.apply(deleteAnnulus(this.drawing, place));
    const inputs = this.part("list").querySelectorAll("[data-far]");
    const next = inputs[Math.min(place, inputs.length - 1)];
    (next ?? this.root.querySelector("[data-act=add]")).focus();
  }

  // What the overlay's handles ask for.

  moveAnnulus(place, point, isDone) {
    const radius = activeRadius(this.drawing);
    this.drag(isDone, point && moveAnnulus(this.drawing, place, farOf(radius, point)));
  }

  moveEnd(end, point, isDone) {
    this.drag(isDone, point && setEnd(this.drawing, end, this.onPicture(point)));
  }

  /** Show what a drag would do; only its end is a change, so that one undo takes it back. */
  drag(isDone, would) {
    if (isDone && would) this.apply(would);
    else this.drawOverlay(would ? activeRadius(would.drawing) : undefined);
  }

  nudge(place, px) {
    this.apply(moveAnnulus(this.drawing, place, activeRadius(this.drawing).annuli[place] + px));
  }

  nudgeEnd(end, dx, dy) {
    const point = activeRadius(this.drawing)[end];
    this.apply(setEnd(this.drawing, end, this.onPicture({ x: point.x + dx, y: point.y + dy })));
  }

  // ---------- The profile and suggestions ----------

  async ask(more = {}) {
    const { core, edge } = activeRadius(this.drawing);
    const query = new URLSearchParams({ x1: core.x, y1: core.y, x2: edge.x, y2: edge.y, ...more });
    const answer = await fetch(`${this.root.dataset.profile}?${query}`, {
      credentials: "same-origin", signal: this.newSignal(),
    });
    return answer.json();
  }

  newSignal() {
    this.asking?.abort();
    this.asking = new AbortController();
    return this.asking.signal;
  }

  async loadProfile() {
    this.brightness = [];
    if (!isDrawn(activeRadius(this.drawing))) return;
    try {
      const found = await this.ask();
      this.brightness = found.brightness ?? [];
      if (found.sentence) this.say(found.sentence);
      this.drawCurve();
    } catch (problem) {
      if (problem.name !== "AbortError") this.say(OUT_OF_REACH);
    }
  }

  async suggest() {
    if (!isDrawn(activeRadius(this.drawing))) {
      this.say("Draw a radius first: mark the core, then the edge.");
      return;
    }
    try {
      const found = await this.ask({ suggest: "yes", annuli: this.part("annuli").value });
      this.brightness = found.brightness ?? this.brightness;
      this.suggested = notMarked(activeRadius(this.drawing), found.positions_px ?? []);
      if (found.positions_px) this.drawing = noteSuggestion(this.drawing);
      this.show();
      this.tellSuggested(found.sentence || this.suggestedWords(found.positions_px.length));
    } catch (problem) {
      if (problem.name !== "AbortError") this.tellSuggested(OUT_OF_REACH);
    }
  }

  suggestedWords(count) {
    const marked = count - this.suggested.length;
    const already = marked ? `, ${marked} marked already` : "";
    return `${annuliOf(count)} suggested${already}.`;
  }

  tellSuggested(sentence) {
    this.part("suggested").querySelector("p").textContent = sentence;
    this.say(sentence);
  }

  accept(places) {
    this.suggested = this.suggested.filter((far) => !places.includes(far));
    this.apply(acceptAnnuli(this.drawing, places));
    this.root.querySelector("[data-act=accept-all], [data-act=suggest]").focus();
  }

  // ---------- What is shown ----------

  show() {
    this.field.value = this.drawing.radii.some(isDrawn) ? JSON.stringify(toServer(this.drawing)) : "";
    this.drawOverlay();
    this.drawCurve();
    this.showList();
    this.showSuggested();
    this.showWords();
  }

  drawOverlay(radius = activeRadius(this.drawing)) {
    const shown = [...this.root.querySelectorAll("[data-layer]:checked")];
    this.overlay.draw({
      active: radius,
      others: this.drawing.radii.filter((one, place) => place !== this.drawing.active),
      layers: shown.flatMap((box) => this.layers[Number(box.dataset.layer)]),
      suggested: this.suggested,
    });
  }

  drawCurve() {
    const radius = activeRadius(this.drawing);
    const length = lengthOf(radius) || 1;
    drawProfile(this.part("profile-drawing"), {
      brightness: this.brightness,
      marks: (radius?.annuli ?? []).map((far) => far / length),
      suggested: this.suggested.map((far) => far / length),
      text: `Brightness from core to edge, ${annuliOf(radius?.annuli.length ?? 0)} marked`,
    });
  }

  showList() {
    const radius = activeRadius(this.drawing);
    const list = this.part("list");
    const rows = isDrawn(radius) ? measured(radius, this.umPerPx) : [];
    const annuli = rows.slice(0, -1);
    while (list.childElementCount > annuli.length) list.lastElementChild.remove();
    while (list.childElementCount < annuli.length) list.append(newRow(list.childElementCount, this.umPerPx));
    annuli.forEach((row, place) => {
      const item = list.children[place];
      const input = item.querySelector("input");
      input.value = this.umPerPx ? (row.radius / 1000).toFixed(3) : row.radius.toFixed(1);
      item.querySelector("[data-increment]").textContent = `+${this.umPerPx ? (row.increment / 1000).toFixed(3) : row.increment.toFixed(1)}`;
    });
    const edge = rows.at(-1);
    this.part("edge").textContent = edge ? `Edge at ${distanceText(edge.radius / (this.umPerPx || 1), this.umPerPx)}` : "";
  }

  showSuggested() {
    const box = this.part("suggested");
    if (!box) return;
    const sentence = box.querySelector("p")?.textContent ?? "";
    const buttons = this.suggested.map((far, place) => newButton(
      `Accept ${distanceText(far, this.umPerPx)}`, "accept", place,
    ));
    if (buttons.length > 1) buttons.unshift(newButton(`Accept all ${buttons.length}`, "accept-all"));
    const words = document.createElement("p");
    words.textContent = sentence;
    box.replaceChildren(words, ...buttons);
  }

  showWords() {
    const radius = activeRadius(this.drawing);
    const first = this.drawing.radii[0];
    const second = this.drawing.radii[1];
    this.part("count").textContent = annuliOf(first?.annuli.length ?? 0)
      + (isDrawn(second) ? `; radius 2: ${second.annuli.length}` : "");
    const steps = ["Mark the core: press it on the picture, or choose Draw radius.", "Mark the edge.", "Mark each annulus on the radius. Drag a mark to move it."];
    this.part("step").textContent = `Radius ${this.drawing.active + 1}. ${steps[radius?.edge ? 2 : Number(Boolean(radius?.core))]}`;
    this.root.querySelector("[data-act=switch]").textContent = this.drawing.active ? "Radius 1" : "Radius 2";
    this.root.querySelector("[data-act=delete-second]").hidden = this.drawing.radii.length < 2;
    const share = isDrawn(first) ? marginShare(first) : null;
    this.part("margin").textContent = share === null ? "" : `From the marks: ${share.toFixed(2)} of the last increment, code ${marginCode(share)}.`;
  }
}

function newRow(place, umPerPx) {
  const row = document.createElement("li");
  const label = document.createElement("label");
  const input = document.createElement("input");
  Object.assign(input, { type: "number", min: "0", step: umPerPx ? "0.001" : "0.5", inputMode: "decimal" });
  input.dataset.far = String(place);
  const box = document.createElement("span");
  box.className = "box";
  box.append(input);
  label.append(newUnseen("Annulus "), String(place + 1), box, umPerPx ? "mm" : "px");
  const increment = document.createElement("span");
  increment.dataset.increment = "";
  const remove = newButton("Delete", "remove", place);
  remove.append(newUnseen(` annulus ${place + 1}`));
  row.append(label, increment, remove);
  return row;
}

function newUnseen(words) {
  const span = document.createElement("span");
  span.className = "unseen";
  span.textContent = words;
  return span;
}

function newButton(words, act, place = "") {
  const button = document.createElement("button");
  Object.assign(button, { type: "button", className: "button", textContent: words });
  button.dataset.act = act;
  button.dataset.place = String(place);
  return button;
}

const root = document.querySelector("[data-marks]");
if (root) new MarksPage(root);
