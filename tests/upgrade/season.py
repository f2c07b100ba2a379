"""A small season of the invented lake, played through the services, for an installation to upgrade.

It was played once, at 0.1.0, by make_dumps.py; the dumps beside it are what is tested.
"""

from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from hashlib import sha256
from uuid import UUID

from samples.accounts.links import make_link
from samples.lab.services import ReadingNeedsConfirmation, decide_age, save_reading, set_radii
from samples.models import (
    AgeAsGiven,
    Fish,
    HeldEntry,
    LabelRun,
    PersonalLink,
    Phone,
    Reading,
    Regulation,
    Species,
    Vial,
)
from samples.ramp.entry import read
from samples.ramp.services import give_other_number, ingest, set_aside
from samples.targets.services import save_targets
from samples.vials.services import make_run, receive
from samples.waters.services import add_natural_death, add_tag_returns
from tests.people import INCH
from tests.upgrade.corpus import SENDINGS
from tests.upgrade.world import make_world

SENT_AT = datetime(2026, 5, 6, 23, 30, tzinfo=UTC)
READ_AT = datetime(2026, 6, 3, 15, 0, tzinfo=UTC)
# Of phones and people who do not exist: known, so that the upgraded site can be asked with them.
TOKEN = "the-token-of-a-phone-of-0-1-0"
LINK = "the-link-of-a-guide-of-0-1-0"
LENGTHS = ["6.8", "7.4", "8.0", "8.3", "8.9", "9.2", "9.8", "10.4"]
ANNULI = [1, 1, 2, 2, 3, 3, 4, 5]


def play():
    """Play the season into an empty database: log, hold, receive, read, age, settle."""
    world = make_world()
    for sending in SENDINGS:
        _send(world, sending["by"], [entry["words"] for entry in sending["entries"]])
        if sending is SENDINGS[0]:
            world.bring_in()
    _second_trip(world)
    for sequence in range(21, 29):
        receive(lake=world.lake, number=world.number(sequence), content="", **_office(world))
    _read_and_age(world)
    _settle(world)
    _plan(world)
    _hand_out_known_keys(world)


def _send(world, name, batch):
    entries = []
    for words in batch:
        try:
            entries.append(read(words))
        except ValueError:
            continue  # unreadable: nothing of it was ever kept
    phone = world.phones.get(name)
    ingest(entries, author=world.people[name], phone=phone, now=SENT_AT)


def _second_trip(world):
    """Let another guide log eight fish, and leave the trip open."""
    common = {"schema": 1, "party_id": str(UUID(int=21)), "written_at": "2026-05-05T18:00:00-05:00"}
    trip = {
        **common, "kind": "party_opened", "entry_id": str(UUID(int=21)), "lake": "lake-orrinbeck",
        "arm": "Hobbin", "reach": "Upper", "caught_on": "2026-05-05", "method": "angler_kept",
        "how_chosen": "biggest", "fish_in_box": 11, "kept": "fresh",
    }  # fmt: skip
    fish = [
        {
            **common, "kind": "fish", "entry_id": str(UUID(int=100 + place)), "length": length,
            "vial": world.number(21 + place), "species": "white-crappie", "unit": "in", "sex": "F",
        }
        for place, length in enumerate(LENGTHS)
    ]  # fmt: skip
    _send(world, "second_guide", [trip, *fish])


def _read_and_age(world):
    readers = [world.people["reader"], world.people["biologist"]]
    for place, annuli in enumerate(ANNULI):
        vial = Vial.objects.get(sequence=21 + place)
        _read(vial, readers[0], annuli)
        if place < 6:
            # The two differ on one fish, whose age is then decided.
            _read(vial, readers[1], annuli + (place == 5))
    settled = Fish.objects.get(vial__sequence=26)
    decide_age(
        fish=settled,
        age_years=3,
        note="The first check is no annulus",
        actor=readers[1],
        now=READ_AT + timedelta(days=2),
    )
    measured = Reading.objects.filter(vial__sequence=28).get()
    set_radii(measured, [210, 390, 520, 610, 680], edge_um=700)
    AgeAsGiven.objects.create(
        fish=Fish.objects.get(vial__sequence=3), age_years=2, structure="scale", source="card 7"
    )


def _read(vial, reader, annuli, confirmed=()):
    try:
        save_reading(
            vial=vial,
            reader=reader,
            annuli=annuli,
            margin=1,
            method="whole",
            readability=2,
            length_was_hidden=True,
            sitting_on=READ_AT.date(),
            now=READ_AT,
            note="",
            confirmed=confirmed,
        )
    except ReadingNeedsConfirmation as asked:
        _read(vial, reader, annuli, tuple(question.code for question in asked.questions))


def _settle(world):
    """Settle two of the held entries; the others stay open."""
    taken = HeldEntry.objects.get(reason="vial_taken")
    give_other_number(
        taken, number=world.number(17), note="The slip in the vial says so.", **_settling(world)
    )
    lost = HeldEntry.objects.filter(reason="void_vial").order_by("pk")[0]
    set_aside(lost, note="Its otoliths were lost with the vial.", **_settling(world))


def _plan(world):
    season, by = world.lake.seasons.get(), world.people["biologist"]
    white = Species.objects.get(code="white-crappie")
    brindle = world.lake.arms.get(name="Brindle")
    wanted = {(None, place * INCH): 10 for place in range(6, 12)} | {(brindle.pk, 9 * INCH): 3}
    save_targets(season, white, wanted=wanted, width=INCH, actor=by, now=READ_AT)
    Regulation.objects.create(
        lake=world.lake,
        species=white,
        in_force_from=date(2024, 3, 1),
        words="9 inches and up, 30 a day",
        minimum_length_hundredths_mm=9 * INCH,
        daily_limit=30,
    )
    add_natural_death(
        world.lake,
        species=white,
        arm=None,
        source="Invented survey, 2025",
        as_of=date(2025, 12, 31),
        least=Decimal("0.30"),
        middle=Decimal("0.40"),
        most=Decimal("0.50"),
        oldest_years=9,
        actor=by,
        now=READ_AT,
    )
    add_tag_returns(
        world.lake,
        species=white,
        arm=None,
        season=season,
        source="Invented tags, 2025",
        as_of=date(2025, 12, 31),
        tags_out=120,
        returned=31,
        reporting_least=Decimal("0.5"),
        reporting_most=Decimal("0.9"),
        tags_kept=Decimal(1),
        survived_tagging=Decimal(1),
        actor=by,
        now=READ_AT,
    )
    make_run(
        season=season,
        count=12,
        stock=LabelRun.objects.order_by("pk").first().stock,
        first_position=1,
        request_id=UUID(int=7),
        actor=world.people["office"],
        now=READ_AT,
    )


def _hand_out_known_keys(world):
    guide, biologist = world.people["guide"], world.people["biologist"]
    made = make_link(guide, made_by=biologist, good_until=date(2099, 12, 31), now=SENT_AT)
    link = PersonalLink.objects.filter(pk=made.link.pk)
    link.update(token_sha256=sha256(LINK.encode()).hexdigest())
    phone = Phone.objects.filter(pk=world.phones["guide"].pk)
    phone.update(token_sha256=sha256(TOKEN.encode()).hexdigest())


def _settling(world):
    return {"actor": world.people["office"], "now": READ_AT + timedelta(days=1)}


def _office(world):
    return {"actor": world.people["office"], "now": READ_AT + timedelta(days=1)}
