// What each key does in a reading session, by where it is pressed.

import assert from "node:assert/strict";
import test from "node:test";

import { keyAction } from "../../samples/static/samples/lab/session_keys.js";

const IN_COUNT = { field: "annuli", isText: true, isControl: false, letters: true };
const IN_MARGIN = { field: "margin", isText: false, isControl: false, letters: true };
const IN_NOTE = { field: "note", isText: true, isControl: false, letters: true };

test("digits are typed into the count, and set the margin once space has led there", () => {
  assert.equal(keyAction("4", IN_COUNT), null);
  assert.equal(keyAction(" ", IN_COUNT)[0], "focus");
  assert.deepEqual(keyAction("4", IN_MARGIN), ["margin", "4"]);
  assert.equal(keyAction("5", IN_MARGIN), null);
});

test("letters set the readability from the count and are text in the note", () => {
  assert.deepEqual(keyAction("f", IN_COUNT), ["readability", "2"]);
  assert.deepEqual(keyAction("P", IN_MARGIN), ["readability", "3"]);
  assert.equal(keyAction("f", IN_NOTE), null);
});

test("single letters do nothing where a person switched them off", () => {
  assert.equal(keyAction("x", { ...IN_COUNT, letters: false }), null);
  assert.deepEqual(keyAction("x", IN_COUNT), ["toggle", "cannot_be_read"]);
});

test("enter saves from count, margin and note, and held down it saves once", () => {
  for (const where of [IN_COUNT, IN_MARGIN, IN_NOTE]) assert.deepEqual(keyAction("Enter", where), ["save"]);
  assert.deepEqual(keyAction("Enter", { ...IN_COUNT, repeated: true }), ["wait"]);
});

test("V leads to the picture and A back to the count, except in the note", () => {
  const onPicture = { field: "", isText: false, isControl: false, letters: true };
  assert.deepEqual(keyAction("v", IN_COUNT), ["focus", "[data-shown]:not([hidden]) [data-stage]"]);
  assert.deepEqual(keyAction("a", onPicture), ["focus", '[name="annuli"]']);
  assert.equal(keyAction("v", IN_NOTE), null);
  // What the viewer takes is none of the session's.
  for (const key of ["+", "-", "0", "ArrowLeft", "ArrowUp"]) assert.equal(keyAction(key, onPicture), null);
});

test("on a link or a button enter is the browser's own", () => {
  assert.equal(keyAction("Enter", { field: "", isText: false, isControl: true, letters: true }), null);
});
