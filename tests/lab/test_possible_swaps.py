"""Possible swapped vials: which are found, what is shown of them, and that nothing changes."""

from dataclasses import replace

import numpy as np
import pytest
from django.urls import reverse

from samples.lab import computed
from samples.lab.computed import possible_swaps, possible_swaps_at_hand
from samples.lab.presenters.possible_swaps import find_possible_swaps
from samples.lab.presenters.vial_contents import VialContents
from samples.models import Age, Fish, Reading, Vial
from samples.rules import vial_number
from tests.factories import build_fish
from tests.lab.making import TODAY
from tests.people import NOW, make_vials

COUNT, TRIP = 60, 20
AGES = np.tile([1, 2, 3, 4, 2, 1], 10)
# Means of 5.5, 7.9, 9.4 and 10.4 in, and a spread that is the same in every trip.
INCHES = np.array([0, 5.5, 7.9, 9.4, 10.4])[AGES] + np.tile([-0.4, 0.1, 0.3, -0.2, 0.2], 12)


def contents(ages=AGES, *, place=0, **facts):
    """Return vials in order, 20 a trip, with otoliths of these ages in them."""
    return [
        VialContents(
            vial_id=at,
            number=vial_number.make(26, 3001 + at, 4),
            season_id=1,
            sequence=3001 + at,
            party_id=at // TRIP,
            species_id=1,
            species="White crappie",
            arm_id=1,
            arm="Brindle",
            caught_on=TODAY,
            length_hundredths_mm=round(INCHES[at] * 2540),
            part=0.0,
            age_years=int(age) if age >= 0 else None,
            edge_um=0,
            is_checked=False,
            **facts,
        )
        for at, age in enumerate(ages)
    ]


def swapped(one, other):
    ages = AGES.copy()
    ages[[one, other]] = ages[[other, one]]
    return ages


def moved(first, last):
    """Return ages inside where each vial of a stretch holds the otolith of the one before."""
    ages = AGES.copy()
    ages[first : last + 1] = AGES[first - 1 : last]
    return ages


def places(vials):
    return [one.contents.vial_id for one in vials]


def test_vials_in_order_raise_no_doubt():
    found = find_possible_swaps(contents())

    assert (found.count, found.compared, found.too_few) == (0, COUNT, ())


def test_two_swapped_vials_name_each_other_and_stand_among_their_neighbors():
    vials = contents(swapped(24, 26))  # ages 1 and 3, two numbers apart

    found = find_possible_swaps(vials)

    assert [one.vial.contents.vial_id for one in found.singles] == [24, 26]
    assert [one.partner for one in found.singles] == [vials[26].number, vials[24].number]
    assert places(found.singles[0].around) == [22, 23, 24, 25, 26]
    assert found.singles[0].vial.ages == (1, 1)
    assert found.runs == []


def test_a_shifted_run_is_one_thing_to_check():
    found = find_possible_swaps(contents(moved(25, 39)))

    [run] = found.runs
    assert (run.shift.by, found.count) == (-1, 1)
    assert places(run.vials)[0] == pytest.approx(25, abs=1)
    assert places(run.vials)[-1] == pytest.approx(39, abs=1)


def test_a_shift_is_found_over_a_vial_that_nobody_has_read():
    ages = moved(25, 39)
    ages[31] = -1

    assert len(find_possible_swaps(contents(ages)).runs) == 1


def test_checked_vials_are_counted_and_not_listed():
    vials = contents(swapped(24, 26))
    vials[24] = replace(vials[24], is_checked=True)

    found = find_possible_swaps(vials)

    assert [one.vial.contents.vial_id for one in found.singles] == [26]
    assert found.checked == 1


def test_a_run_stays_listed_until_all_of_it_is_checked():
    vials = [replace(one, is_checked=True) for one in contents(moved(25, 39))]
    again = [replace(one, is_checked=one.vial_id != 30) for one in vials]

    assert find_possible_swaps(vials).runs == []
    assert len(find_possible_swaps(again).runs) == 1


def test_few_fish_of_a_species_are_not_compared():
    few = [replace(one, species_id=2, species="Black crappie") for one in contents()[:10]]

    found = find_possible_swaps([*few, *contents()[10:]])

    assert (found.too_few, found.compared) == ((("Black crappie", 10),), 50)


@pytest.fixture
def trip(season, office, party, white, reader):
    """Log 60 fish in vials that were read: two of them are swapped."""
    vials = make_vials(season, first=3001, count=COUNT, by=office)
    Vial.objects.filter(pk__in=[one.pk for one in vials]).update(
        state="read", received_at=NOW, received_by=office
    )
    fish = Fish.objects.bulk_create(
        build_fish(party, white, inches=inches, vial=vial, fingerprint="", progress=4)
        for vial, inches in zip(vials, INCHES, strict=True)
    )
    ages = swapped(24, 26).tolist()
    Age.objects.bulk_create(
        Age(
            fish=one, standing="one_reader", age_years=age, year_class=2026 - age, rule="test",
            readers=1, worked_out_at=NOW,
        )
        for one, age in zip(fish, ages, strict=True)
    )  # fmt: skip
    Reading.objects.bulk_create(
        Reading(
            vial=vial, reader=reader, sitting_on=TODAY, annuli=age, margin=1, readability=1,
            read_at=NOW,
        )
        for vial, age in zip(vials, ages, strict=True)
    )  # fmt: skip
    return vials


@pytest.fixture
def listed(client, lake, biologist, trip):
    """Open the page as the biologist; return the numbers listed, and the answer."""
    client.force_login(biologist)

    def listed():
        answer = client.get(reverse("lab:swapped", args=[lake.slug]))
        return [one.number for one, _ in answer.context["singles"]]

    return listed


def check(client, lake, numbers, note="slip agrees"):
    data = {"numbers": " ".join(numbers), "note": note}
    return client.post(reverse("lab:check_vials", args=[lake.slug]), data)


@pytest.mark.django_db
class TestPage:
    def test_looking_changes_nothing(self, listed, trip):
        before = list(Reading.history.values_list("pk")), list(Age.objects.values())

        assert listed() == [trip[24].number, trip[26].number]

        assert (list(Reading.history.values_list("pk")), list(Age.objects.values())) == before

    def test_a_checked_vial_leaves_the_list_and_its_note_stays(
        self, client, lake, listed, trip, biologist
    ):
        listed()

        answer = check(client, lake, [trip[24].number])

        assert answer.status_code == 302
        assert listed() == [trip[26].number]
        kept = Reading.history.filter(vial_id=trip[24].pk).latest()
        assert (kept.history_change_reason, kept.history_user) == ("slip agrees", biologist)
        page = client.get(reverse("lab:vial", args=[lake.slug, trip[24].number]))
        assert any("slip agrees" in line.what for line in page.context["history"])

    def test_a_check_without_what_was_found_is_asked_for_beside_its_field(
        self, client, lake, listed, trip
    ):
        answer = check(client, lake, [trip[24].number], note="")

        assert answer.status_code == 422
        [form] = [form for one, form in answer.context["singles"] if one.number == trip[24].number]
        assert form.has_error("note", "required")
        assert len(listed()) == 2

    def test_another_reader_opens_a_checked_vial_again(self, client, lake, listed, trip, biologist):
        check(client, lake, [trip[24].number])
        assert listed() == [trip[26].number]

        again = {"annuli": "3", "margin": "1", "method": "whole"}
        client.post(reverse("lab:vial", args=[lake.slug, trip[24].number]), again)

        assert Reading.objects.filter(vial=trip[24]).count() == 2
        assert listed() == [trip[24].number, trip[26].number]

    def test_the_same_count_typed_again_stays_checked(self, client, lake, listed, trip, reader):
        check(client, lake, [trip[24].number])
        listed()
        client.force_login(reader)
        row = {"vial": trip[24].number, "annuli": "3", "margin": "1", "method": "whole"}

        saved = client.post(
            reverse("lab:save_row", args=[lake.slug]), row, content_type="application/json"
        )

        assert saved.json()["saved"]
        assert [one.number for one in possible_swaps(lake).singles] == [trip[26].number]

    def test_vials_of_another_lake_are_not_checked(self, client, lake, other_lake, listed, trip):
        answer = client.post(
            reverse("lab:check_vials", args=[other_lake.slug]),
            {"numbers": trip[24].number, "note": "slip agrees"},
        )

        assert answer.status_code == 404
        assert len(listed()) == 2

    def test_pages_of_the_vial_lead_to_the_list(self, client, lake, listed, trip):
        listed()
        anchor = f"{reverse('lab:swapped', args=[lake.slug])}#vial-{trip[24].number}"

        in_lab = client.get(reverse("lab:vial", args=[lake.slug, trip[24].number]))
        by_search = client.get(
            reverse("search:vial", args=[lake.slug, trip[24].number]) + "?length=shown"
        )
        blind = client.get(reverse("search:vial", args=[lake.slug, trip[24].number]))

        assert anchor in in_lab.content.decode()
        assert anchor in by_search.content.decode()
        # The biologist has not read this otolith and may be about to: nothing is told.
        assert anchor not in blind.content.decode()

    def test_today_counts_what_the_list_holds(self, client, lake, listed):
        answer = client.get(reverse("today", args=[lake.slug]))

        [work] = [one for one in answer.context["work"] if one.address.endswith("/ages/swapped/")]
        assert work.count == len(listed())

    def test_today_waits_for_nothing_at_a_lake_of_very_many_vials(
        self, client, lake, listed, trip, monkeypatch
    ):
        """It counts what is known, and finds nothing by itself once the data changed."""
        monkeypatch.setattr(computed, "MOST_ON_PAGE", COUNT - 1)
        listed()
        assert possible_swaps_at_hand(lake).count == 2

        check(client, lake, [trip[24].number])

        assert possible_swaps_at_hand(lake) is None
        assert listed() == [trip[26].number]
        assert possible_swaps_at_hand(lake).count == 1
