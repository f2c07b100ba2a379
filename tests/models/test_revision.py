"""The revision of a lake moves with what its findings read, last, and with nothing else."""

import threading
from pathlib import Path

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from samples.lab.services import save_reading
from samples.models import (
    SHARED,
    Arm,
    Fish,
    NaturalDeath,
    User,
    Vial,
    atomic_with_revision,
    note_lakes,
    read_revision,
)
from samples.ramp.entry import read
from samples.ramp.services import ingest
from samples.vials.services import mark_lost
from samples.waters.services import add_arm
from tests.factories import make_fish, make_trip_like
from tests.people import NOW, make_person
from tests.ramp import entries
from tests.revision_watch import WATCHED, fingerprint
from tests.waiting import LONGEST_S

BACKEND = "django.contrib.auth.backends.ModelBackend"
MOVES = 'INSERT INTO "samples_revision"'


@pytest.fixture
def revisions(lake, other_lake):
    """Return the revisions of both lakes: revisions()."""
    return lambda: (read_revision(lake.pk), read_revision(other_lake.pk))


@atomic_with_revision()
def add_an_arm_and_fail(lake):
    add_arm(lake, name="East")
    Arm.objects.get(name="None of this name")


@pytest.fixture
def moved(revisions):
    """Tell which of the two lakes a call moves: moved(add_arm, lake, name="North")."""

    def call(function, *args, **kwargs):
        before = revisions()
        function(*args, **kwargs)
        after = revisions()
        return tuple(one != other for one, other in zip(before, after, strict=True))

    return call


OWN_ALONE, NEITHER, BOTH = (True, False), (False, False), (True, True)


class TestWhatMovesIt:
    def test_fish_logged_at_a_lake_move_that_lake_alone(self, moved, party, guide, vials):
        entry = read(entries.fish(party.party_id, vials[0].number))

        assert moved(ingest, [entry], author=guide, now=NOW) == OWN_ALONE

    def test_what_was_sent_before_moves_nothing(self, moved, party, guide, vials):
        entry = read(entries.fish(party.party_id, vials[0].number))
        ingest([entry], author=guide, now=NOW)

        assert moved(ingest, [entry], author=guide, now=NOW) == NEITHER

    def test_a_reading(self, moved, party, white, vials, reader):
        make_fish(party, white, vial=vials[0])

        said = {"annuli": 2, "margin": 2, "method": "whole", "readability": 1}
        sitting = {"length_was_hidden": False, "sitting_on": NOW.date(), "now": NOW}

        assert moved(save_reading, vial=vials[0], reader=reader, **said, **sitting) == OWN_ALONE

    def test_a_lost_vial_whose_fish_is_no_sample_any_more(self, moved, party, white, vials, office):
        fish = make_fish(party, white, vial=vials[0], progress=2)
        number = vials[0].number

        assert moved(mark_lost, lake=party.lake, number=number, actor=office, now=NOW) == OWN_ALONE
        fish.refresh_from_db()
        assert fish.progress == 0

    def test_a_figure_from_elsewhere_and_its_removal(self, moved, lake, white, biologist):
        row = NaturalDeath(
            lake=lake, species=white, least="0.2", middle="0.3", most="0.4",
            source="Survey of lakes, 2019", as_of="2026-01-01",
            entered_by=biologist, entered_at=NOW,
        )  # fmt: skip

        assert moved(row.save) == OWN_ALONE
        assert moved(row.delete) == OWN_ALONE

    def test_a_lake_s_settings(self, moved, lake):
        lake.length_unit = "mm"

        assert moved(lake.save) == OWN_ALONE

    def test_the_list_of_species_moves_every_lake(self, moved, white):
        white.name = "White"

        assert moved(white.save) == BOTH

    def test_a_vial_that_holds_no_fish_moves_nothing(self, moved, vials):
        vials[0].state = Vial.State.LOST

        assert moved(vials[0].save) == NEITHER


class TestAdministrator:
    @pytest.fixture
    def administrator(self, client, db):
        person = User.objects.create_superuser("administrator", password="-")
        client.force_login(person, backend=BACKEND)
        return client

    def save(self, client, row, **values):
        address = reverse(f"admin:samples_{row._meta.model_name}_change", args=[row.pk])
        form = client.get(address).context["adminform"].form
        said = {name: form[name].value() for name in form.fields}
        said = {name: value for name, value in said.items() if value is not None} | values
        for name in ("last_login", "date_joined"):
            when = said.pop(name, None)
            if when is not None:
                said |= {f"{name}_0": when.date().isoformat(), f"{name}_1": "12:00:00"}
        assert client.post(address, said).status_code == 302

    def test_a_donor_s_name_moves_nothing_for_no_finding_keeps_it(
        self, administrator, moved, party
    ):
        assert moved(self.save, administrator, party.donor, name="") == NEITHER

    def test_a_person_s_name(self, administrator, moved, reader):
        assert moved(self.save, administrator, reader, display_name="R. Stowe") == BOTH

    def test_a_person_s_address_moves_nothing(self, administrator, moved, reader):
        assert moved(self.save, administrator, reader, email="r@example.org") == NEITHER


class TestWhenItMoves:
    def test_last_in_the_transaction(self, party, guide, vials):
        entry = read(entries.fish(party.party_id, vials[0].number))

        with CaptureQueriesContext(connection) as asked:
            ingest([entry], author=guide, now=NOW)

        said = [one["sql"] for one in asked if "SAVEPOINT" not in one["sql"]]
        assert [place for place, sql in enumerate(said) if MOVES in sql] == [len(said) - 1]

    def test_once_for_all_services_within_one(self, lake, other_lake):
        with CaptureQueriesContext(connection) as asked, atomic_with_revision():
            add_arm(lake, name="East")
            add_arm(other_lake, name="East")

        assert sum(MOVES in one["sql"] for one in asked) == 1

    def test_not_at_all_if_the_transaction_fails(self, lake, revisions):
        before = revisions()

        with pytest.raises(Arm.DoesNotExist):
            add_an_arm_and_fail(lake)

        assert revisions() == before

    def test_never_back_to_what_it_was(self, lake):
        seen = set()
        for _ in range(3):
            note_lakes(lake.pk)
            seen.add(read_revision(lake.pk))
        note_lakes(SHARED)
        seen.add(read_revision(lake.pk))

        assert len(seen) == 4


def test_the_watch_of_services_sees_what_moves_no_revision(party, white):
    """What every service is held against is able to tell a difference."""
    fish = make_fish(party, white)
    before = fingerprint(party.lake_id)

    Fish.objects.filter(pk=fish.pk).update(progress=2)

    assert fingerprint(party.lake_id) != before


def test_every_module_that_is_to_be_watched_is_there():
    tests = Path(__file__).parent.parent
    modules = [f"{folder}/{name}.py" for folder, names in WATCHED.items() for name in names]

    assert [one for one in modules if not (tests / one).exists()] == []


@pytest.mark.postgres
@pytest.mark.django_db(transaction=True)
def test_eight_writers_at_one_lake_are_inside_together(lake, party, vials):
    """None waits for another before it ends: each has written when all meet."""
    people = [make_person(lake, "guide", f"G. Writer{place}") for place in range(8)]
    said = [
        entries.fish(make_trip_like(party, opened_by=one).party_id, vial.number)
        for one, vial in zip(people, vials[:8], strict=True)
    ]
    all_written = threading.Barrier(8, timeout=LONGEST_S)
    heard: list[object] = []

    def write(person, entry):
        try:
            with atomic_with_revision():
                answers = ingest([read(entry)], author=person, now=NOW)
                all_written.wait()
            heard.extend(answer.outcome for answer in answers)
        except Exception as problem:
            heard.append(problem)
        finally:
            connection.close()

    before = read_revision(lake.pk)
    threads = [threading.Thread(target=write, args=pair) for pair in zip(people, said, strict=True)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(timeout=LONGEST_S)

    assert heard == ["logged"] * 8
    assert read_revision(lake.pk) != before
