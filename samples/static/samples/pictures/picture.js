// The page of one picture: nothing but the viewer.

import { openViewer } from "../lab/viewer.js";

openViewer(document.querySelector("[data-viewer]"));
