// Marks along radii of a picture: core, edge and annuli, in pixels of the picture. Pure: every
// change returns a new drawing and a sentence for the live region; nothing here knows the page.
//
// A drawing is { radii, active, past }: a radius is { core, edge, annuli, withSuggestion }, points
// are { x, y }, annuli are distances from the core, the innermost first.

export const MOST_RADII = 2;
export const MOST_ANNULI = 59;
const MOST_UNDONE = 100;
// Nearer to each other than this, two marks are one.
const NEAREST_PX = 1;
// A suggestion so near to a mark, as a share of the radius, is about the same annulus.
const NEAR_SHARE = 0.012;

export function newDrawing(radii = []) {
  return { radii, active: 0, past: [] };
}

/** Return the radius that is being marked; none before its core is set. */
export function activeRadius(drawing) {
  return drawing.radii[drawing.active] ?? null;
}

export function isDrawn(radius) {
  return Boolean(radius && radius.core && radius.edge);
}

export function lengthOf(radius) {
  return isDrawn(radius) ? distance(radius.core, radius.edge) : 0;
}

function distance(one, other) {
  return Math.hypot(other.x - one.x, other.y - one.y);
}

/** Return the point on a radius so far from its core. */
export function pointAt(radius, far) {
  const share = far / lengthOf(radius);
  return {
    x: radius.core.x + share * (radius.edge.x - radius.core.x),
    y: radius.core.y + share * (radius.edge.y - radius.core.y),
  };
}

/** Return how far from the core the point of a radius lies that is nearest to this one. */
export function farOf(radius, point) {
  const length = lengthOf(radius);
  const across = (point.x - radius.core.x) * (radius.edge.x - radius.core.x);
  const down = (point.y - radius.core.y) * (radius.edge.y - radius.core.y);
  return clamp((across + down) / length, 0, length);
}

function clamp(value, least, most) {
  return Math.min(Math.max(value, least), most);
}

// ---------- Changes ----------

function changed(drawing, radii, sentence, active = drawing.active) {
  const past = [...drawing.past, { radii: drawing.radii, active: drawing.active }];
  return { drawing: { radii, active, past: past.slice(-MOST_UNDONE) }, sentence };
}

function unchanged(drawing, sentence) {
  return { drawing, sentence };
}

function withActive(drawing, radius, sentence) {
  const radii = [...drawing.radii];
  radii[drawing.active] = radius;
  return changed(drawing, radii, sentence);
}

/** Set the core, then the edge; an end that is moved keeps the annuli at their share of the way. */
export function setEnd(drawing, end, point) {
  const before = activeRadius(drawing) ?? { core: null, edge: null, annuli: [] };
  const after = { ...before, [end]: point };
  if (isDrawn(after) && lengthOf(after) < NEAREST_PX) {
    return unchanged(drawing, "Core and edge can't lie on each other.");
  }
  if (isDrawn(before)) {
    const stretched = lengthOf(after) / lengthOf(before);
    after.annuli = before.annuli.map((far) => far * stretched);
  }
  const next = isDrawn(after) ? "" : " Now mark the edge.";
  return withActive(drawing, after, `${end === "core" ? "Core" : "Edge"} set.${next}`);
}

/** Return the annuli with one more, or null where one is there already or none may be. */
function inserted(radius, far) {
  const length = lengthOf(radius);
  if (!(far > 0) || far > length || radius.annuli.length >= MOST_ANNULI) return null;
  if (radius.annuli.some((one) => Math.abs(one - far) < NEAREST_PX)) return null;
  return [...radius.annuli, far].sort((one, other) => one - other);
}

export function addAnnulus(drawing, far) {
  const radius = activeRadius(drawing);
  if (!isDrawn(radius)) return unchanged(drawing, "Draw a radius first: mark the core, then the edge.");
  const annuli = inserted(radius, far);
  if (!annuli) return unchanged(drawing, "No annulus added: it must lie between core and edge, apart from the others.");
  const number = annuli.indexOf(far) + 1;
  return withActive(drawing, { ...radius, annuli }, `Annulus ${number} added. ${counted(annuli)}`);
}

/** Return how far the next annulus would be placed: halfway between the last one and the edge. */
export function nextPlace(radius) {
  return ((radius.annuli.at(-1) ?? 0) + lengthOf(radius)) / 2;
}

/** Move an annulus, never past its neighbors: its number stays. */
export function moveAnnulus(drawing, place, far) {
  const radius = activeRadius(drawing);
  if (!isDrawn(radius) || radius.annuli[place] === undefined || !Number.isFinite(far)) {
    return unchanged(drawing, "");
  }
  const least = place ? radius.annuli[place - 1] + NEAREST_PX : NEAREST_PX;
  const isLast = place === radius.annuli.length - 1;
  const most = isLast ? lengthOf(radius) : radius.annuli[place + 1] - NEAREST_PX;
  const annuli = [...radius.annuli];
  annuli[place] = clamp(far, least, Math.max(least, most));
  return withActive(drawing, { ...radius, annuli }, `Annulus ${place + 1} moved.`);
}

export function deleteAnnulus(drawing, place) {
  const radius = activeRadius(drawing);
  if (!radius || radius.annuli[place] === undefined) return unchanged(drawing, "");
  const annuli = radius.annuli.filter((_, one) => one !== place);
  const sentence = `Annulus ${place + 1} deleted. ${counted(annuli)}`;
  return withActive(drawing, { ...radius, annuli }, sentence);
}

export function undo(drawing) {
  const before = drawing.past.at(-1);
  if (!before) return unchanged(drawing, "Nothing to undo.");
  const now = { ...before, past: drawing.past.slice(0, -1) };
  return { drawing: now, sentence: `Undone. ${counted(activeRadius(now)?.annuli ?? [])}` };
}

/** Begin a second radius, or go back to the other one. */
export function switchRadius(drawing) {
  const next = drawing.active ? 0 : 1;
  if (next === 1 && !isDrawn(drawing.radii[0])) {
    return unchanged(drawing, "Draw the first radius before a second one.");
  }
  const isNew = !isDrawn(drawing.radii[next]);
  const hint = isNew ? "Mark its core, then its edge." : counted(drawing.radii[next].annuli);
  return { drawing: { ...drawing, active: next }, sentence: `Radius ${next + 1}. ${hint}` };
}

export function deleteSecondRadius(drawing) {
  if (drawing.radii.length < 2) return unchanged(drawing, "");
  return changed(drawing, drawing.radii.slice(0, 1), "Second radius deleted.", 0);
}

// ---------- Suggestions ----------

/** Note that likely annuli were shown on this radius; they are no marks until accepted. */
export function noteSuggestion(drawing) {
  const radii = [...drawing.radii];
  radii[drawing.active] = { ...activeRadius(drawing), withSuggestion: true };
  return { ...drawing, radii };
}

/** Return the suggested annuli that are not marked yet. */
export function notMarked(radius, places) {
  const near = NEAR_SHARE * lengthOf(radius);
  return places.filter((far) => radius.annuli.every((one) => Math.abs(one - far) > near));
}

/** Accept suggested annuli, leaving out those that are marked already. */
export function acceptAnnuli(drawing, places) {
  let radius = activeRadius(drawing);
  let added = 0;
  for (const far of places) {
    const annuli = inserted(radius, far);
    if (!annuli) continue;
    radius = { ...radius, annuli, withSuggestion: true };
    added += 1;
  }
  if (!added) return unchanged(drawing, "These annuli are marked already.");
  return withActive(drawing, radius, `${annuliOf(added)} added. ${counted(radius.annuli)}`);
}

// ---------- Words and numbers ----------

export function annuliOf(count) {
  return count === 1 ? "1 annulus" : `${count} annuli`;
}

function counted(annuli) {
  return `${annuliOf(annuli.length)} marked.`;
}

/** Return a distance as a page writes it, with its unit: millimeters where there is a scale. */
export function distanceText(far, umPerPx) {
  return umPerPx ? `${((far * umPerPx) / 1000).toFixed(3)} mm` : `${far.toFixed(1)} px`;
}

/** Return the distance in pixels of a number typed in the unit of the page. */
export function typedDistance(text, umPerPx) {
  const value = Number(String(text).trim().replace(",", "."));
  if (!String(text).trim() || !Number.isFinite(value)) return null;
  return umPerPx ? (value * 1000) / umPerPx : value;
}

/** Return each annulus with its radius and increment; the last row is the edge. */
export function measured(radius, umPerPx) {
  const scale = umPerPx || 1;
  const ends = [...radius.annuli, lengthOf(radius)];
  return ends.map((far, place) => ({
    radius: far * scale,
    increment: (far - (place ? ends[place - 1] : 0)) * scale,
  }));
}

/** Return the share of the last full increment that has grown since; none without one. */
export function marginShare(radius) {
  const rows = measured(radius, 1);
  if (rows.length < 2) return null;
  return rows.at(-1).increment / rows.at(-2).increment;
}

/** Return the margin code that a share speaks for: 2 under 1/3, 3 up to 2/3, 4 over it. */
export function marginCode(share) {
  if (share < 1 / 3) return 2;
  return share <= 2 / 3 ? 3 : 4;
}

// ---------- To and from the server ----------

const fromPair = ([x, y]) => ({ x, y });
const toPair = ({ x, y }) => [x, y];

export function fromServer(rows) {
  return rows.map((row) => ({
    core: fromPair(row.core),
    edge: fromPair(row.edge),
    annuli: row.annuli_px,
    withSuggestion: row.with_suggestion,
  }));
}

export function toServer(drawing) {
  return drawing.radii.filter(isDrawn).map((radius) => ({
    core: toPair(radius.core),
    edge: toPair(radius.edge),
    annuli_px: radius.annuli,
    with_suggestion: Boolean(radius.withSuggestion),
  }));
}
