"""What a machine can see of a page: barriers, sizes, labels, and where the keyboard is."""

from typing import Any

import pytest
from playwright.sync_api import Page

from tests.chromium import barriers, contrast_missing
from tests.journeys.reach import faults_in_reach

CHECKS = r"""width => {
  const bad = [];
  const folded = el => el.closest('details:not([open]) > :not(summary)');
  const seen = el => {
    const box = el.getBoundingClientRect();
    return !folded(el) && box.width && box.height;
  };
  const words = el => el.textContent.trim().slice(0, 20);
  const wide = document.documentElement.scrollWidth - width;
  if (wide > 0) {
    const who = [...document.querySelectorAll('body *')]
      .filter(el => el.getBoundingClientRect().right > width
        && !el.closest('.scroll, .shell-pages, svg'))
      .slice(0, 3).map(el => `${el.tagName} ${el.className}`);
    bad.push(`scrolls sideways by ${wide} px: ${who}`);
  }
  for (const el of document.querySelectorAll('input, select, textarea'))
    if (el.type !== 'hidden' && !el.labels.length && !el.getAttribute('aria-label')
        && !el.getAttribute('aria-labelledby')) bad.push(`no label: ${el.id || el.name}`);
  for (const th of document.querySelectorAll('th:not([scope])')) bad.push(`no scope: ${words(th)}`);
  const named = '[aria-hidden], svg[role=group][aria-label], [role=img][aria-label], '
    + '[role=img][aria-labelledby]';
  for (const svg of document.querySelectorAll('svg'))
    if (!svg.closest(named)) bad.push('picture without a name');
  const heads = document.querySelectorAll('h1:not([hidden] *)').length;
  if (heads !== 1) bad.push(`${heads} h1`);
  const ids = [...document.querySelectorAll('[id]')].map(el => el.id);
  const twice = ids.filter((id, at) => ids.indexOf(id) !== at);
  if (twice.length) bad.push(`an id is used twice: ${twice}`);
  for (const name of ['aria-describedby', 'aria-labelledby', 'for'])
    for (const el of document.querySelectorAll(`[${name}]`))
      for (const id of el.getAttribute(name).split(/\s+/).filter(Boolean))
        if (!document.getElementById(id)) bad.push(`${name} names nothing: ${id}`);
  // JSON is data that a script reads, and is run by nothing.
  const ours = '[src], [type="application/json"]';
  const inline = document.querySelector(`[style], style, script:not(${ours})`);
  if (inline) bad.push(`inline style or script: ${inline.outerHTML.slice(0, 80)}`);
  const next = [...document.querySelectorAll('.button-next')].filter(seen);
  if (next.length > 1) bad.push(`${next.length} buttons for what is next: ${next.map(words)}`);
  if (!document.body.classList.contains('phone')) return bad;
  const targets = '.button, .choice-face, .box, summary, .top a, .phone-foot a';
  for (const el of document.querySelectorAll(targets)) {
    const high = el.getBoundingClientRect().height;
    if (seen(el) && high < 47.9) bad.push(`${Math.round(high)} px high: ${words(el)}`);
  }
  for (const el of document.querySelectorAll('body *')) {
    const own = [...el.childNodes].some(node => node.nodeType === 3 && node.data.trim());
    if (!own || el.closest('svg, .unseen, script')) continue;
    const size = parseFloat(getComputedStyle(el).fontSize);
    if (size < 16.9) bad.push(`${size} px text: ${words(el)}`);
  }
  return bad;
}"""

# After a key was pressed, whatever gets the focus shows it as it does to a keyboard.
RINGS = r"""() => {
  const stops = 'a[href], button, input:not([type=hidden]), select, textarea, summary, '
    + '[tabindex="0"]';
  const bad = [];
  for (const el of document.querySelectorAll(stops)) {
    el.focus();
    if (document.activeElement !== el) continue;
    // The box is the ring of the field in it; a button beside that field has its own.
    const box = el.matches('button, a') ? null : el.closest('.box');
    const shown = [el, box, el.closest('label'), el.nextElementSibling]
      .filter(Boolean).map(one => getComputedStyle(one))
      .some(look => look.outlineStyle !== 'none' && parseFloat(look.outlineWidth) >= 2);
    if (!shown) bad.push(`no focus ring: ${el.outerHTML.slice(0, 80)}`);
  }
  return bad;
}"""


def faults_of(page: Page, *, in_color: bool = True) -> list[str]:
    """Look at the open page in each of its schemes, and at each stop of the keyboard.

    ``in_color``: its contrast too. A page that is looked at in both sizes has the same colors in
    both, and one of them is enough.
    """
    assert page.viewport_size is not None
    found = page.evaluate(CHECKS, page.viewport_size["width"])
    first, *others = schemes_of(page)
    put_on(page, first)
    found += [f"{first}: {barrier}" for barrier in barriers(page, in_color=in_color)]
    for scheme in others if in_color else []:
        # The same page in other colours: nothing but the colours can be wrong anew.
        put_on(page, scheme)
        found += [f"{scheme}: {barrier}" for barrier in contrast_missing(page)]
    return found + rings_missing(page) + faults_in_reach(page)


def schemes_of(page: Page) -> list[str]:
    """Return a page that says its scheme itself has daylight and dark;
    others follow the reader's.
    """
    said = page.evaluate("document.documentElement.dataset.scheme")
    return ["daylight", "dark"] if said else ["light", "dark"]


def put_on(page: Page, scheme: Any) -> None:
    if page.evaluate("'scheme' in document.documentElement.dataset"):
        page.evaluate("scheme => { document.documentElement.dataset.scheme = scheme; }", scheme)
    else:
        page.emulate_media(color_scheme=scheme)


def rings_missing(page: Page) -> list[str]:
    """Go to every stop of the keyboard: each must show where it is."""
    page.keyboard.press("Tab")
    return list(dict.fromkeys(page.evaluate(RINGS)))


# A table cell that leaves the sheet on the right, or whose text leaves its cell.
CUT_OFF = """() => [...document.querySelectorAll('.data tr > *')]
  .filter(cell => cell.offsetParent && (cell.getBoundingClientRect().right > innerWidth + 1
    || cell.scrollWidth > cell.clientWidth + 1)).map(cell => `off the sheet: ${cell.innerText}`)"""
# What leads nowhere on paper, cannot be pressed there and hides nothing that was asked for.
NOT_FOR_PAPER = """() => [...document.querySelectorAll(
  'nav, button, .button, form:not(.prints), details:not([open]), .crumbs, .page-foot')]
  .filter(el => el.getClientRects().length)
  .map(el => `on paper: ${el.tagName} ${el.className} ${el.textContent.trim().slice(0, 30)}`)"""
# A4, the narrower of the two, upright, less the margins that the style sheet gives it.
ON_PAPER: Any = {"width": 703, "height": 1000}


def cut_off_on_paper(page: Page) -> list[str]:
    """Return the cells of the open page that a printed sheet would lose."""
    return _on_paper(page, CUT_OFF)


def faults_on_paper(page: Page) -> list[str]:
    """Return what a printed sheet would lose of the open page, and what it should not show."""
    return _on_paper(page, CUT_OFF, NOT_FOR_PAPER)


def _on_paper(page: Page, *checks: str) -> list[str]:
    on_screen = page.viewport_size
    assert on_screen is not None
    page.emulate_media(media="print")
    page.set_viewport_size(ON_PAPER)
    found: list[str] = [fault for check in checks for fault in page.evaluate(check)]
    page.emulate_media(media="null")
    page.set_viewport_size(on_screen)
    return found


def none_of(found: dict[str, list[str]]) -> None:
    """Fail with every fault of every page, one a line."""
    lines = [f"{name}: {fault}" for name, faults in found.items() for fault in faults]
    if lines:
        pytest.fail("\n".join(lines), pytrace=False)
