// The photo of the fish being typed: taken or chosen, made small on the phone, and shown.
// Drawn anew, it holds nothing of its file but the picture: no place, no time, no maker.

import { byId, make } from "./dom.js";

const LONGEST_SIDE = 1600;
const MOST_BYTES = 300_000;
const MOST_FILE_BYTES = 40_000_000;
const QUALITIES = [0.8, 0.65, 0.5, 0.35];
const SHOWN = 96;
const UNREADABLE = "This file can't be read as a photo. Choose another; the fish is saved without it.";

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

// `changed` hears that a photo was added or removed, and that it is on the phone.
export function makePhotoBox(app, { changed }) {
  const input = byId("fish-photo");
  const state = byId("photo-state");
  const shown = byId("photo-shown");
  const photos = new Map(); // of each fish that is half typed or half corrected
  let fish;

  function show() {
    const { words = "", canvas } = photos.get(fish) ?? {};
    input.value = "";
    state.textContent = words;
    shown.replaceChildren(...(canvas ? [preview(canvas)] : []));
    byId("photo-drop").hidden = !canvas;
  }

  // One that was put in another's place, or removed, is shown no more.
  function replace(photo) {
    const { kept } = photos.get(fish) ?? {};
    if (kept) app.photos.dropHalfTyped(kept);
    if (photo) photos.set(fish, photo);
    else photos.delete(fish);
    show();
  }

  function take(file) {
    if (file.size > MOST_FILE_BYTES) return replace({ words: "This photo is larger than 40 MB. Take one with this phone; the fish is saved without it." });
    const photo = { words: "Making the photo small." };
    photo.work = read(file, photo);
    replace(photo);
    photo.work.then((bytes) => keepWhileTyped(photo, bytes));
  }

  // A phone that goes away with a fish half typed brings its photo back with the words.
  async function keepWhileTyped(photo, bytes) {
    const kept = bytes && (await app.photos.keepHalfTyped(bytes));
    if (!kept) return;
    if (![...photos.values()].includes(photo)) return app.photos.dropHalfTyped(kept);
    photo.kept = kept;
    if (photos.get(fish) === photo) changed();
  }

  async function open(photo) {
    const bytes = await app.photos.halfTyped(photo.kept).catch(() => undefined);
    const picture = bytes && (await createImageBitmap(new Blob([bytes])).catch(() => undefined));
    if (picture) Object.assign(photo, { words: addedWords(bytes), canvas: drawn(picture, SHOWN) });
    else for (const [key, one] of photos) if (one === photo) photos.delete(key);
    show();
    return picture && bytes;
  }

  const addedWords = (bytes) => `Photo added, ${Math.ceil(bytes.byteLength / 1000)} kB.`;

  // Return the bytes to keep, or nothing where there are none.
  async function read(file, photo) {
    const found = await shrunk(file).catch(() => undefined);
    photo.words = found ? addedWords(found.bytes) : UNREADABLE;
    photo.canvas = found?.canvas;
    if (photos.get(fish) === photo) show();
    return found?.bytes;
  }

  function preview(canvas) {
    const small = drawn(canvas, SHOWN);
    small.setAttribute("role", "img");
    small.setAttribute("aria-label", "Photo of this fish");
    return small;
  }

  async function keep(work, entry, replaced) {
    const bytes = await work;
    if (bytes) await app.keepPhoto(entry, bytes);
    else if (work) app.sayPhotoLost(UNREADABLE);
    else if (replaced) await app.photos.move(replaced.entry_id, entry.entry_id);
  }

  byId("photo-add").addEventListener("click", () => input.click());
  byId("photo-drop").addEventListener("click", () => (replace(), changed()));
  input.addEventListener("change", () => {
    if (input.files[0]) take(input.files[0]);
    changed();
  });

  return {
    // Go to the photo of another fish; the one before keeps its own.
    turnTo(other) {
      fish = other;
      show();
    },
    clear: () => replace(),
    // What the draft of a fish calls its photo, and the photo of a draft that is opened again.
    kept: () => photos.get(fish)?.kept,
    restore(kept) {
      if (!kept || photos.has(fish)) return;
      const photo = { words: "", kept };
      photo.work = open(photo);
      photos.set(fish, photo);
    },
    has: () => Boolean(photos.get(fish)?.work),
    // Let go of the photo. Return what keeps it once its fish is saved: no fish waits for a photo.
    handOver() {
      const photo = photos.get(fish);
      const work = photo?.words === UNREADABLE ? undefined : photo?.work;
      return (entry, replaced) => keep(work, entry, replaced);
    },
    show: (may) => (byId("photo-row").hidden = !may),
  };
}
