"""The invented waters and people to whom what phones of an older release send is played.

Species, limits and vials are said here in full: the answers that stand in the corpus follow from
them, and not from a catalogue that may grow.
"""

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from samples.accounts.links import make_phone
from samples.models import Donor, Fish, Lake, LakeSpecies, Phone, Species, SpeciesGroup, User, Vial
from samples.rules import vial_number
from samples.vials.services import issue, mark_lost, receive, void_vials
from tests.people import INCH, make_lake, make_person, make_vials

PRINTED_AT = datetime(2026, 2, 2, 15, 0, tzinfo=UTC)
RECEIVED_AT = datetime(2026, 5, 7, 14, 0, tzinfo=UTC)
SPINES = {"white-crappie": (5, 6), "black-crappie": (7, 8), "crappie-not-sure": (None, None)}
VOID, LOST, RECEIVED, ELSEWHERE = 15, 16, 1, 101


@dataclass(frozen=True)
class World:
    """A lake with its people; `phones` are by the name of who carries them, with their tokens."""

    lake: Lake
    people: dict[str, User]
    phones: dict[str, Phone]
    tokens: dict[str, str]

    def number(self, sequence):
        return vial_number.make(2026, sequence, 4)

    def bring_in(self):
        """Receive the vial of the first fish at the office: a guide may not touch it any more."""
        office, number = self.people["office"], self.number(RECEIVED)
        receive(lake=self.lake, number=number, content="", actor=office, now=RECEIVED_AT)
        assert Fish.objects.get(vial__sequence=RECEIVED).vial.received_at == RECEIVED_AT


def make_world():
    """Make two lakes, the people of one of them, and forty vials, some of them out of use."""
    species = make_species()
    lake = make_lake("Lake Orrinbeck", arms=["Brindle", "Cutbank", "Hobbin"])
    for position, one in enumerate(species):
        LakeSpecies.objects.create(lake=lake, species=one, position=position)
    other_lake = make_lake("Tamsin Reservoir", arms=["North", "South"])
    people = {
        "guide": make_person(lake, "guide", "R. Ostrow"),
        "second_guide": make_person(lake, "guide", "I. Talvik"),
        "clerk": make_person(lake, "clerk", "D. Marrable"),
        "office": make_person(lake, "office", "J. Pell"),
        "reader": make_person(lake, "reader", "T. Vesk"),
        "biologist": make_person(lake, "biologist", "N. Aubrey"),
    }
    for name in ("guide", "second_guide"):
        Donor.objects.create(lake=lake, person=people[name], name=str(people[name]))
    make_vials(other_lake.seasons.get(), first=ELSEWHERE, count=2, by=people["office"])
    _hand_out(make_vials(lake.seasons.get(), first=1, count=40, by=people["office"]), people)
    made = {name: make_phone(people[name], now=PRINTED_AT, name="Phone") for name in people}
    return World(
        lake=lake,
        people=people,
        phones={name: one.phone for name, one in made.items() if name in {"guide", "clerk"}},
        tokens={name: one.token for name, one in made.items()},
    )


def make_species():
    """Make the crappies: their usual lengths and spines decide what is asked about a fish."""
    group = SpeciesGroup.objects.create(name="Crappies", helper_heading="Count the spines")
    return [
        Species.objects.create(
            code=code,
            name=code.replace("-", " ").capitalize(),
            short_name=code.split("-")[0].capitalize(),
            group=group,
            kind="not_sure" if least is None else "species",
            spines_min=least,
            spines_max=most,
            plausible_min_hundredths_mm=2 * INCH,
            plausible_max_hundredths_mm=20 * INCH,
            plausible_max_age_years=12,
        )
        for code, (least, most) in SPINES.items()
    ]


def _hand_out(vials, people):
    lake, office = vials[0].lake, {"actor": people["office"], "now": PRINTED_AT}
    at = {vial.sequence: vial.number for vial in vials}
    issue(lake=lake, first=at[1], last=at[20], to=people["guide"], **office)
    issue(lake=lake, first=at[21], last=at[30], to=people["second_guide"], **office)
    void_vials(lake=lake, first=at[VOID], last=at[VOID], note="Smeared", **office)
    later = office | {"now": PRINTED_AT + timedelta(days=1)}
    mark_lost(lake=lake, number=at[LOST], note="Fell overboard", **later)
    assert Vial.objects.filter(state__in=["void", "lost"]).count() == 2
