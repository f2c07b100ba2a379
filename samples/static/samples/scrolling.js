// A table that fits its page is no stop of the keyboard and no region of its own; one that has to be
// scrolled is both. Without this script each is, whether it scrolls or not.

function takeStock(box) {
  const scrolls = box.scrollWidth > box.clientWidth || box.scrollHeight > box.clientHeight;
  if (scrolls) {
    box.tabIndex = 0;
    box.setAttribute("role", "region");
  } else if (document.activeElement !== box) {
    box.removeAttribute("tabindex");
    box.setAttribute("role", "group");
  }
}

const sizes = new ResizeObserver((seen) => {
  for (const { target } of seen) takeStock(target.closest('[role="region"], [role="group"]'));
});
for (const box of document.querySelectorAll('[role="region"][tabindex="0"]')) {
  sizes.observe(box);
  for (const content of box.children) sizes.observe(content);
}
