// The measuring board beside a question about a length: usual lengths as a band, what was said
// as pointers. The same picture as the server draws.

import { make } from "./dom.js";

const SVG = "http://www.w3.org/2000/svg";
const WIDTH = 316;
const LEFT = 12;
const RIGHT = 296;
const SPARE = 1.2;
const EVERY = 5;
const STEP = { in: 1, mm: 20 };
const HUNDREDTHS = { in: 2540, mm: 100 };
const MOST_TICKS = 40;

const round = (x) => Math.round(x * 10) / 10;

function draw(tag, attributes, words) {
  const node = document.createElementNS(SVG, tag);
  for (const [name, value] of Object.entries(attributes)) node.setAttribute(name, value);
  if (words) node.textContent = words;
  return node;
}

// `said`: texts in the unit shown, the likelier first.
export function board(species, unit, said) {
  const [least, most] = [species.least_hundredths_mm, species.most_hundredths_mm].map((end) => end / HUNDREDTHS[unit]);
  let step = STEP[unit];
  let count = Math.floor((most * SPARE) / step / EVERY + 1) * EVERY;
  if (count > MOST_TICKS) {
    step *= EVERY;
    count = Math.ceil(Math.ceil(count / EVERY) / EVERY) * EVERY;
  }
  const scale = (RIGHT - LEFT) / (count * step);
  const at = (length) => round(LEFT + length * scale);
  const ticks = Array.from({ length: count + 1 }, (_, n) => ({ x: at(n * step), long: n % EVERY === 0, words: String(n * step) }));
  const usual = `${species.name} here usually measure ${round(least)} to ${round(most)} ${unit}.`;
  const off = said.find((text) => parseFloat(text) > count * step);
  const path = ticks.map(({ x, long }) => `M${x} 40v-${long ? 9 : 5}`).join("");
  const picture = draw("svg", {
    viewBox: `0 0 ${WIDTH} 66`,
    role: "img",
    "aria-label": ["Measuring board.", usual, off ? `${off} is off the board.` : ""].join(" ").trim(),
  });
  picture.append(
    draw("rect", { class: "draw-band", x: at(least), y: 24, width: round((most - least) * scale), height: 16 }),
    draw("path", { class: "draw-axis", d: `M12 40H296${path}` }),
    ...ticks.filter(({ long }) => long).map(({ x, words }) => draw("text", { class: "draw-text", x, y: 60, "text-anchor": "middle" }, words)),
    ...said.flatMap((text) => pointer(text, count * step, at)),
  );
  return make("div", {}, picture);
}

function pointer(text, end, at) {
  const length = parseFloat(text);
  const off = length > end;
  const x = off ? WIDTH - 2 : at(length);
  return [
    draw("path", { class: "draw-ink", d: off ? `M${x} 32l-13 -7v14z` : `M${x} 39l-7 -13h14z` }),
    draw("text", { class: "draw-text draw-strong", x, y: 20, "text-anchor": off ? "end" : "middle" }, text),
  ];
}
