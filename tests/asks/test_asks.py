"""Asking guides: the list by rule, worded, sent, read by everybody, and what came in since."""

from datetime import date, timedelta
from types import SimpleNamespace
from xml.etree import ElementTree

import pytest
from django.urls import reverse

from samples.asks import queries, services
from samples.asks.parts import DraftLine, WantedFish
from samples.asks.presenters.draft import draft_of
from samples.asks.rules import name_in, vial_number_in, without_names
from samples.asks.views import everybody, office
from samples.models import Ask, Fish
from samples.targets import api
from tests.factories import make_fish
from tests.people import INCH, NOW
from tests.ramp.test_api import phone_of
from tests.shown import error_codes
from tests.targets.pages import want

TODAY = date(2026, 5, 6)
ATOM = "{http://www.w3.org/2005/Atom}"
TYPED = "Small white crappie, please"


@pytest.fixture
def short(season, white, lake):
    """Be short of 2 white crappie of 7 in in two arms, and have enough of 9 in lake-wide."""
    for name in ("Brindle", "Hobbin"):
        want(season, white, 7, 2, arm=lake.arms.get(name=name))
        want(season, white, 9, 0, arm=lake.arms.get(name=name))
    want(season, white, 11, 3)


@pytest.fixture
def today(monkeypatch):
    clock = SimpleNamespace(now=lambda: NOW)
    for module in (office, everybody, api):
        monkeypatch.setattr(module, "timezone", clock)
    return clock


def send(season, biologist, arm, *, is_public=False, words=TYPED, now=NOW, below=8 * INCH):
    fish = WantedFish(season.lake.lake_species.first().species_id, arm.pk, 0, below, 2)
    return services.send_ask(
        season,
        [DraftLine(words, arm.name, (fish,))],
        enough="",
        is_public=is_public,
        actor=biologist,
        now=now,
    )


def test_arms_short_of_the_same_share_a_line_and_any_arm_has_its_own(lake, short, white):
    draft = draft_of(lake, TODAY, None)

    assert [(line.place_names, line.wanted) for line in draft.lines] == [
        ("Brindle and Hobbin", 4),
        ("Any arm", 3),
    ]
    [of_arms, anywhere] = draft.lines
    assert {one.arm_id for one in anywhere.fish} == {None}
    assert {(one.from_hundredths_mm, one.below_hundredths_mm) for one in of_arms.fish} == {
        (0, 8 * INCH)
    }
    assert white.name in of_arms.words


def test_what_there_is_enough_of_is_said(lake, season, short, white, party):
    want(season, white, 10, 1)
    make_fish(party, white, inches=10.2, progress=5)

    assert white.name.lower() in draft_of(lake, TODAY, None).enough


def test_nothing_is_drafted_outside_the_season(lake, short):
    assert draft_of(lake, date(2030, 1, 1), None) is None


def test_the_words_of_last_time_stay_while_the_same_is_asked_for(
    lake, season, short, biologist, party, white
):
    first = draft_of(lake, TODAY, None)
    worded = [DraftLine(TYPED, line.place_names, line.fish) for line in first.lines[:1]]
    ask = services.send_ask(season, worded, enough="", is_public=False, actor=biologist, now=NOW)
    make_fish(party, white, inches=7.5, progress=1)

    again = draft_of(lake, TODAY, ask)

    worded_again = next(line for line in again.lines if line.words == TYPED)
    assert (worded_again.place_names, worded_again.wanted) == ("Brindle and Hobbin", 3)


class TestOffice:
    @pytest.fixture
    def page(self, client, lake, biologist, short, today):
        client.force_login(biologist)
        address = reverse("asks:asks", args=[lake.slug])
        form = client.get(address).context["form"]

        def post(**typed):
            start = {"draft": form["draft"].value(), "ask_0": "on", "words_0": TYPED}
            return client.post(address, start | typed)

        return post

    def test_checked_lines_go_out_as_worded_to_phones(self, page, lake, guide):
        assert page().status_code == 302

        told = phone_of(guide).get("/api/v1/needed/").json()["lakes"][0]

        assert told["asked"] == {
            "sent_at": NOW.isoformat(),
            "lines": [{"words": TYPED, "arms": ["Brindle", "Hobbin"]}],
            "enough": "",
        }
        assert told["arms"]

    def test_the_same_list_pressed_twice_goes_out_once(self, page):
        page()
        page()

        assert Ask.objects.count() == 1

    @pytest.mark.parametrize(
        ("typed", "field", "code"),
        [
            ({"words_0": "  "}, "words_0", "no_words"),
            ({"words_0": "As R. Ostrow gave"}, "words_0", "names_a_person"),
            ({"words_0": "Like 26 0001 8"}, "words_0", "names_a_vial"),
            ({"words_0": "From Upper only", "is_public": "on"}, "words_0", "names_a_reach"),
            ({"enough": "Thanks r. ostrow"}, "enough", "names_a_person"),
            ({"ask_0": ""}, "__all__", "no_line"),
            ({"draft": "made up"}, "__all__", "stale"),
        ],
    )
    def test_what_must_not_go_out_is_refused_beside_its_field(
        self, page, lake, guide, typed, field, code
    ):
        assert "Upper" in queries.names_of_reaches(lake)

        answer = page(**typed)

        assert answer.status_code == 422
        assert error_codes(answer) == {field: [code]}
        assert Ask.objects.count() == 0

    def test_stopped_it_is_gone_from_phones(self, page, client, lake, guide):
        page()
        client.post(reverse("asks:stop", args=[lake.slug]))

        told = phone_of(guide).get("/api/v1/needed/").json()["lakes"][0]

        assert told["asked"] is None
        assert client.get(reverse("asks:asks", args=[lake.slug])).status_code == 200


@pytest.mark.django_db
class TestEverybody:
    def test_reads_a_public_list_and_no_other(
        self, client, lake, season, biologist, brindle, today
    ):
        address, feed = (reverse(f"asks:{name}", args=[lake.slug]) for name in ("public", "feed"))
        send(season, biologist, brindle, words="Guides alone")
        assert [client.get(one).status_code for one in (address, feed)] == [404, 404]
        sent_at = NOW + timedelta(minutes=1)
        today.now = lambda: sent_at
        send(season, biologist, brindle, is_public=True, now=sent_at)

        page, entries = client.get(address), ElementTree.fromstring(client.get(feed).content)  # noqa: S314 - our own

        assert TYPED in page.content.decode()
        assert "Guides alone" not in page.content.decode()
        [entry] = entries.iter(f"{ATOM}entry")
        assert TYPED in str(entry.findtext(f"{ATOM}summary"))
        # Its readers show HTML, in which the end of a line is a blank.
        assert f"<li>{TYPED} (Brindle)</li>" in str(entry.findtext(f"{ATOM}summary"))
        assert entry.findtext(f"{ATOM}published") == sent_at.isoformat()

    def test_reads_no_name_of_a_person(
        self, client, lake, season, biologist, brindle, guide, today
    ):
        send(season, biologist, brindle, is_public=True)
        for name in ("public", "feed"):
            content = client.get(reverse(f"asks:{name}", args=[lake.slug])).content.decode()
            assert not [one for one in queries.names_of_people(lake) if one in content]

    def test_reads_nothing_of_a_list_that_was_stopped(
        self, client, lake, season, biologist, brindle, today
    ):
        services.stop_ask(
            send(season, biologist, brindle, is_public=True), actor=biologist, now=NOW
        )

        page = client.get(reverse("asks:public", args=[lake.slug]))

        assert (page.status_code, TYPED in page.content.decode()) == (200, False)


def test_fish_count_for_the_list_that_was_out_when_they_were_logged(
    lake, season, biologist, brindle, party, white
):
    first = send(season, biologist, brindle)
    second = send(season, biologist, brindle, words="Others", now=NOW + timedelta(days=2))
    for days, inches, progress in [(-1, 7, 2), (1, 7, 1), (1, 7.5, 2), (1, 9, 2), (3, 7, 1)]:
        fish = make_fish(party, white, inches=inches, progress=progress)
        Fish.objects.filter(pk=fish.pk).update(logged_at=NOW + timedelta(days=days))

    counted = {
        one.ask: [(arm.arm, arm.logged, arm.received) for line in one.lines for arm in line.arms]
        for one in queries.sent_asks(lake)
    }

    assert counted == {first: [("Brindle", 2, 1)], second: [("Brindle", 1, 0)]}


def test_vials_and_names_are_found_in_words():
    assert vial_number_in("from 26 0001 8, thanks") == "26 0001 8"
    assert vial_number_in("9 to 10.9 in, 12 or more, 200-250 mm") == ""
    assert name_in("give to ANN LEE.", ["", "Lee", "Ann Lee"]) == "Ann Lee"
    assert name_in("planned leeway", ["Plan", "Ann Lee"]) == ""
    assert name_in("give to Ann\n  Lee", ["Ann Lee"]) == "Ann Lee"


@pytest.mark.parametrize(
    ("words", "without"),
    [
        ("by ANN  LEE", "by donor"),
        ("Ann Lee Moss; Ann Lee", "donor; donor"),
        ("a Donor", "a donor"),
    ],
)
def test_names_are_replaced_once_even_by_what_is_a_name_itself(words, without):
    names = ["", "Ann Lee", "Ann Lee Moss", "Donor"]

    assert without_names(words, names, "donor") == without
