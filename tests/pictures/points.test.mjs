// Points of a scale, and files that are chosen: node --test tests/pictures/points.test.mjs

import assert from "node:assert/strict";
import { test } from "node:test";

import { listFiles, refusedHere } from "../../samples/static/samples/pictures/files.js";
import {
  coordinate, distanceUm, withPoint,
} from "../../samples/static/samples/pictures/points.js";

test("taps set one point, then the other, then move the nearer", () => {
  const one = { x: 10, y: 10 };
  const two = { x: 500, y: 10 };
  const moved = { x: 480, y: 12 };

  let points = withPoint([null, null], one);
  assert.deepEqual(points, [one, null]);
  points = withPoint(points, two);
  assert.deepEqual(points, [one, two]);
  assert.deepEqual(withPoint(points, moved), [one, moved]);
});

test("a distance has a unit", () => {
  assert.equal(distanceUm("1 mm"), 1000);
  assert.equal(distanceUm("0,5mm"), 500);
  assert.equal(distanceUm(" 250 µm "), 250);
  assert.equal(distanceUm("250"), null);
  assert.equal(coordinate(""), null);
  assert.equal(coordinate("12.5"), 12.5);
  assert.equal(coordinate("12px"), null);
});

const file = (name, size = 10) => ({ isFile: true, name, file: (give) => give({ name, size }) });

function folder(name, ...entries) {
  const parts = [entries.slice(0, 2), entries.slice(2), []];
  return {
    isDirectory: true,
    name,
    createReader: () => ({ readEntries: (give) => give(parts.shift()) }),
  };
}

test("a folder that is dropped gives every file in it, in order, without hidden ones", async () => {
  const inner = folder("section", file("26 0002 1.tif"));
  const dropped = folder("day 1", file("10.jpg"), file(".hidden"), file("9.jpg"), inner);

  const files = await listFiles([dropped, file("1.png")]);

  assert.deepEqual(files.map((one) => one.name), ["1.png", "9.jpg", "10.jpg", "26 0002 1.tif"]);
});

test("what no server need see is refused at once", () => {
  const most = 50 * 1024 * 1024;
  assert.equal(refusedHere({ name: "26 0147 3.TIFF", size: most }, most), "");
  assert.notEqual(refusedHere({ name: "a.jpg", size: most + 1 }, most), "");
  assert.notEqual(refusedHere({ name: "a.jpg", size: 0 }, most), "");
  assert.notEqual(refusedHere({ name: "notes.docx", size: 10 }, most), "");
});
