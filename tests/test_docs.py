"""What the pages for developers and operators link to and name is there."""

import re

import pytest
from django.core.management import get_commands

from tests.test_repository import ROOT, name_of, text_of, tracked

PAGES = [path for path in tracked() if path.suffix == ".md"]
LINK = re.compile(r"\]\(([^)\s]+)\)")
FENCED = re.compile(r"^ *```.*?^ *```", re.DOTALL | re.MULTILINE)
NAMED = re.compile(r"`([\w./-]*\w\.(?:py|js|mjs|json|html|css|toml|yml|sql|sh|md))`")
HEADING = re.compile(r"^#+ (.+)$", re.MULTILINE)
# The history of releases names files as they were then.
OF_TODAY = [path for path in PAGES if path.name != "CHANGELOG.md"]
# Made by a program, and no part of the tree.
MADE = {"manifest.json"}
SETTING = re.compile(r"\bEARSTONE_[A-Z_]*[A-Z]\b")
# Said by one process of ours to another, never by a person.
BETWEEN_PROCESSES = {
    "EARSTONE_BENCHMARK",
    "EARSTONE_DEMO",
    "EARSTONE_FAULTS_BROKEN",
    "EARSTONE_TESTS_TEMPLATE",
}


def anchors_of(page):
    """Return the anchors of a page's headings, as sites that show Markdown make them."""
    headings = HEADING.findall(FENCED.sub("", text_of(page)))
    return {re.sub(r"[^\w -]", "", each.lower()).replace(" ", "-") for each in headings}


def broken_links(page):
    for link in LINK.findall(FENCED.sub("", text_of(page))):
        if "://" in link:
            continue
        name, _, anchor = link.partition("#")
        target = (page.parent / name).resolve() if name else page
        if not target.exists() or (anchor and anchor not in anchors_of(target)):
            yield link


def files_missing(page):
    """Yield the files named on a page that are nowhere: from the root, or below samples."""
    known = {"/" + name_of(path) for path in tracked()}
    for name in set(NAMED.findall(FENCED.sub("", text_of(page)))) - MADE:
        if not any(path.endswith("/" + name) for path in known):
            yield name


def settings_in_code():
    """Return the settings that code and compose file name; a secret's file by the secret."""
    texts = [text_of(path) for path in tracked() if path.suffix in {".py", ".yml"}]
    texts.append(text_of(ROOT / ".ci/run"))
    return {name.removesuffix("_FILE") for text in texts for name in SETTING.findall(text)}


class TestPages:
    @pytest.mark.parametrize("page", PAGES, ids=name_of)
    def test_links_lead_somewhere(self, page):
        assert list(broken_links(page)) == []

    @pytest.mark.parametrize("page", OF_TODAY, ids=name_of)
    def test_files_that_are_named_are_there(self, page):
        assert list(files_missing(page)) == []

    def test_the_first_page_is_short_and_leads_to_every_other(self):
        first = text_of(ROOT / "DEVELOPERS.md")
        reached = set(LINK.findall(first + text_of(ROOT / "docs/operations.md")))

        assert len(first.splitlines()) < 200
        pages = {path.name for path in PAGES if path.parent.name == "docs"}
        assert pages - {link.partition("#")[0].removeprefix("docs/") for link in reached} == set()

    def test_every_script_of_the_ramp_has_its_line(self):
        scripts = {path.name for path in tracked() if path.match("samples/ramp/*.js")}
        lines = "".join(FENCED.findall(text_of(ROOT / "docs/entries.md")))

        assert scripts
        assert scripts - set(re.findall(r"\b\w+\.js\b", lines)) == set()


class TestReference:
    SETTINGS = text_of(ROOT / "docs/settings.md")

    def test_every_command_of_ours_is_listed(self):
        ours = {name for name, app in get_commands().items() if app == "samples"}

        assert ours
        assert {name for name in ours if f"| `{name}" not in self.SETTINGS} == set()

    def test_every_setting_that_is_read_is_listed_and_no_other(self):
        listed = {name.removesuffix("_FILE") for name in SETTING.findall(self.SETTINGS)}

        assert listed == settings_in_code() - BETWEEN_PROCESSES
