"""The terms of the trade: each in one place, at an anchor of its own, led to from the pages."""

import re
from collections import Counter
from pathlib import Path

import pytest
from django.template import Context, Template
from django.urls import reverse

from samples.findings.topics import OFFERED
from samples.rules.terms import GROUPS, OF_FINDINGS, TERMS

TEMPLATES = Path(__file__).parents[2] / "templates"
TERM = re.compile(r'{% term "([^"]*)"')
USED = {
    str(path.relative_to(TEMPLATES)): TERM.findall(path.read_text())
    for path in sorted(TEMPLATES.rglob("*.html"))
    if TERM.search(path.read_text())
}
ADDRESS = "/lakes/lake-orrinbeck/terms/"


def test_every_term_is_kept_once():
    assert sum(len(terms) for terms in GROUPS.values()) == len(TERMS)
    assert [key for key in TERMS if not re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*", key)] == []
    assert [term.key for term in TERMS.values() if not (term.meaning and term.source)] == []


@pytest.mark.parametrize("template", USED)
def test_a_page_links_only_terms_that_are_kept_and_each_once(template):
    linked = Counter(USED[template])

    assert set(linked) <= set(TERMS)
    assert set(linked.values()) == {1}


def test_every_finding_names_the_terms_it_rests_on():
    assert set(OF_FINDINGS) == {topic.slug for topic in OFFERED.values()}
    assert {key for keys in OF_FINDINGS.values() for key in keys} <= set(TERMS)
    assert all(len(set(keys)) == len(keys) for keys in OF_FINDINGS.values())


def test_a_term_that_is_not_kept_is_a_fault(lake):
    with pytest.raises(KeyError):
        Template('{% load term_tags %}{% term "no-such-term" %}').render(Context({"lake": lake}))


def test_each_term_stands_at_its_own_anchor(client, reader):
    client.force_login(reader)

    page = client.get(ADDRESS).content.decode()
    ids = Counter(re.findall(r'\bid="([^"]*)"', page))

    assert {key: ids[key] for key in TERMS} == dict.fromkeys(TERMS, 1)
    assert [anchor for anchor, times in ids.items() if times > 1] == []
    listed = page[page.index("<main") :]
    assert set(re.findall(r'href="#([^"]*)"', listed)) <= set(ids)


def test_a_link_of_a_page_leads_to_the_term_and_carries_its_meaning(client, biologist, lake):
    client.force_login(biologist)

    page = client.get(reverse("waters:elsewhere", args=[lake.slug])).content.decode()

    link = f'<a href="{ADDRESS}#hooking-mortality" aria-describedby="term-hooking-mortality">'
    assert link in page
    tip = re.search(r'role="tooltip" id="term-hooking-mortality">([^<]*)<', page)
    assert tip is not None
    assert tip[1] == TERMS["hooking-mortality"].meaning


@pytest.mark.parametrize("typed", ["psd-p", "PSD", "(psd"])
def test_the_search_box_finds_a_term_by_its_symbol(client, office, typed):
    client.force_login(office)

    answer = client.get("/lakes/lake-orrinbeck/search/", {"q": typed})
    hits = {group.label: group.hits for group in answer.context["groups"]}

    assert [hit.address for hit in hits["Terms"]] == [f"{ADDRESS}#psd"]
