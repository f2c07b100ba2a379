"""Looking over the data: each thing that should never be is found, and where it is."""

import io

import pytest
from django.core.management import CommandError, call_command
from django.db import transaction

from samples.maintenance.check import check_data, count_what_is_kept
from samples.models import Age, Fish, LabelRun, NumberYear, Party, Reading, Vial
from samples.models.fish import Progress
from tests.lab.making import make_session
from tests.people import NOW
from tests.ramp import entries
from tests.ramp.taking import take


@pytest.fixture
def logged(guide, party, vials):
    """Three fish in the first three vials."""
    take(guide, *(entries.fish(party.party_id, vial.number) for vial in vials[:3]))
    return list(Fish.objects.order_by("pk"))


def problems():
    return [(found.code, found.where) for found in check_data(now=NOW) if found.is_problem]


def only_problem():
    (problem,) = problems()
    return problem


def run(**options):
    said = io.StringIO()
    call_command("check_data", stdout=said, **options)
    return said.getvalue()


def test_a_sound_installation(logged):
    run()

    assert list(check_data(now=NOW)) == []
    assert count_what_is_kept() == {
        "vials": 30,
        "trips": 1,
        "fish": 3,
        "readings": 0,
        "ages": 0,
        "held entries": 0,
    }


def test_an_empty_one(db):
    run()

    assert list(check_data(now=NOW)) == []


class TestLostRows:
    def test_a_row_that_names_one_that_is_gone(self, logged):
        with transaction.atomic():
            # The database looks at its references when the transaction ends; this one does not.
            Fish.objects.filter(pk=logged[0].pk).update(species_id=987_654)
            found = problems()
            transaction.set_rollback(True)

        assert found[0] == ("orphan", (str(logged[0].pk),))

    def test_a_number_without_its_vial(self, logged, vials):
        vials[9].delete()

        found = problems()

        assert found == [
            ("number_without_vial", (vials[9].number,)),
            ("short_run", (str(vials[9].run_id),)),
        ]

    def test_a_whole_run_that_is_gone(self, logged):
        numbers = tuple(Vial.objects.order_by("number").values_list("number", flat=True))
        Vial.objects.filter(fish__isnull=True).delete()
        Fish.objects.all().update(vial=None)
        Vial.objects.all().delete()
        LabelRun.objects.all().delete()

        assert len(numbers) == 30
        assert problems()[0] == ("number_without_vial", numbers)

    def test_a_counter_that_stands_too_low(self, logged):
        NumberYear.objects.update(last_sequence=12)

        assert only_problem() == ("counter_too_low", ("12", "30"))

    def test_a_number_with_a_wrong_check_digit(self, logged, vials):
        wrong = vials[9].number[:-1] + str((int(vials[9].number[-1]) + 1) % 10)
        Vial.objects.filter(pk=vials[9].pk).update(number=wrong)

        assert only_problem() == ("number_does_not_fit", (wrong,))


class TestVials:
    def test_one_that_holds_a_fish_and_counts_as_unused(self, logged, vials):
        Vial.objects.filter(pk=vials[0].pk).update(state=Vial.State.ISSUED)

        assert only_problem() == ("vial_marked_unused", (vials[0].number,))

    def test_one_received_on_no_day(self, logged, vials):
        Vial.objects.filter(pk=vials[20].pk).update(state=Vial.State.READ)

        assert only_problem() == ("vial_without_day", (vials[20].number,))

    def test_one_of_another_lake(self, logged, vials, other_lake):
        Vial.objects.filter(pk=vials[0].pk).update(lake=other_lake)

        assert only_problem() == ("vial_of_other_lake", (vials[0].number,))

    def test_one_claimed_twice_is_work_and_no_problem(self, logged, guide, party, vials):
        take(guide, entries.fish(party.party_id, vials[0].number))

        said = run()

        claimed, waiting = check_data(now=NOW)
        assert (claimed.code, claimed.where) == ("vial_claimed_twice", (vials[0].number,))
        assert (waiting.code, waiting.where) == ("entries_waiting", ())
        assert problems() == []
        assert claimed.sentence in said
        assert waiting.sentence in said


class TestReadings:
    @pytest.fixture
    def reading(self, logged, vials, reader):
        return Reading.objects.create(
            vial=vials[20], reader=reader, sitting_on=NOW.date(), annuli=3, margin=2, read_at=NOW
        )

    def test_one_of_a_vial_without_a_fish(self, reading):
        assert only_problem() == ("reading_without_fish", (reading.vial.number,))

    def test_an_age_that_rests_on_none(self, logged):
        age = Age.objects.create(
            fish=logged[0], standing="one_reader", age_years=3, rule="x", worked_out_at=NOW
        )
        Fish.objects.filter(pk=logged[0].pk).update(progress=Progress.ONE_READER)

        assert only_problem() == ("age_without_reading", (str(age.pk),))


class TestRepeatedColumns:
    @pytest.mark.parametrize("change", ["method", "caught_on", "donor", "arm", "reach", "leg"])
    def test_a_fish_that_differs_from_its_trip(self, logged, party, change):
        reach = party.arm.reaches.first()
        other = {
            "method": "creel",
            "caught_on": None,
            "donor": None,
            "arm": party.lake.arms.exclude(pk=party.arm_id).first(),
            "reach": reach,
            "leg": 2,
        }
        Fish.objects.filter(pk=logged[1].pk).update(**{change: other[change]})

        assert only_problem() == ("fish_beside_trip", (str(logged[1].pk),))

    def test_fish_of_an_earlier_leg_keep_their_arm(self, logged, party):
        elsewhere = party.lake.arms.exclude(pk=party.arm_id).first()
        Party.objects.update(leg=2, arm=elsewhere)

        assert problems() == []

    def test_progress_is_found_and_set_right_when_asked(self, logged):
        Fish.objects.filter(pk=logged[0].pk).update(progress=Progress.AGED)

        with pytest.raises(CommandError) as refused:
            run()
        assert refused.value.returncode == 1
        assert only_problem() == ("stale_progress", (str(logged[0].pk),))

        run(refresh_progress=True)

        assert problems() == []
        assert Fish.objects.get(pk=logged[0].pk).progress == Progress.LOGGED


def test_an_otolith_of_a_session_that_does_not_match_its_reading(logged, lake, guide, vials):
    session = make_session(lake, guide, vials[20])
    session.otoliths.update(outcome="read", done_at=NOW)

    assert only_problem() == ("session_beside_its_reading", (vials[20].number,))


def test_tables_of_an_older_version_are_not_looked_at(logged, monkeypatch):
    monkeypatch.setattr(
        "samples.management.commands.check_data.list_known_migrations",
        lambda: {"samples.0001_initial", "samples.0999_later"},
    )

    with pytest.raises(CommandError, match=r"\(1 migrations"):
        run()
