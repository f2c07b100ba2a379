// Where the keyboard is after an action that loaded the page anew, and what is heard there. A screen
// reader reads what takes the focus, and seldom a status that stands there when the page opens.

/** The first control of the row or part that the address names after #, where nothing has the focus. */
function goToTarget() {
  const target = document.querySelector(":target");
  if (document.activeElement !== document.body || !target) return;
  const controls = target.querySelectorAll("input:not([type=hidden]), select, textarea, a[href], button");
  [...controls].find((one) => one.checkVisibility())?.focus({ preventScroll: true });
}

/** What was done is the description of whatever has the focus, or has the focus itself. */
function describeFocus(messages) {
  const focused = document.activeElement;
  // A field that asks for the focus may not have it yet.
  const held = focused === document.body ? document.querySelector("[autofocus]") : focused;
  if (!held || messages.contains(held)) return;
  const before = held.getAttribute("aria-describedby");
  held.setAttribute("aria-describedby", [messages.id, before].filter(Boolean).join(" "));
}

goToTarget();
const messages = document.querySelector("#messages");
if (messages) describeFocus(messages);
