"""Which pages may be saved as a view, who may open each, and what an address may hold."""

from dataclasses import dataclass
from urllib.parse import parse_qsl, urlencode

from django.urls import Resolver404, resolve

from samples.accounts.permissions import Permission
from samples.findings.topics import OFFERED

LONGEST_QUERY = 2000
# Of a person at one lake, and of the lake: more is no longer a short way to a page.
MOST_VIEWS = 20


@dataclass(frozen=True, slots=True)
class ViewedPage:
    """A page of which a choice may be saved: what it is called, and who may open it."""

    label: str
    permission: Permission


PAGES = {
    "targets:coverage": ViewedPage("Coverage", Permission.SEE_COVERAGE),
    "targets:worth": ViewedPage("Worth of one more", Permission.SEE_COVERAGE),
    "seasons:progress": ViewedPage("Season progress", Permission.SEE_COVERAGE),
    "targets:fish": ViewedPage("Fish", Permission.SEE_FISH),
}


def viewed_page(path: str, slug: str) -> ViewedPage | None:
    """Return the page of a lake that a path leads to; none if it may not be saved, or is gone."""
    try:
        match = resolve(path)
    except Resolver404:
        return None
    if match.kwargs.get("slug") != slug:
        return None
    if match.view_name == "findings:finding" and match.kwargs["topic"] in OFFERED:
        return ViewedPage(OFFERED[match.kwargs["topic"]].title, Permission.SEE_COVERAGE)
    return PAGES.get(match.view_name)


def tidy_query(query: str) -> str:
    """Return what an address says after the question mark, without what it leaves open.

    An empty field of a form says the same as none, and a page number says nothing of a choice.
    """
    return urlencode([(name, value) for name, value in parse_qsl(query) if name != "page"])
