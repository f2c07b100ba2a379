"""The way around: each role's own groups and pages, the place at hand, and nothing more."""

import re

import pytest
from django.urls import reverse

from samples.navigation import NAVIGATION, OWN_PAGES, SEARCH, navigation_at, pages_for
from tests.door_things import things
from tests.doors import AT_LAKE, address_of
from tests.people import make_person

__all__ = ["things"]

SLUG = "lake-orrinbeck"
GROUPS = {
    "office": ["Today", "Lab", "Vials"],
    "reader": ["Today", "Lab"],
    "biologist": ["Today", "Coverage", "Lab", "Findings", "Vials", "Lake"],
}
# Pages one step below another, files, and what only leads on.
BELOW_ANOTHER = {
    "nets:plan",
    "nets:record",
    "nets:sheet",
    "custody:index_pdf",
    "custody:media",
    "custody:out",
    "custody:unmapped",
    "donors:donors",
    "donors:messages",
    "findings:findings",
    "findings:public",
    "lab:swapped",
    "pictures:confirm",
    "pictures:scales",
    "pictures:upload",
    "ramp:paste",
    "reports:reports",
    "seasons:plan",
    "seasons:progress",
    "seasons:weeks_csv",
    "targets:coverage_csv",
    "targets:fish_csv",
    "targets:fish_xlsx",
    "waters:edit_lake",
    "waters:copy_settings",
    "waters:add_listed_species",
    "waters:add_species",
    "waters:take_up",
    "waters:add_season",
    "waters:add_regulation",
    "waters:add_natural_death",
    "waters:add_release_death",
    "waters:add_tag_returns",
    "waters:add_creel_figures",
    "vials:stocks",
    "vials:add_stock",
    "vials:reprint",
}


def shell_of(client, address):
    page = client.get(address).content.decode()
    return page[: page.index("<main")], page


def links_in(html, label):
    """Return address, label and what is said of the place, of each link of one landmark."""
    nav = re.search(rf'<nav [^>]*aria-label="{label}".*?</nav>', html, re.DOTALL)
    assert nav is not None, label
    return re.findall(r'<a href="([^"]*)"(?: aria-current="(\w+)")?>([^<]*)</a>', nav[0])


def test_there_are_six_groups_at_most():
    assert len(NAVIGATION) <= 6


@pytest.mark.django_db
@pytest.mark.parametrize("role", GROUPS)
def test_each_role_has_its_own_groups_and_every_link_opens(client, request, things, lake, role):
    person = request.getfixturevalue(role)
    client.force_login(person)

    shell, _ = shell_of(client, reverse("today", args=[SLUG]))
    groups = [label for _, _, label in links_in(shell, "Main")]
    links = links_in(shell, "All pages")

    assert groups == GROUPS[role]
    answers = {address: client.get(address, follow=True) for address, _, _ in links}
    assert [address for address, one in answers.items() if one.status_code != 200] == []


@pytest.mark.django_db
@pytest.mark.parametrize("role", GROUPS)
def test_no_page_of_a_role_is_left_without_a_way_to_it(client, request, things, lake, role):
    person = request.getfixturevalue(role)
    client.force_login(person)
    led_to = {page.view_name for group in pages_for(person, lake).values() for page in group}
    led_to |= {SEARCH.view_name, *(page.view_name for page in OWN_PAGES)}

    unreached = {
        name
        for name, allowed, names in AT_LAKE
        if role in allowed
        and not names
        and name not in led_to | BELOW_ANOTHER
        and client.get(address_of(name, {}, {}, SLUG)).status_code == 200
    }

    assert unreached == set()


def test_the_group_and_the_page_at_hand_are_marked(client, biologist):
    client.force_login(biologist)

    shell, _ = shell_of(client, reverse("lab:settle", args=[SLUG]))

    assert [label for _, here, label in links_in(shell, "Main") if here] == ["Lab"]
    links = links_in(shell, "Lab")
    assert [(address, here) for address, here, _ in links] == [
        (reverse("vials:receive", args=[SLUG]), ""),
        (reverse("custody:trays", args=[SLUG]), ""),
        (reverse("lab:preparations", args=[SLUG]), ""),
        (reverse("pictures:pictures", args=[SLUG]), ""),
        (reverse("lab:sessions", args=[SLUG]), ""),
        (reverse("lab:quality", args=[SLUG]), ""),
        (reverse("lab:grid", args=[SLUG]), ""),
        (reverse("lab:settle", args=[SLUG]), "page"),
        (reverse("custody:archive", args=[SLUG]), ""),
    ]
    [place] = [label for _, here, label in links if here]
    assert f'<strong class="shell-place">{place}</strong>' in shell


@pytest.mark.parametrize(
    ("name", "thing", "group", "above"),
    [
        ("waters:arm", "arm", "Lake", "waters:arms"),
        ("waters:reach", "reach", "Lake", "waters:arms"),
        ("waters:natural_death", "natural_death", "Lake", "waters:elsewhere"),
        ("accounts:person", "person", "Lake", "accounts:people"),
        ("vials:run", "run", "Vials", "vials:labels"),
        ("ramp:held_entry", "held", "Today", "ramp:held"),
    ],
)
def test_a_page_two_steps_deep_says_what_lies_above_it(
    client, things, biologist, name, thing, group, above
):
    client.force_login(biologist)

    _, page = shell_of(client, reverse(name, kwargs={"slug": SLUG, "pk": things[thing]}))

    assert f"<li>{group}</li>" in page
    links = links_in(page, "Breadcrumb")
    assert [address for address, _, _ in links] == [reverse(above, args=[SLUG])]


@pytest.mark.parametrize("name", ["today", "waters:lake", "waters:arms", "targets:coverage"])
def test_a_page_that_the_navigation_names_has_no_breadcrumb(client, biologist, name):
    client.force_login(biologist)

    assert "Breadcrumb" not in client.get(reverse(name, args=[SLUG])).content.decode()


def test_the_account_is_a_place_too(client, office):
    client.force_login(office)

    shell, _ = shell_of(client, "/account/")

    assert '<strong class="shell-place">Your account</strong>' in shell
    assert [here for _, here, _ in links_in(shell, "Main")] == ["", "", ""]


def test_a_group_of_one_page_needs_no_second_row(client, clerk):
    client.force_login(clerk)

    shell, page = shell_of(client, reverse("targets:coverage", args=[SLUG]))

    assert "<h1" in page
    assert "shell-pages" not in shell


def test_switching_lakes_stands_in_the_menu_of_who_has_several(client, office, other_lake):
    client.force_login(office)
    alone, _ = shell_of(client, reverse("today", args=[SLUG]))
    office.memberships.create(lake=other_lake, role="reader")
    several, _ = shell_of(client, reverse("today", args=[SLUG]))

    assert "Switch lake" not in alone
    assert f'<a href="/lakes/{SLUG}/" aria-current="true">Lake Orrinbeck</a>' in several
    assert '<a href="/lakes/tamsin-reservoir/">Tamsin Reservoir</a>' in several


@pytest.mark.django_db
@pytest.mark.parametrize("role", ["guide", "clerk"])
def test_the_ramp_has_no_office_menu(client, request, role):
    client.force_login(request.getfixturevalue(role))

    page = client.get("/account/").content.decode()

    assert "All pages" not in page
    assert "Sign out" in page


def test_only_the_lakes_own_role_counts(lake, other_lake):
    person = make_person(lake, "reader", "P. Two")
    person.memberships.create(lake=other_lake, role="biologist")

    groups = navigation_at(person, lake, f"/lakes/{SLUG}/").groups

    assert [group.label for group in groups] == ["Today", "Lab"]
