"""A net plan: which lengths need nets, how many sets, the stations that are kept, the sheets."""

from datetime import date

import pytest
from django.urls import reverse

from samples.models import PlannedSets, Target
from tests.custody.test_kits import pages_of
from tests.factories import build_fish
from tests.nets.conftest import BACKEND
from tests.people import INCH
from tests.shown import error_codes

pytestmark = pytest.mark.django_db


@pytest.fixture
def plan_page(client, lake, biologist, white_here):
    client.force_login(biologist, backend=BACKEND)
    address = reverse("nets:plan", args=[lake.slug])
    return lambda query="": client.get(address + query)


@pytest.fixture
def wanted(season, white):
    """Want aged fish of an inch bin: wanted(7, 8, arm=brindle)."""

    def want(inch, fish, arm=None):
        Target.objects.create(
            season=season,
            species=white,
            arm=arm,
            from_hundredths_mm=inch * INCH,
            below_hundredths_mm=(inch + 1) * INCH,
            wanted=fish,
        )

    return want


def donate(party, white, inches, count):
    for _ in range(count):
        build_fish(party, white, inches=inches, progress=1).save()


def test_lengths_that_donors_bring_are_left_to_them(plan_page, wanted, party, white):
    wanted(7, 8)
    wanted(10, 12)
    donate(party, white, 10.4, 6)
    donate(party, white, 7.4, 1)

    plan = plan_page().context["plan"]

    # Of six logged of twelve, six more are to be caught, and six were brought in a season.
    found = [(one.column.place, one.to_collect, one.donated, one.is_netted) for one in plan.bins]
    assert found == [(7, 7, 1, True), (10, 6, 6, False)]


def test_sets_follow_from_the_lakes_own_sets(plan_page, wanted, net_set, brindle):
    wanted(7, 6)
    wanted(7, 4, arm=brindle)
    for _ in range(16):
        net_set([7.2, 7.5])

    plan = plan_page().context["plan"]

    assert (plan.sets, plan.sets_before, plan.is_resampled) == (3, 16, True)
    [place, beyond] = plan.places
    assert (place.name, place.sets, place.from_all_arms) == ("Brindle", 2, False)
    assert (beyond.arm_id, beyond.to_collect, beyond.sets) == (None, 2, 1)
    assert sum(plan.proposed.values()) == 3
    assert plan.bins[0].percent == "> 99%"


def test_numbers_in_the_address_that_are_none_choose_nothing(plan_page, wanted):
    wanted(7, 8)

    plan = plan_page(f"?picked=1&bin={'9' * 5000}&bin=x&mesh=9999").context["plan"]

    assert [one.is_netted for one in plan.bins] == [False]


def test_an_arm_without_sets_is_planned_from_all(plan_page, wanted, net_set, lake):
    wanted(7, 2, arm=lake.arms.get(name="Hobbin"))
    for _ in range(6):
        net_set([7.2])

    [place, *_] = plan_page().context["plan"].places

    assert (place.name, place.from_all_arms, place.sets_before) == ("Hobbin", True, 6)


def test_without_sets_there_is_no_number(plan_page, wanted):
    wanted(7, 8)

    page = plan_page()

    assert page.context["plan"].sets is None
    assert page.context["plan"].problem


def test_checked_lengths_and_the_kind_of_sets_are_chosen(plan_page, wanted, net_set):
    wanted(7, 2)
    wanted(8, 2)
    for _ in range(3):
        net_set([7.2, 7.3, 8.1], caught_on=date(2026, 3, 3))
    net_set([8.1], caught_on=date(2026, 10, 3), net_mesh_mm=19)

    plan = plan_page(f"?picked=1&bin={8 * INCH}&part=spring&mesh=13").context["plan"]

    assert [one.is_netted for one in plan.bins] == [False, True]
    assert plan.sets_before == 3


@pytest.mark.parametrize("query", ["?bin=x&picked=1&mesh=-3&part=winter", "?season=1890&species=x"])
def test_an_address_that_was_changed_by_hand_shows_a_plan(plan_page, wanted, query):
    wanted(7, 2)

    assert plan_page(query).status_code == 200


@pytest.fixture
def save(client, lake, plan_page, brindle):
    """Save a plan: save({"Lower": 3}); None is the whole arm."""

    def send(sets, **changed):
        keys = {reach.name: reach.pk for reach in brindle.reaches.all()} | {None: 0}
        boxes = {f"sets_{brindle.pk}-{keys[name]}": number for name, number in sets.items()}
        typed = {"net_nights": "1", "net_mesh_mm": "", **boxes, **changed}
        return client.post(reverse("nets:plan", args=[lake.slug]), typed)

    return send


def planned():
    rows = PlannedSets.objects.order_by("pk").values_list("reach__name", "sets", "net_nights")
    return sorted(rows, key=str)


def test_a_plan_takes_the_place_of_the_one_before(save):
    assert save({"Lower": 3, None: 2}).status_code == 302
    save({"Lower": 1, "Upper": 4, None: ""}, net_nights="2")

    assert planned() == [("Lower", 1, 2), ("Upper", 4, 2)]
    # Each row was made once, and changed or taken away once.
    assert PlannedSets.history.count() == 5


def test_sets_made_stand_beside_those_planned(save, plan_page, net_set, brindle):
    save({"Lower": 3})
    net_set([7.2], reach=brindle.reaches.get(name="Lower"))

    rows = [one for one, _ in plan_page().context["rows"] if one.planned or one.made]

    assert [(one.station.name, one.planned, one.made) for one in rows] == [("Brindle, Lower", 3, 1)]


@pytest.mark.parametrize(
    ("sets", "changed", "codes"),
    [
        ({"Lower": "x"}, {}, ["invalid"]),
        ({"Lower": "-1"}, {}, ["min_value"]),
        ({"Lower": "40", "Upper": "40"}, {}, ["too_many_sets"]),
        ({"Lower": "2"}, {"net_nights": ""}, ["required"]),
    ],
)
def test_bad_plans_are_said_beside_their_field(save, sets, changed, codes):
    answer = save(sets, **changed)

    [said] = error_codes(answer).values()
    assert (answer.status_code, said) == (422, codes)
    assert planned() == []


@pytest.mark.parametrize(("paper", "width"), [("letter", 612), ("a4", 595)])
def test_the_sheets_hold_a_page_for_each_set(save, client, lake, wanted, paper, width):
    wanted(7, 8)
    save({"Lower": 2, None: 1})

    answer = client.get(reverse("nets:sheet", args=[lake.slug]), {"paper": paper})

    pages = pages_of(answer.content)
    texts = [page.get_textpage().get_text_bounded() for page in pages]
    assert len(pages) == 4
    assert round(pages[0].get_width()) == width
    assert all(words in texts[0] for words in ("Brindle, Lower", "SC-26-014", "7.0-7.9 in"))
    assert all(words in texts[3] for words in ("Brindle, Lower", "Set 3 of 3", "11.0-11.9"))


def test_without_a_plan_there_is_one_blank_page(plan_page, client, lake):
    answer = client.get(reverse("nets:sheet", args=[lake.slug]))

    assert len(pages_of(answer.content)) == 2
