"""What the database refuses by itself, whoever writes to it."""

from datetime import date

import pytest
from django.db import IntegrityError

from samples.models import (
    Age,
    AgeAsGiven,
    Membership,
    Party,
    Reading,
    Season,
    Species,
    Target,
    Vial,
)
from samples.models.fish import Progress
from samples.models.progress import progress_of, refresh_progress
from tests.factories import make_fish
from tests.people import CAUGHT_ON, NOW


@pytest.mark.parametrize(
    ("wrong", "constraint"),
    [
        pytest.param({"length_hundredths_mm": 94}, "fish_length_5_mm_to_5_m", id="mm for 1/100"),
        pytest.param({"sex": "x"}, "fish_sex_known", id="unknown sex"),
        pytest.param({"caught_on": date(226, 5, 2)}, "caught_on_in_living_memory", id="year slip"),
        pytest.param({"progress": 9}, "fish_progress_known", id="unknown progress"),
    ],
)
def test_a_fish_is_refused(party, white, wrong, constraint):
    with pytest.raises(IntegrityError, match=constraint):
        make_fish(party, white, **wrong)


def test_one_vial_holds_one_fish(party, white, vials):
    make_fish(party, white, vial=vials[0])

    with pytest.raises(IntegrityError, match="vial"):
        make_fish(party, white, vial=vials[0])


def test_a_withdrawn_fish_has_let_its_vial_go(party, white, vials):
    with pytest.raises(IntegrityError, match="fish_withdrawn_leaves_its_vial_free"):
        make_fish(party, white, vial=vials[0], withdrawn=True)


def test_an_entry_id_is_one_fish(party, white):
    fish = make_fish(party, white)

    with pytest.raises(IntegrityError, match="entry_id"):
        make_fish(party, white, entry_id=fish.entry_id)


@pytest.mark.parametrize(
    ("make", "constraint"),
    [
        (lambda s: Vial.objects.filter(sequence=1).update(state="eaten"), "vial_state_known"),
        (
            lambda s: Vial.objects.filter(sequence=1).update(received_at=NOW),
            "vial_received_at_and_by_together",
        ),
        (lambda s: Party.objects.update(method="dynamite"), "party_method_known"),
        (
            lambda s: Season.objects.update(ends_on=date(2025, 1, 1)),
            "season_ends_after_it_starts",
        ),
        (lambda s: Membership.objects.update(role="king"), "membership_role_known"),
        (
            lambda s: Species.objects.filter(kind="hybrid").update(parent_b=None),
            "species_hybrid_has_two_parents",
        ),
    ],
    ids=["vial state", "received by nobody", "method", "season", "role", "hybrid"],
)
def test_a_row_that_says_nonsense_is_refused(party, vials, season, make, constraint):
    with pytest.raises(IntegrityError, match=constraint):
        make(season)


@pytest.mark.parametrize("arm", [True, False], ids=["floor", "lake-wide"])
def test_a_bin_has_one_target(season, white, brindle, arm):
    words = {
        "season": season,
        "species": white,
        "arm": brindle if arm else None,
        "from_hundredths_mm": 25400,
        "below_hundredths_mm": 27940,
        "wanted": 5,
    }
    Target.objects.create(**words)

    with pytest.raises(IntegrityError):
        Target.objects.create(**words)


def test_a_reading_has_no_margin_without_annuli(vials, reader):
    with pytest.raises(IntegrityError, match="reading_no_margin_without_annuli"):
        Reading.objects.create(
            vial=vials[0], reader=reader, sitting_on=CAUGHT_ON, annuli=0, margin=2, read_at=NOW
        )


@pytest.mark.parametrize(
    ("columns", "constraint"),
    [
        ({"standing": "to_settle", "age_years": 3}, "age_to_settle_has_no_age"),
        ({"standing": "agreed", "age_years": None}, "age_to_settle_has_no_age"),
        (
            {"standing": "agreed", "age_years": 0, "decimal_age_years": -0.2},
            "age_decimal_not_negative",
        ),
    ],
    ids=["open with an age", "agreed without", "before it hatched"],
)
def test_an_age_that_cannot_be_is_refused(party, white, columns, constraint):
    fish = make_fish(party, white)

    with pytest.raises(IntegrityError, match=constraint):
        Age.objects.create(fish=fish, rule="after", worked_out_at=NOW, **columns)


class TestProgress:
    def test_follows_the_vial_and_then_the_age(self, party, white, vials, office):
        fish = make_fish(party, white, vial=vials[0])
        steps = []

        def note():
            refresh_progress([fish.pk])
            fish.refresh_from_db()
            steps.append(fish.progress)

        note()
        Vial.objects.filter(pk=vials[0].pk).update(received_at=NOW, received_by=office)
        note()
        age = Age.objects.create(
            fish=fish, standing="one_reader", age_years=3, rule="after", worked_out_at=NOW
        )
        note()
        age.standing = "agreed"
        age.save()
        note()
        age.standing, age.age_years = "to_settle", None
        age.save()
        note()

        assert steps == [
            Progress.LOGGED,
            Progress.RECEIVED,
            Progress.ONE_READER,
            Progress.AGED,
            Progress.RECEIVED,
        ]

    def test_of_a_fish_without_a_vial_is_measured_only_or_its_age_as_given(self, party, white):
        fish = make_fish(party, white)
        AgeAsGiven.objects.create(fish=fish, age_years=3, structure="scale", source="x")

        refresh_progress([fish.pk])

        fish.refresh_from_db()
        assert progress_of(None) == Progress.MEASURED
        assert fish.progress == Progress.AGE_AS_GIVEN


@pytest.mark.parametrize(
    ("changed", "before_an_age"),
    [
        ({}, Progress.RECEIVED),
        ({"state": "lost"}, Progress.MEASURED),
        ({"state": "void"}, Progress.MEASURED),
        ({"content": "none"}, Progress.MEASURED),
        ({"content": "wrong"}, Progress.MEASURED),
        ({"content": "more_fish"}, Progress.MEASURED),
        ({"content": "broken"}, Progress.RECEIVED),
    ],
)
def test_a_fish_is_in_hand_only_with_its_otolith(
    party, white, vials, office, changed, before_an_age
):
    vial = vials[0]
    for name, value in {"received_at": NOW, "received_by": office, **changed}.items():
        setattr(vial, name, value)
    vial.save()
    fish = make_fish(party, white, vial=vial)

    refresh_progress([fish.pk])
    fish.refresh_from_db()
    assert fish.progress == before_an_age
    assert progress_of(vial) == before_an_age
    Age.objects.create(fish=fish, standing="agreed", age_years=3, rule="after", worked_out_at=NOW)
    refresh_progress([fish.pk])
    fish.refresh_from_db()
    assert fish.progress == Progress.AGED
