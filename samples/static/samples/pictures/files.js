// Files chosen or dropped: folders are opened, and what no server need see is refused at once.

/** Return what was dropped, at once: the browser forgets it when the event is over. */
export function filesDropped(transfer) {
  const entries = [...transfer.items].map((item) => item.webkitGetAsEntry?.()).filter(Boolean);
  return entries.length ? entries : [...transfer.files];
}

/** Return the files of what was dropped, those of folders among them, in order of name. */
export async function listFiles(dropped) {
  const found = await Promise.all(dropped.map((one) => (one.isDirectory ? filesOf(one) : [one])));
  const files = await Promise.all(found.flat().map((one) => (one.isFile ? asFile(one) : one)));
  return files
    .filter((file) => !file.name.startsWith("."))
    .sort((one, other) => one.name.localeCompare(other.name, "en", { numeric: true }));
}

async function filesOf(folder) {
  const reader = folder.createReader();
  const entries = [];
  // A folder is told in parts, until one is empty.
  for (;;) {
    const part = await new Promise((resolve, reject) => reader.readEntries(resolve, reject));
    if (!part.length) break;
    entries.push(...part);
  }
  const nested = entries.map((one) => (one.isDirectory ? filesOf(one) : [one]));
  return (await Promise.all(nested)).flat();
}

function asFile(entry) {
  return new Promise((resolve, reject) => entry.file(resolve, reject));
}

/** Return why a file need not be sent, in a sentence; nothing if it may be. */
export function refusedHere(file, mostBytes) {
  if (file.size > mostBytes) return "The file is larger than 50 MB. Save it smaller.";
  if (file.size === 0) return "The file is empty.";
  if (!/\.(jpe?g|png|tiff?)$/i.test(file.name)) {
    return "This file is not a JPEG, PNG or TIFF picture.";
  }
  return "";
}
