// Reads a label's code inside the form, on phones whose browser can. All others use the
// phone's own camera, which opens the form with the vial filled in.

import { byId } from "./dom.js";
import { parseVial } from "./rules.js";

const LOOK_EVERY_MS = 150;

export async function canScan() {
  if (!("BarcodeDetector" in window) || !navigator.mediaDevices?.getUserMedia) return false;
  try {
    return (await BarcodeDetector.getSupportedFormats()).includes("qr_code");
  } catch {
    return false;
  }
}

export function makeScanner(found) {
  const dialog = byId("scanner");
  const video = byId("scan-video");
  const said = byId("scan-said");
  let stream;

  async function open() {
    said.textContent = "";
    dialog.showModal();
    try {
      stream = await navigator.mediaDevices.getUserMedia({ video: { facingMode: "environment" } });
    } catch {
      said.textContent = "The camera may not be used here. Type the number on the label.";
      return;
    }
    video.srcObject = stream;
    await video.play();
    look(new BarcodeDetector({ formats: ["qr_code"] }));
  }

  async function look(detector) {
    while (dialog.open) {
      const codes = await detector.detect(video).catch(() => []);
      const vial = codes.map((code) => parseVial(code.rawValue)).find((parsed) => parsed.number && !parsed.code);
      if (vial) {
        dialog.close();
        found(vial.number);
        return;
      }
      if (codes.length > 0) said.textContent = "This code is not a vial's label.";
      await new Promise((resolve) => setTimeout(resolve, LOOK_EVERY_MS));
    }
  }

  dialog.addEventListener("close", () => {
    for (const track of stream?.getTracks() ?? []) track.stop();
    stream = undefined;
  });
  byId("scan-stop").addEventListener("click", () => dialog.close());
  return { open };
}
