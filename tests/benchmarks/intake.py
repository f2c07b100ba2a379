"""Intake: thirty fish through the service, history included, against thirty plain rows.

The floor is thirty INSERTs, one by one, in one transaction: what the rows cost by
themselves. Both sides write fish of one party into the same table, in turn.
"""

import uuid
from datetime import UTC, date, datetime

from django.db import connection, transaction

from samples.management.timing import Result, in_turn
from samples.models import (
    Arm,
    Donor,
    Fish,
    LabelRun,
    Lake,
    LakeSpecies,
    Membership,
    Party,
    Season,
    Species,
    User,
    Vial,
)
from samples.ramp import services
from samples.ramp.entry import read
from samples.rules import vial_number

NAME = "intake"
FISH_IN_A_BATCH = 30
ROUNDS = 25
WARM_UP = 5
GOAL = 8.0
NOW = datetime(2026, 5, 6, 17, 30, tzinfo=UTC)


def run():
    party, vials, by = _set_up()
    statement, values = _statement_and_row(party, by)
    batches = [
        [_entry(party, vials.pop()) for _ in range(FISH_IN_A_BATCH)]
        for _ in range(ROUNDS + WARM_UP)
    ]
    ours, floor = in_turn(
        lambda: services.take(batches.pop(), by=by, now=NOW),
        lambda: _insert_one_by_one(statement, values),
        rounds=ROUNDS,
        warm=WARM_UP,
    )
    logged = Fish.history.count()
    if logged != FISH_IN_A_BATCH * (ROUNDS + WARM_UP):
        raise RuntimeError(f"only {logged} fish have a history: this measured something else")
    name = f"{NAME}: {FISH_IN_A_BATCH} fish with history, {connection.vendor}"
    goal = f"at most {GOAL:g} times the floor"
    return [Result(name, ours, floor, "ms", goal, met=ours <= GOAL * floor)]


def _set_up():
    by = User.objects.create(username="bench-guide", display_name="B. Guide")
    lake = Lake.objects.create(name="Bench Lake", slug="bench-lake")
    Membership.objects.create(person=by, lake=lake, role="guide")
    donor = Donor.objects.create(lake=lake, person=by, name="B. Guide")
    arm = Arm.objects.create(lake=lake, name="North")
    season = Season.objects.create(
        lake=lake,
        name="2026",
        number_year=2026,
        starts_on=date(2026, 1, 1),
        ends_on=date(2026, 12, 31),
    )
    species = Species.objects.create(
        code="bench-fish",
        name="Bench fish",
        short_name="Bench",
        plausible_min_hundredths_mm=5_000,
        plausible_max_hundredths_mm=60_000,
        plausible_max_age_years=12,
    )
    LakeSpecies.objects.create(lake=lake, species=species)
    party = Party.objects.create(
        party_id=uuid.uuid4(),
        fingerprint="bench",
        lake=lake,
        season=season,
        arm=arm,
        caught_on=date(2026, 5, 6),
        method="angler_kept",
        how_chosen="every_fish",
        donor=donor,
        opened_by=by,
        opened_at=NOW,
        received_at=NOW,
    )
    return party, _vials(season, by), by


def _vials(season, by):
    count = FISH_IN_A_BATCH * (ROUNDS + WARM_UP)
    run = LabelRun.objects.create(
        season=season,
        first_sequence=1,
        count=count,
        stock="bench",
        made_by=by,
        made_at=NOW,
        request_id=uuid.uuid4(),
    )
    return Vial.objects.bulk_create(
        Vial(
            number=vial_number.make(2026, sequence, 4),
            lake=season.lake,
            season=season,
            run=run,
            sequence=sequence,
            state="issued",
            issued_to=by,
            issued_at=NOW,
        )
        for sequence in range(1, count + 1)
    )


def _entry(party, vial):
    return read(
        {
            "kind": "fish",
            "schema": 1,
            "entry_id": str(uuid.uuid4()),
            "party_id": str(party.party_id),
            "written_at": "2026-05-06T12:31:00-05:00",
            "vial": vial.number,
            "species": "bench-fish",
            "length": "9.4",
            "unit": "in",
            "sex": "F",
        }
    )


def _statement_and_row(party, by):
    """Make the statement and the values of a fish row, outside of what is timed."""
    columns = [field for field in Fish._meta.concrete_fields if not field.primary_key]
    names = ", ".join(connection.ops.quote_name(field.column) for field in columns)
    places = ", ".join(["%s"] * len(columns))
    fish = Fish(
        entry_id=uuid.uuid4(),
        fingerprint="plain",
        party=party,
        lake_id=party.lake_id,
        season_id=party.season_id,
        arm_id=party.arm_id,
        donor_id=party.donor_id,
        method=party.method,
        caught_on=party.caught_on,
        species_id=party.lake.lake_species.get().species_id,
        sex="F",
        length_hundredths_mm=23876,
        length_as_measured="9.4",
        length_unit_as_measured="in",
        logged_by=by,
        logged_at=NOW,
        received_at=NOW,
        withdrawn=True,
    )
    values = {
        field.column: field.get_db_prep_save(getattr(fish, field.attname), connection)
        for field in columns
    }
    # The names are the model's own.
    return f"INSERT INTO samples_fish ({names}) VALUES ({places})", values  # noqa: S608


def _insert_one_by_one(statement, values):
    as_kept = Fish._meta.get_field("entry_id").get_db_prep_save
    with transaction.atomic(), connection.cursor() as cursor:
        for _ in range(FISH_IN_A_BATCH):
            row = values | {"entry_id": as_kept(uuid.uuid4(), connection)}
            cursor.execute(statement, list(row.values()))
