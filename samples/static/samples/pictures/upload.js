// Uploading: files are sent one by one, so that each says what became of it and none waits for all.

import { filesDropped, listFiles, refusedHere } from "./files.js";

const form = document.querySelector("[data-upload]");
const drop = form.querySelector("[data-drop]");
const picker = form.querySelector("[type=file]");
const send = form.querySelector("[data-send]");
const list = document.querySelector("[data-list]");
const row = document.querySelector("[data-row]").content.firstElementChild;
const count = document.querySelector("[data-count]");
const bar = document.querySelector("[data-bar]");
const waiting = [];
const done = { kept: 0, refused: 0, all: 0 };
let isSending = false;

form.querySelector("[data-drop-words]").hidden = false;
send.hidden = true;

function add(files) {
  for (const file of files) {
    const shown = row.cloneNode(true);
    shown.querySelector(".upload-name").textContent = file.name;
    list.append(shown);
    waiting.push({ file, shown });
    done.all += 1;
  }
  document.querySelector("[data-progress]").hidden = done.all === 0;
  showCount();
  if (!isSending) sendAll();
}

function showCount() {
  const over = done.kept + done.refused;
  const refused = done.refused ? `, ${done.refused} not kept` : "";
  count.textContent = over < done.all
    ? `Uploading ${over + 1} of ${done.all}${refused}`
    : `${done.kept} of ${done.all} uploaded${refused}`;
  bar.max = done.all;
  bar.value = over;
}

async function sendAll() {
  isSending = true;
  while (waiting.length) {
    const { file, shown } = waiting.shift();
    const answer = await sendOne(file);
    show(shown, answer);
    done[answer.isKept ? "kept" : "refused"] += 1;
    showCount();
  }
  isSending = false;
  document.querySelector("[data-review]").hidden = done.kept === 0;
}

async function sendOne(file) {
  const refused = refusedHere(file, Number(form.dataset.mostBytes));
  if (refused) return { isKept: false, sentence: refused };
  const data = new FormData(form);
  data.delete("files");
  data.append("file", file, file.name);
  try {
    const answer = await fetch(form.dataset.one, { method: "POST", body: data });
    const told = await answer.json();
    return { isKept: answer.ok, ...told };
  } catch {
    return { isKept: false, sentence: "Not sent. Check the connection, then choose it again." };
  }
}

function show(shown, answer) {
  shown.querySelector(".upload-words").textContent = answer.sentence;
  shown.toggleAttribute("data-wrong", !answer.isKept);
  if (answer.code) shown.dataset.code = answer.code;
  if (answer.thumbnail) {
    const image = shown.querySelector("img");
    image.src = answer.thumbnail;
    image.hidden = false;
  }
  if (!answer.isKept) list.prepend(shown);
}

picker.addEventListener("change", () => {
  add([...picker.files]);
  picker.value = "";
});
form.addEventListener("submit", (event) => event.preventDefault());
for (const name of ["dragenter", "dragover"]) {
  drop.addEventListener(name, (event) => {
    event.preventDefault();
    drop.dataset.over = "";
  });
}
drop.addEventListener("dragleave", () => delete drop.dataset.over);
drop.addEventListener("drop", async (event) => {
  event.preventDefault();
  delete drop.dataset.over;
  add(await listFiles(filesDropped(event.dataTransfer)));
});
window.addEventListener("beforeunload", (event) => {
  if (isSending) event.preventDefault();
});
