// What an address carries of an otolith between its session and its marks.

import assert from "node:assert/strict";
import test from "node:test";

import { carrying } from "../../samples/static/samples/lab/carried.js";

const SESSION = "https://example.org/session/?place=3&annuli=4&margin=2&note=near+the+core";

test("what was typed takes the place of what the address carried", () => {
  const address = new URL(carrying(SESSION, { margin: "3", readability: "1", note: "edge & core" }));
  assert.equal(address.searchParams.get("margin"), "3");
  assert.equal(address.searchParams.get("readability"), "1");
  assert.equal(address.searchParams.get("note"), "edge & core");
});

test("a field that is emptied is dropped, and one that the page lacks is kept", () => {
  const address = new URL(carrying(SESSION, { margin: "", note: "" }));
  assert.deepEqual([...address.searchParams.keys()], ["place", "annuli"]);
  assert.equal(address.searchParams.get("annuli"), "4");
});
