import assert from "node:assert/strict";
import test from "node:test";

import { addressOf } from "../../samples/static/samples/vials/labels.js";

const TYPED = [
  ["season", "1"],
  ["stock", "sheet-35x15"],
  ["sheet", "part-3"],
  ["first_position", "42"],
  ["csrfmiddlewaretoken", "secret"],
  ["request_id", "one"],
];

const words = (changed) => new URLSearchParams(addressOf("/labels/", TYPED, changed).split("?")[1]);

test("a preview is asked for with what is typed, and with nothing secret", () => {
  assert.deepEqual(
    [...words("count").keys()],
    ["season", "stock", "sheet", "first_position"],
  );
});

test("another stock has a part-used sheet of its own, and begins where that one does", () => {
  assert.deepEqual([...words("stock").keys()], ["season", "stock"]);
});

test("another sheet or order begins at its own first free position", () => {
  assert.equal(words("sheet").has("first_position"), false);
  assert.equal(words("sheet").get("sheet"), "part-3");
  assert.equal(words("order").has("first_position"), false);
});
