// While the slider moves, its number, the predicted CV and the width of a
// length limit's answer move with it. Which fish that takes is
// the server's to say: the button asks for it, so that no key press leaves the page.

import { valueAt } from "./curve.js";

const slider = document.querySelector("input.slider");
const number = document.querySelector(".slide-value");
const percent = document.querySelector(".slide-cv");
const note = document.querySelector(".slide-note");
const width = document.querySelector(".slide-limit");
const widths = JSON.parse(document.getElementById("limit-by-worth")?.textContent ?? "[]");
const points = JSON.parse(document.getElementById("cv-by-worth").textContent);

slider.addEventListener("input", () => {
  number.value = slider.value;
  percent.value = `${valueAt(points, Number(slider.value)).toFixed(1)}%`;
  if (width) width.value = `\u00b1${valueAt(widths, Number(slider.value)).toFixed(1)}%`;
  note.hidden = false;
});
