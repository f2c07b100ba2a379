// What is typed of an otolith goes along from its session to its marks, and comes back from there.

const CARRIED = ["annuli", "margin", "readability", "note"];

/** Return what stands in those fields that a form has. */
export function typedIn(form) {
  const typed = new FormData(form);
  const names = CARRIED.filter((name) => form.elements[name]);
  return Object.fromEntries(names.map((name) => [name, String(typed.get(name) ?? "").trim()]));
}

/** Return an address that carries what is typed; what it carried of other fields stays. */
export function carrying(href, typed) {
  const address = new URL(href);
  for (const [name, text] of Object.entries(typed)) {
    if (text) address.searchParams.set(name, text);
    else address.searchParams.delete(name);
  }
  return address.href;
}
