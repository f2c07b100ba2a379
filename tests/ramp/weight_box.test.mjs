// The field of a weight: what was filled in and left alone is the very weight, not its rounded text.

import assert from "node:assert/strict";
import test from "node:test";

import { parseWeight, weightText } from "../../samples/static/samples/ramp/rules.js";
import { makeWeightBox } from "../../samples/static/samples/ramp/weight_box.js";

class Node {
  constructor() {
    Object.assign(this, { dataset: {}, children: [], value: "", heard: {} });
  }

  setAttribute() {}

  append(...nodes) {
    this.children.push(...nodes);
  }

  after(node) {
    this.next = node;
  }

  replaceChildren() {}

  get lastElementChild() {
    return this.children.at(-1);
  }

  addEventListener(name, work) {
    this.heard[name] = work;
  }

  type(text) {
    this.value = text;
    this.heard.input?.();
  }
}

function weightBox(unit) {
  globalThis.document = { createElement: () => new Node() };
  const box = new Node();
  const input = new Node();
  const place = { querySelector: (what) => (what === ".box" ? box : new Node()) };
  const weight = makeWeightBox(place, input);
  weight.fill({ weight_unit: unit });
  const [pounds, ounces] = box.next.children.map(({ children: [one] }) => one);
  return { weight, input, pounds, ounces };
}

const grams = ({ weight }, unit) => parseWeight(weight.value, unit).grams;

test("a weight that is left as it was filled in keeps its grams, in every unit", () => {
  for (const unit of ["g", "lb", "lb_oz"]) {
    for (const kept of [1, 310, 311, 567, 60_000]) {
      const box = weightBox(unit);
      box.weight.value = kept;
      assert.equal(grams(box, unit), kept, `${kept} g at ${unit}`);
    }
  }
  assert.notEqual(parseWeight(weightText(310, "lb_oz"), "lb_oz").grams, 310);
});

test("one that is typed anew counts as typed, and typed back is the weight that was filled in", () => {
  const box = weightBox("lb_oz");
  box.weight.value = 310;
  box.ounces.type("11");
  assert.equal(grams(box, "lb_oz"), 312);
  box.ounces.type("10.9");
  assert.equal(grams(box, "lb_oz"), 310);
  box.weight.value = "";
  assert.equal(box.weight.value, "");
});

test("a draft that was put away and taken out again keeps grams and what is shown", () => {
  for (const unit of ["lb", "lb_oz"]) {
    const [before, after] = [weightBox(unit), weightBox(unit)];
    before.weight.value = 310;
    after.weight.value = before.weight.value;
    assert.deepEqual([grams(after, unit), after.input.value, after.pounds.value], [310, before.input.value, before.pounds.value]);
  }
});
