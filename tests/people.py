"""The waters and people that tests are told about: one lake, one other lake, one of each role.

Days and times are fixed, so that no test depends on the day it is run.
"""

from datetime import UTC, date, datetime

import pytest
from simple_history.utils import bulk_create_with_history

from samples.models import (
    Arm,
    Donor,
    LabelRun,
    Lake,
    LakeSpecies,
    Membership,
    NumberYear,
    Party,
    Reach,
    Season,
    Species,
    SpeciesGroup,
    User,
    Vial,
)
from samples.rules import vial_number

NOW = datetime(2026, 5, 6, 17, 30, tzinfo=UTC)
CAUGHT_ON = date(2026, 5, 6)
INCH = 2540


def make_person(lake, role, name):
    person = User.objects.create(
        username=name.lower().replace(". ", "-"), display_name=name, password="!"
    )
    Membership.objects.create(person=person, lake=lake, role=role)
    return person


def make_lake(name, *, arms):
    lake = Lake.objects.create(name=name, slug=name.lower().replace(" ", "-"))
    made = [Arm(lake=lake, name=name, position=place) for place, name in enumerate(arms)]
    reaches = [
        Reach(arm=arm, name=name, position=place)
        for arm in bulk_create_with_history(made, Arm)
        for place, name in enumerate(["Lower", "Middle", "Upper"])
    ]
    bulk_create_with_history(reaches, Reach)
    Season.objects.create(
        lake=lake,
        name="2026",
        number_year=2026,
        starts_on=date(2026, 1, 1),
        ends_on=date(2026, 12, 31),
        permit_number="SC-26-014",
        permit_holder="N. Aubrey",
    )
    return lake


def make_vials(season, *, first, count, by):
    """Make a run of printed vials, numbered from `first`."""
    run = LabelRun.objects.create(
        season=season,
        first_sequence=first,
        count=count,
        stock="sheet-35x15",
        made_by=by,
        made_at=NOW,
        request_id=f"00000000-0000-4000-8000-{season.pk:06d}{first:06d}",
    )
    NumberYear.objects.update_or_create(
        year=season.number_year, defaults={"last_sequence": first + count - 1}
    )
    vials = [
        Vial(
            number=vial_number.make(season.number_year, sequence, 4),
            lake=season.lake,
            season=season,
            run=run,
            sequence=sequence,
        )
        for sequence in range(first, first + count)
    ]
    return bulk_create_with_history(vials, Vial)


@pytest.fixture
def crappies(db):
    """White crappie, black crappie, their hybrid, and "not sure", in one group."""
    group = SpeciesGroup.objects.create(
        name="Crappies",
        helper_heading="Count the spines on the top fin",
        helper_words="Start at the front. The first (arrow) is short and easily missed.",
        helper_caution="A mixed pattern may be a hybrid; the count alone does not tell.",
    )
    usual = {
        "group": group,
        "plausible_min_hundredths_mm": 2 * INCH,
        "plausible_max_hundredths_mm": 20 * INCH,
        "plausible_max_age_years": 12,
    }
    white = Species(
        code="white-crappie",
        name="White crappie",
        short_name="White",
        spines_min=5,
        spines_max=6,
        marks="bars down the side",
        **usual,
    )
    black = Species(
        code="black-crappie",
        name="Black crappie",
        short_name="Black",
        spines_min=7,
        spines_max=8,
        marks="speckles, no order",
        **usual,
    )
    # The parents of the hybrid first.
    bulk_create_with_history([white, black], Species)
    hybrid = Species(
        code="hybrid-crappie",
        name="Hybrid crappie",
        short_name="Hybrid",
        kind="hybrid",
        parent_a=white,
        parent_b=black,
        spines_min=5,
        spines_max=8,
        **usual,
    )
    not_sure = Species(
        code="crappie-not-sure",
        name="Crappie, not sure",
        short_name="Not sure",
        kind="not_sure",
        **usual,
    )
    bulk_create_with_history([hybrid, not_sure], Species)
    return Species.objects.filter(group=group)


@pytest.fixture
def lake(crappies):
    """Lake Orrinbeck with three arms, the season 2026 and the crappies."""
    lake = make_lake("Lake Orrinbeck", arms=["Brindle", "Cutbank", "Hobbin"])
    listed = [
        LakeSpecies(lake=lake, species=species, position=position)
        for position, species in enumerate(crappies.order_by("pk"))
    ]
    bulk_create_with_history(listed, LakeSpecies)
    return lake


@pytest.fixture
def other_lake(crappies):
    """Return a lake where none of the people of `lake` has a role."""
    lake = make_lake("Tamsin Reservoir", arms=["North", "South"])
    LakeSpecies.objects.create(lake=lake, species=crappies.order_by("pk").first())
    return lake


@pytest.fixture
def season(lake):
    return lake.seasons.get()


@pytest.fixture
def brindle(lake):
    return lake.arms.get(name="Brindle")


@pytest.fixture
def white(crappies):
    return crappies.get(code="white-crappie")


@pytest.fixture
def black(crappies):
    return crappies.get(code="black-crappie")


@pytest.fixture
def guide(lake):
    guide = make_person(lake, "guide", "R. Ostrow")
    Donor.objects.create(lake=lake, person=guide, name="R. Ostrow")
    return guide


@pytest.fixture
def second_guide(lake):
    guide = make_person(lake, "guide", "I. Talvik")
    Donor.objects.create(lake=lake, person=guide, name="I. Talvik")
    return guide


@pytest.fixture
def clerk(lake):
    return make_person(lake, "clerk", "D. Marrable")


@pytest.fixture
def office(lake):
    return make_person(lake, "office", "J. Pell")


@pytest.fixture
def reader(lake):
    return make_person(lake, "reader", "T. Vesk")


@pytest.fixture
def biologist(lake):
    return make_person(lake, "biologist", "N. Aubrey")


@pytest.fixture
def stranger(other_lake):
    """Return a biologist of the other lake, who has no business at this one."""
    return make_person(other_lake, "biologist", "O. Quill")


@pytest.fixture
def vials(season, office, guide):
    """Thirty vials from 26 0001, the first twenty of them in the guide's hands."""
    made = make_vials(season, first=1, count=30, by=office)
    issued = made[:20]
    for vial in issued:
        vial.state, vial.issued_to, vial.issued_at = Vial.State.ISSUED, guide, NOW
    # As bulk_update_with_history does, which would tell the database the same twenty times over.
    Vial.objects.filter(pk__in=[vial.pk for vial in issued]).update(
        state=Vial.State.ISSUED, issued_to=guide, issued_at=NOW
    )
    Vial.history.bulk_history_create(issued, update=True)
    return made


@pytest.fixture
def party(lake, season, brindle, guide):
    """Return an open party of the guide in Brindle."""
    return Party.objects.create(
        party_id="0f000000-0000-4000-8000-000000000001",
        fingerprint="party",
        lake=lake,
        season=season,
        arm=brindle,
        caught_on=CAUGHT_ON,
        method="angler_kept",
        how_chosen="every_fish",
        kept="fresh",
        donor=Donor.objects.get(person=guide),
        opened_by=guide,
        opened_at=NOW,
        received_at=NOW,
    )
