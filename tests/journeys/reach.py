"""What a page is to the keyboard, to a screen reader, and to eyes that need it large."""

from typing import Any

from playwright.sync_api import Page

# Two links called the same lead to the same place, two buttons called the same do the same. What
# a list repeats says of what: "Up: Brindle". The way around is left out: it is a list of its own.
NAMES_ALIKE = r"""() => {
  const labels = node => node.getAttribute('aria-labelledby')?.split(' ')
    .map(id => document.getElementById(id)?.textContent).join(' ');
  const spoken = node => {
    if (node.nodeType === 3) return node.data;
    if (node.nodeType !== 1 || node.getAttribute('aria-hidden') === 'true') return '';
    const label = node.getAttribute('aria-label') ?? labels(node);
    return label ?? node.getAttribute('alt') ?? [...node.childNodes].map(spoken).join('');
  };
  const place = el => el.tagName === 'A' ? el.href
    : [el.form?.getAttribute('action'), el.form?.id, el.name, el.value,
      el.form && [...el.form.querySelectorAll('[type=hidden]')]
        .filter(one => one.name !== 'csrfmiddlewaretoken').map(one => one.value)].join();
  const found = new Map();
  for (const el of document.querySelectorAll('main a[href], main button')) {
    if (!el.checkVisibility() && !el.closest('details')) continue;
    const name = `${el.tagName === 'A' ? 'links' : 'buttons'} called: `
      + spoken(el).replace(/\s+/g, ' ').trim();
    found.set(name, (found.get(name) ?? new Set()).add(place(el)));
  }
  return [...found].filter(([, places]) => places.size > 1)
    .map(([name, places]) => `${places.size} ${name}`);
}"""

# A finger on a tablet hits what stands alone in a cell or a line (WCAG 2.2, 2.5.8: 24 px); a link
# inside a sentence is let off there too.
SMALL_TARGETS = r"""() => {
  const bad = [];
  const stops = 'main :is(td, th, li, dd, p, label) :is(a[href], button, summary), '
    + 'main :is(input:not([type=hidden]), select)';
  for (const el of document.querySelectorAll(stops)) {
    if (!el.checkVisibility() || el.closest('.unseen, svg')) continue;
    const line = el.closest('p, li, td, th, dd, label');
    const own = el.textContent.trim().length;
    const sentence = el.matches('a:not(.button)') && line
      && line.textContent.trim().length > 2 * own + 20 && getComputedStyle(el).display === 'inline';
    const hit = el.matches('[type=radio], [type=checkbox]') ? el.closest('label') ?? el : el;
    const { width, height } = hit.getBoundingClientRect();
    if (!sentence && width && (width < 23.9 || height < 23.9))
      bad.push(`${Math.round(width)} x ${Math.round(height)} px: `
        + (el.textContent.trim().slice(0, 30) || el.name));
  }
  return bad;
}"""

# What takes the focus only to be scrolled takes it only while there is something to scroll. What
# answers keys of its own is an application.
IDLE_REGIONS = r"""() => [...document.querySelectorAll(
    '[tabindex="0"]:not(a, button, svg *, [role=application])')]
  .filter(el => el.checkVisibility() && el.scrollWidth <= el.clientWidth
    && el.scrollHeight <= el.clientHeight)
  .map(el => `takes the focus and does not scroll: ${el.className} `
    + (el.getAttribute('aria-label') ?? el.getAttribute('aria-labelledby')))"""

# One alert is heard at a time; what is wrong with a choice is said of the group it belongs to.
ALERTS = r"""() => {
  const alerts = [...document.querySelectorAll('[role=alert]')].filter(el => el.checkVisibility());
  const bad = alerts.length > 1 ? [`${alerts.length} alerts at once`] : [];
  // It is of the first field of its form that is wrong, which has the focus.
  const said = alerts[0]?.closest('form [data-field]');
  const first = said?.closest('form').querySelector('[aria-invalid=true], .choice-wrong');
  if (first && !said.contains(first))
    bad.push(`an alert of another field: ${said.dataset.field}`);
  for (const group of document.querySelectorAll('.choice-wrong:not([aria-describedby])'))
    bad.push(`an error that is not of its group: ${group.textContent.trim().slice(0, 30)}`);
  return bad;
}"""

# Nothing lies over whatever has the focus. What is larger than half the window may lie under a
# bar in part. What a person has opened over the page closes on Escape (WCAG 2.2, 2.4.11): as long
# as it is open, the focus is looked for in it.
HIDDEN_FOCUS = r"""() => {
  const stops = 'a[href], button, input:not([type=hidden]), select, textarea, summary, '
    + '[tabindex="0"]';
  const bad = [];
  const top = document.querySelector('dialog[open], :popover-open') ?? document;
  for (const el of top.querySelectorAll(stops)) {
    el.focus();
    if (document.activeElement !== el) continue;
    const box = el.getBoundingClientRect();
    const left = Math.max(box.left, 0), right = Math.min(box.right, innerWidth);
    const top = Math.max(box.top, 0), bottom = Math.min(box.bottom, innerHeight);
    const large = box.height > innerHeight / 2 || box.width > innerWidth / 2;
    const places = large ? [0.03, 0.5, 0.97] : [0.5];
    const seen = right > left && bottom > top && places.some(down => places.some(across => {
      const hit = document.elementFromPoint(
        left + across * (right - left), top + down * (bottom - top));
      return hit && (el.contains(hit) || hit.contains(el) && !hit.matches('body, html, main')
        || hit.closest('label')?.contains(el));
    }));
    if (!seen) bad.push(`focus is hidden: ${el.outerHTML.slice(0, 90)}`);
  }
  return bad;
}"""

# Words that leave the box they stand in, or a page that has to be scrolled two ways.
CUT_WORDS = r"""() => {
  const bad = [];
  const wide = document.documentElement.scrollWidth - innerWidth;
  if (wide > 0) {
    const who = [...document.querySelectorAll('body *')]
      .filter(el => el.getBoundingClientRect().right > innerWidth + 1
        && !el.closest('.scroll, .shell-pages, svg'))
      .slice(0, 3).map(el => `${el.tagName} ${el.className}`);
    bad.push(`scrolls sideways by ${wide} px: ${who}`);
  }
  for (const el of document.querySelectorAll('body *')) {
    if (el.closest('.unseen, svg, .state, input') || !el.checkVisibility()) continue;
    const look = getComputedStyle(el);
    if (look.clipPath === 'inset(50%)') continue; // said to who hears it, and seen elsewhere
    const cuts = ['hidden', 'clip'];
    if (cuts.includes(look.overflowX) && el.scrollWidth > el.clientWidth + 1
        || cuts.includes(look.overflowY) && el.scrollHeight > el.clientHeight + 1)
      bad.push(`cut off: ${el.tagName} ${el.className} ${el.textContent.trim().slice(0, 30)}`);
  }
  return bad;
}"""

# 1280 by 1024 pixels at 400 %: WCAG 2.2, 1.4.10.
AT_400_PERCENT: Any = {"width": 320, "height": 256}
# Text alone at 200 %, and the distances of WCAG 2.2, 1.4.4 and 1.4.12.
LARGE_TEXT: Any = {"fontSizes": {"standard": 32, "fixed": 26}}
USUAL_TEXT: Any = {"fontSizes": {"standard": 16, "fixed": 13}}
FAR_APART = """() => {
  const sheet = new CSSStyleSheet();
  sheet.replaceSync('body { letter-spacing: 0.12em; word-spacing: 0.16em; line-height: 1.5; }');
  document.adoptedStyleSheets = [sheet];
}"""
AS_BEFORE = "() => { document.adoptedStyleSheets = []; }"


def faults_in_reach(page: Page) -> list[str]:
    """Return what keeps the open page from a keyboard, an ear or a finger."""
    checks = (NAMES_ALIKE, SMALL_TARGETS, IDLE_REGIONS, ALERTS, HIDDEN_FOCUS)
    return [fault for check in checks for fault in page.evaluate(check)]


def faults_when_large(page: Page) -> list[str]:
    """Look at the open page at 400 %, with text alone at 200 %, and with letters far apart."""
    before = page.viewport_size
    assert before is not None
    page.set_viewport_size(AT_400_PERCENT)
    found = [f"at 400 %: {fault}" for fault in page.evaluate(CUT_WORDS)]
    found += [f"at 400 %: {fault}" for fault in page.evaluate(HIDDEN_FOCUS)]
    page.set_viewport_size(before)
    page.evaluate(FAR_APART)
    found += [f"letters apart: {fault}" for fault in page.evaluate(CUT_WORDS)]
    page.evaluate(AS_BEFORE)
    debugger = page.context.new_cdp_session(page)
    debugger.send("Page.setFontSizes", LARGE_TEXT)
    assert page.evaluate("getComputedStyle(document.documentElement).fontSize") == "32px"
    found += [f"text at 200 %: {fault}" for fault in page.evaluate(CUT_WORDS)]
    debugger.send("Page.setFontSizes", USUAL_TEXT)
    debugger.detach()
    return found
