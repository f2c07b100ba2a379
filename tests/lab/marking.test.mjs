// Marks along a radius: what each change makes of them, and what is measured.

import assert from "node:assert/strict";
import test from "node:test";

import {
  acceptAnnuli, activeRadius, addAnnulus, deleteAnnulus, deleteSecondRadius, distanceText, farOf,
  fromServer, marginCode, marginShare, measured, moveAnnulus, newDrawing, nextPlace,
  notMarked, noteSuggestion, pointAt, setEnd, switchRadius, toServer, typedDistance, undo,
} from "../../samples/static/samples/lab/marking.js";

const CORE = { x: 100, y: 50 };
const EDGE = { x: 400, y: 450 };

/** A radius 500 px long, with annuli at these distances. */
function drawn(...annuli) {
  return newDrawing([{ core: CORE, edge: EDGE, annuli }]);
}

const annuliOf = ({ drawing }) => activeRadius(drawing).annuli;

test("core, then edge, make a radius", () => {
  const first = setEnd(newDrawing(), "core", CORE);
  assert.match(first.sentence, /edge/i);
  const second = setEnd(first.drawing, "edge", EDGE);
  assert.deepEqual(activeRadius(second.drawing), { core: CORE, edge: EDGE, annuli: [] });
});

test("annuli are kept in order, whatever order they are marked in", () => {
  const one = addAnnulus(drawn(200), 100);
  assert.deepEqual(annuliOf(one), [100, 200]);
  assert.match(one.sentence, /^Annulus 1 added\. 2 annuli/);
});

test("an annulus on another one, on the core or past the edge is refused", () => {
  for (const far of [200.5, 0, -1, 500.1, NaN]) {
    const found = addAnnulus(drawn(200), far);
    assert.deepEqual(annuliOf(found), [200]);
    assert.match(found.sentence, /No annulus added/);
  }
});

test("the last annulus may lie at the edge itself", () => {
  assert.deepEqual(annuliOf(addAnnulus(drawn(200), 500)), [200, 500]);
});

test("a mark before the radius is drawn says what to do first", () => {
  const found = addAnnulus(newDrawing(), 10);
  assert.equal(found.drawing.radii.length, 0);
  assert.match(found.sentence, /core/);
});

test("a moved annulus never passes its neighbors", () => {
  assert.deepEqual(annuliOf(moveAnnulus(drawn(100, 200, 300), 1, 350)), [100, 299, 300]);
  assert.deepEqual(annuliOf(moveAnnulus(drawn(100, 200, 300), 1, 20)), [100, 101, 300]);
  assert.deepEqual(annuliOf(moveAnnulus(drawn(100, 200), 1, 900)), [100, 500]);
  assert.deepEqual(annuliOf(moveAnnulus(drawn(100), 0, NaN)), [100]);
});

test("a deleted annulus comes back by undo, and each change is undone alone", () => {
  const less = deleteAnnulus(drawn(100, 200), 0);
  const more = addAnnulus(less.drawing, 300);
  const once = undo(more.drawing);
  assert.deepEqual(annuliOf(once), [200]);
  const twice = undo(once.drawing);
  assert.deepEqual(annuliOf(twice), [100, 200]);
  assert.match(undo(twice.drawing).sentence, /Nothing/);
});

test("a moved end keeps annuli at their share of the way", () => {
  const found = setEnd(drawn(100, 250), "edge", { x: 100, y: 1050 });
  assert.deepEqual(annuliOf(found), [200, 500]);
});

test("ends on each other are refused", () => {
  assert.deepEqual(activeRadius(setEnd(drawn(100), "edge", CORE).drawing).edge, EDGE);
});

test("a second radius stands beside the first, and goes alone", () => {
  let { drawing } = switchRadius(drawn(100, 200));
  drawing = setEnd(drawing, "core", CORE).drawing;
  drawing = setEnd(drawing, "edge", { x: 100, y: 350 }).drawing;
  drawing = addAnnulus(drawing, 90).drawing;
  assert.deepEqual(toServer(drawing).map((one) => one.annuli_px), [[100, 200], [90]]);
  assert.deepEqual(activeRadius(switchRadius(drawing).drawing).annuli, [100, 200]);
  assert.deepEqual(toServer(deleteSecondRadius(drawing).drawing).length, 1);
});

test("no second radius before the first", () => {
  assert.equal(switchRadius(newDrawing()).drawing.active, 0);
});

test("suggested annuli are no marks until they are accepted, and leave a trace", () => {
  const shown = noteSuggestion(drawn(100));
  assert.deepEqual(activeRadius(shown).annuli, [100]);
  assert.equal(toServer(shown)[0].with_suggestion, true);
  const taken = acceptAnnuli(shown, [100.4, 180, 260]);
  assert.deepEqual(annuliOf(taken), [100, 180, 260]);
  assert.match(taken.sentence, /^2 annuli added\. 3 annuli/);
});

test("what is marked already is not suggested again", () => {
  assert.deepEqual(notMarked(activeRadius(drawn(100, 260)), [103, 180, 270]), [180, 270]);
});

test("that suggestions were shown is not undone", () => {
  const shown = noteSuggestion(addAnnulus(drawn(), 100).drawing);
  assert.equal(toServer(undo(acceptAnnuli(shown, [200]).drawing).drawing)[0].with_suggestion, true);
});

test("points of the picture are found on the radius, and back", () => {
  const radius = activeRadius(drawn());
  assert.deepEqual(pointAt(radius, 250), { x: 250, y: 250 });
  assert.equal(farOf(radius, { x: 250, y: 250 }), 250);
  // Beside the radius the nearest point of it counts; beyond its ends, the end.
  assert.equal(farOf(radius, { x: 250 + 80, y: 250 - 60 }), 250);
  assert.equal(farOf(radius, { x: 1000, y: 1250 }), 500);
});

test("radii of a drawn otolith are measured within 1 percent", () => {
  // Rings of 0.4, 0.7 and 0.9 mm at 2.5 micrometers a pixel, marked a pixel off.
  const radius = activeRadius(drawn(161, 279, 361));
  const rows = measured(radius, 2.5);
  [400, 700, 900, 1250].forEach((true_um, place) => {
    assert.ok(Math.abs(rows[place].radius / true_um - 1) < 0.01);
  });
  assert.ok(Math.abs(rows[1].increment - (rows[1].radius - rows[0].radius)) < 1e-9);
});

test("the margin follows from the last full increment", () => {
  // Codes of the margin: under 1/3, to 2/3, over 2/3 of the last full increment.
  const codes = [[100, 300, 360], [100, 300, 400], [100, 300, 450]].map(
    ([first, second, edge]) => marginCode(marginShare(activeRadius(newDrawing([
      { core: { x: 0, y: 0 }, edge: { x: edge, y: 0 }, annuli: [first, second] },
    ])))),
  );
  assert.deepEqual(codes, [2, 3, 4]);
  assert.equal(marginShare(activeRadius(drawn())), null);
});

test("a distance is typed in millimeters where there is a scale, else in pixels", () => {
  assert.equal(typedDistance("0.5", 2.5), 200);
  assert.equal(typedDistance("0,5", 2.5), 200);
  assert.equal(typedDistance("120", 0), 120);
  assert.equal(typedDistance("", 2.5), null);
  assert.equal(typedDistance("far", 2.5), null);
  assert.equal(distanceText(200, 2.5), "0.500 mm");
});

test("the next annulus is placed between the last one and the edge", () => {
  assert.equal(nextPlace(activeRadius(drawn(300))), 400);
  assert.equal(nextPlace(activeRadius(drawn())), 250);
});

test("what the server kept comes back as it was", () => {
  const rows = [{ core: [1, 2], edge: [3, 40], annuli_px: [5, 9], with_suggestion: true }];
  assert.deepEqual(toServer(newDrawing(fromServer(rows))), rows);
});
