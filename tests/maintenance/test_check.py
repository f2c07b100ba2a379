"""Looking over the data: each thing that should never be is found and said in plain words."""

import io

import pytest
from django.core.management import CommandError, call_command
from django.db import transaction

from samples.maintenance.check import check_data
from samples.models import Age, Fish, LabelRun, NumberYear, Party, Reading, Vial
from samples.models.fish import Progress
from tests.people import NOW
from tests.ramp import entries
from tests.ramp.taking import take


@pytest.fixture
def logged(guide, party, vials):
    """Three fish in the first three vials."""
    take(guide, *(entries.fish(party.party_id, vial.number) for vial in vials[:3]))
    return list(Fish.objects.order_by("pk"))


def problems():
    return [finding.sentence for finding in check_data() if finding.is_problem]


def only_problem():
    (sentence,) = problems()
    return sentence


def run(**options):
    said = io.StringIO()
    call_command("check_data", stdout=said, **options)
    return said.getvalue()


def test_a_sound_installation(logged):
    said = run()

    assert "Looked over 30 vials, 1 trips, 3 fish" in said
    assert said.endswith("No problem found.\n")


def test_an_empty_one(db):
    assert "No problem found" in run()


class TestLostRows:
    def test_a_row_that_names_one_that_is_gone(self, logged):
        with transaction.atomic():
            # The database looks at its references when the transaction ends; this one does not.
            Fish.objects.filter(pk=logged[0].pk).update(species_id=987_654)
            found = problems()
            transaction.set_rollback(True)

        assert f"1 of the fish name a species that is not there (ids {logged[0].pk})" in found[0]

    def test_a_number_without_its_vial(self, logged, vials):
        vials[9].delete()

        found = problems()

        assert "1 number of 2026 was given out and has no vial: 26 0010 " in found[0]
        assert found[1].endswith("was of 30 numbers, and 29 of its vials are there.")

    def test_a_whole_run_that_is_gone(self, logged):
        Vial.objects.filter(fish__isnull=True).delete()
        Fish.objects.all().update(vial=None)
        Vial.objects.all().delete()
        LabelRun.objects.all().delete()

        assert "30 numbers of 2026 were given out and have no vial" in problems()[0]

    def test_a_counter_that_stands_too_low(self, logged):
        NumberYear.objects.update(last_sequence=12)

        assert "noted as 12, and there are vials up to 30" in only_problem()

    def test_a_number_with_a_wrong_check_digit(self, logged, vials):
        wrong = vials[9].number[:-1] + str((int(vials[9].number[-1]) + 1) % 10)
        Vial.objects.filter(pk=vials[9].pk).update(number=wrong)

        assert wrong in only_problem()


class TestVials:
    def test_one_that_holds_a_fish_and_counts_as_unused(self, logged, vials):
        Vial.objects.filter(pk=vials[0].pk).update(state=Vial.State.ISSUED)

        assert "1 of the vials hold a fish and are still marked as unused: 26 0001" in (
            only_problem()
        )

    def test_one_received_on_no_day(self, logged, vials):
        Vial.objects.filter(pk=vials[20].pk).update(state=Vial.State.READ)

        assert "no day on which they came: 26 0021" in only_problem()

    def test_one_of_another_lake(self, logged, vials, other_lake):
        Vial.objects.filter(pk=vials[0].pk).update(lake=other_lake)

        assert "hold a fish of another lake" in only_problem()

    def test_one_claimed_twice_is_work_and_no_problem(self, logged, guide, party, vials):
        take(guide, entries.fish(party.party_id, vials[0].number))

        said = run()

        assert "Note: 1 of the vials are claimed by a second fish: 26 0001" in said
        assert "Note: 1 entry waits for the office to resolve." in said


class TestReadings:
    @pytest.fixture
    def reading(self, logged, vials, reader):
        return Reading.objects.create(
            vial=vials[20], reader=reader, sitting_on=NOW.date(), annuli=3, margin=2, read_at=NOW
        )

    def test_one_of_a_vial_without_a_fish(self, reading):
        assert "1 vial was read, and no fish is logged in it: 26 0021" in only_problem()

    def test_an_age_that_rests_on_none(self, logged):
        Age.objects.create(
            fish=logged[0], standing="one_reader", age_years=3, rule="x", worked_out_at=NOW
        )
        Fish.objects.filter(pk=logged[0].pk).update(progress=Progress.ONE_READER)

        assert "1 age rests on no reading" in only_problem()


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

        assert "1 fish does not repeat what the trip says" in only_problem()
        assert f"(ids {logged[1].pk})" in only_problem()

    def test_fish_of_an_earlier_leg_keep_their_arm(self, logged, party):
        elsewhere = party.lake.arms.exclude(pk=party.arm_id).first()
        Party.objects.update(leg=2, arm=elsewhere)

        assert problems() == []

    def test_progress_is_found_and_set_right_when_asked(self, logged):
        Fish.objects.filter(pk=logged[0].pk).update(progress=Progress.AGED)

        with pytest.raises(CommandError, match="1 problem found"):
            run()
        assert "1 fish is counted at another stage" in only_problem()

        said = run(refresh_progress=True)

        assert "Corrected how far 1 fish have come" in said
        assert problems() == []
        assert Fish.objects.get(pk=logged[0].pk).progress == Progress.LOGGED


def test_tables_of_an_older_version_are_not_looked_at(logged, monkeypatch):
    monkeypatch.setattr(
        "samples.management.commands.check_data.list_known_migrations",
        lambda: {"samples.0001_initial", "samples.0999_later"},
    )

    with pytest.raises(CommandError, match=r"older version \(1 migrations wait\)"):
        run()
