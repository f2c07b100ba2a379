"""The lake, the people, their phones and the vials that the stories speak of."""

from datetime import UTC, datetime

from simple_history.utils import bulk_create_with_history

from samples.accounts.links import make_phone
from samples.models import Donor, LabelRun, LakeSpecies, NumberYear, Species, Vial
from samples.rules import vial_number
from tests.faults.story import ARMS, DIGITS, YEAR, Numbers
from tests.people import INCH, make_lake, make_person

SPECIES = {"white-crappie": "White crappie", "black-crappie": "Black crappie"}


def make_world(stories, fish):
    """Make all of it, give every story its phone's token, and return the office's person."""
    lake = make_lake("Lake Orrinbeck", arms=ARMS)
    for code, name in SPECIES.items():
        species = Species.objects.create(
            code=code,
            name=name,
            short_name=name.split()[0],
            plausible_min_hundredths_mm=2 * INCH,
            plausible_max_hundredths_mm=20 * INCH,
            plausible_max_age_years=12,
        )
        LakeSpecies.objects.create(lake=lake, species=species)
    office = make_person(lake, "office", "J. Pell")
    people = {}
    for story in stories:
        if story.person not in people:
            people[story.person] = _make_logger(lake, story)
        story.token = make_phone(people[story.person], now=datetime.now(UTC)).token
    by_phone = {story.number: people[story.person] for story in stories}
    _make_vials(lake, office, by_phone, Numbers(len(stories), fish))
    return office


def _make_logger(lake, story):
    role = "clerk" if story.is_clerk else "guide"
    person = make_person(lake, role, f"Phone {story.person}")
    if not story.is_clerk:
        Donor.objects.create(lake=lake, person=person, name=person.display_name)
    return person


def _make_vials(lake, office, by_phone, numbers):
    now = datetime.now(UTC)
    season = lake.seasons.get()
    NumberYear.objects.create(year=YEAR, digits=DIGITS, last_sequence=numbers.all)
    run = LabelRun.objects.create(
        season=season,
        first_sequence=1,
        count=numbers.all,
        stock="sheet",
        made_by=office,
        made_at=now,
        request_id="00000000-0000-4000-8000-000000000001",
    )
    vials = [
        Vial(
            number=vial_number.make(YEAR, sequence, DIGITS),
            lake=lake,
            season=season,
            run=run,
            sequence=sequence,
            state=Vial.State.ISSUED,
            issued_to=by_phone[numbers.owner_of(sequence)],
            issued_at=now,
        )
        for sequence in range(1, numbers.all + 1)
    ]
    bulk_create_with_history(vials, Vial, batch_size=1000, default_user=office, default_date=now)
