// On a phone the first figure answers; the others are folded, a line each, until asked for.
// Without script they stand open.

if (matchMedia("(max-width: 47.99rem)").matches) {
  for (const figure of document.querySelectorAll("details.more-figure")) figure.open = false;
}
