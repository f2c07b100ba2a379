// The photo of the fish being typed: taken or chosen, made small on the phone, and shown.
// Drawn anew, it holds nothing of its file but the picture: no place, no time, no maker.

import { byId, make } from "./dom.js";

const LONGEST_SIDE = 1600;
const MOST_BYTES = 300_000;
const MOST_FILE_BYTES = 40_000_000;
const QUALITIES = [0.8, 0.65, 0.5, 0.35];
const SHOWN = 96;

const toBlob = (canvas, quality) => new Promise((resolve) => canvas.toBlob(resolve, "image/jpeg", quality));

// Return a JPEG of at most 300 kB, or nothing where the file is no picture that this phone reads.
async function shrunk(file) {
  const picture = await createImageBitmap(file).catch(() => undefined);
  if (!picture) return undefined;
  for (let side = LONGEST_SIDE; side >= 400; side = Math.round(side * 0.75)) {
    const canvas = drawn(picture, side);
    for (const quality of QUALITIES) {
      const blob = await toBlob(canvas, quality);
      if (blob && blob.size <= MOST_BYTES) return { bytes: await blob.arrayBuffer(), canvas };
    }
  }
  return undefined;
}

function drawn(picture, side) {
  const scale = Math.min(1, side / Math.max(picture.width, picture.height));
  const canvas = make("canvas", { width: Math.round(picture.width * scale), height: Math.round(picture.height * scale) });
  canvas.getContext("2d").drawImage(picture, 0, 0, canvas.width, canvas.height);
  return canvas;
}

export function makePhotoBox() {
  const input = byId("fish-photo");
  const state = byId("photo-state");
  const shown = byId("photo-shown");
  let bytes;
  let turn = 0;
  let work = Promise.resolve();

  function clear(words = "") {
    turn += 1;
    bytes = undefined;
    input.value = "";
    shown.replaceChildren();
    state.textContent = words;
    byId("photo-drop").hidden = true;
  }

  async function take(file) {
    clear(file.size > MOST_FILE_BYTES ? "This photo is larger than 40 MB. Take one with this phone; the fish is saved without it." : "Making the photo small.");
    if (file.size > MOST_FILE_BYTES) return;
    const mine = turn;
    const found = await shrunk(file);
    if (mine !== turn) return;
    if (!found) {
      clear("This file can't be read as a photo. Choose another; the fish is saved without it.");
      return;
    }
    bytes = found.bytes;
    shown.replaceChildren(preview(found.canvas));
    state.textContent = `Photo added, ${Math.ceil(bytes.byteLength / 1000)} kB.`;
    byId("photo-drop").hidden = false;
  }

  function preview(canvas) {
    const small = drawn(canvas, SHOWN);
    small.setAttribute("role", "img");
    small.setAttribute("aria-label", "Photo of this fish");
    return small;
  }

  byId("photo-add").addEventListener("click", () => input.click());
  byId("photo-drop").addEventListener("click", () => clear());
  input.addEventListener("change", () => {
    if (input.files[0]) work = take(input.files[0]);
  });

  return {
    clear,
    // The photo that was added, once it is small; nothing where there is none.
    async bytes() {
      await work;
      return bytes;
    },
    show: (may) => (byId("photo-row").hidden = !may),
  };
}
