"""Intake: thirty fish through the service, history included, against thirty plain rows.

The floor is thirty INSERTs, one by one, in one transaction: what the rows cost by
themselves. Both sides write fish of one party into the same table, in turn. Then fifty
phones send at once over HTTP; their floor is an empty answer to the same fifty.
"""

import uuid
from datetime import UTC, date, datetime

from django.db import connection, transaction

from samples.management.timing import BenchmarkResult, in_turn
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
from tests.benchmarks import _phones
from tests.factories import build_fish

NAME = "intake"
FISH_IN_A_BATCH = 30
ROUNDS = 25
WARM_UP = 5
GOAL = 6.0
PHONES = 50
BATCHES_A_PHONE = 4
FISH_A_PHONE_SENDS = 25
NOW = datetime(2026, 5, 6, 17, 30, tzinfo=UTC)


def run():
    season, arm = _water()
    return [_through_the_service(season, arm), *_over_http(season, arm)]


def _through_the_service(season, arm):
    by, party = _guide_with_party(season, arm, "bench-guide")
    vials = _vials(season, by, count=FISH_IN_A_BATCH * (ROUNDS + WARM_UP), start=1)
    statement, values = _statement_and_row(party, by)
    batches = [
        [read(_entry(party, vials.pop())) for _ in range(FISH_IN_A_BATCH)]
        for _ in range(ROUNDS + WARM_UP)
    ]
    ours, floor = in_turn(
        lambda: services.ingest(batches.pop(), author=by, now=NOW),
        lambda: _insert_one_by_one(statement, values),
        rounds=ROUNDS,
        warm=WARM_UP,
    )
    logged = Fish.history.count()
    if logged != FISH_IN_A_BATCH * (ROUNDS + WARM_UP):
        raise RuntimeError(f"only {logged} fish have a history: this measured something else")
    name = f"{NAME}: {FISH_IN_A_BATCH} fish with history, {connection.vendor}"
    goal = f"at most {GOAL:g} times the floor"
    return BenchmarkResult(name, ours, floor, "ms", goal, met=ours <= GOAL * floor)


def _over_http(season, arm):
    """Let fifty phones send at once. SQLite has one writer: there it would say little."""
    if connection.vendor != "postgresql":
        return []
    phones = [_phone(season, arm, place) for place in range(PHONES)]

    def both(port):
        return (
            _phones.in_parallel(phones, _phones.sending(port)),
            _phones.in_parallel(phones, _phones.asking(port)),
        )

    ours, floor = _phones.on_site(both)
    name = (
        f"{NAME}: p95 of a batch of {FISH_A_PHONE_SENDS} over HTTP, {PHONES} phones at once, "
        f"{_phones.WORKERS} workers"
    )
    return [
        BenchmarkResult(
            name, _phones.p95(ours), _phones.p95(floor), "ms", "noted, without a goal", met=True
        )
    ]


def _phone(season, arm, place):
    by, party = _guide_with_party(season, arm, f"bench-guide-{place}")
    count = BATCHES_A_PHONE * FISH_A_PHONE_SENDS
    vials = _vials(season, by, count=count, start=1_001 + place * count)
    batches = [
        [_entry(party, vials.pop()) for _ in range(FISH_A_PHONE_SENDS)]
        for _ in range(BATCHES_A_PHONE)
    ]
    [phone] = _phones.phones_with([batches], by, NOW)
    return phone


def _water():
    lake = Lake.objects.create(name="Bench Lake", slug="bench-lake")
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
    return season, Arm.objects.create(lake=lake, name="North")


def _guide_with_party(season, arm, name):
    by = User.objects.create(username=name, display_name=name)
    Membership.objects.create(person=by, lake=season.lake, role="guide")
    party = Party.objects.create(
        party_id=uuid.uuid4(),
        fingerprint="bench",
        lake=season.lake,
        season=season,
        arm=arm,
        caught_on=date(2026, 5, 6),
        method="angler_kept",
        how_chosen="every_fish",
        donor=Donor.objects.create(lake=season.lake, person=by, name=name),
        opened_by=by,
        opened_at=NOW,
        received_at=NOW,
    )
    return by, party


def _vials(season, by, *, count, start):
    run = LabelRun.objects.create(
        season=season,
        first_sequence=start,
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
        for sequence in range(start, start + count)
    )


def _entry(party, vial):
    return {
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


def _statement_and_row(party, by):
    """Make the statement and the values of a fish row, outside of what is timed."""
    columns = [field for field in Fish._meta.concrete_fields if not field.primary_key]
    names = ", ".join(connection.ops.quote_name(field.column) for field in columns)
    places = ", ".join(["%s"] * len(columns))
    species = party.lake.lake_species.get().species
    fish = build_fish(party, species, inches=9.4, logged_by=by, withdrawn=True)
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
