"""What waits at the lab: vials to read, ages to settle, and every reading beside its age."""

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date
from enum import StrEnum

from django.db.models import Exists, OuterRef, Q, QuerySet

from samples.accounts.selectors import fish_at, vials_at
from samples.lab import rules
from samples.models import (
    CONCLUDED,
    Age,
    AgeDecision,
    Fish,
    HeldEntry,
    Lake,
    LakeSpecies,
    Picture,
    Reading,
    SectionRequest,
    User,
    Vial,
    with_an_otolith_to_read,
)
from samples.rules.ageing import AgeResult

ROWS_ON_A_PAGE = 50
AGES_ON_A_PAGE = 20

# Nothing to count, or nobody could say whose otolith it is.
NOT_TO_BE_READ = {
    Vial.Content.NONE: "The vial was received empty.",
    Vial.Content.WRONG: "The vial was received with a structure other than an otolith.",
    Vial.Content.MORE_FISH: "The vial was received with otoliths of more than one fish.",
}


_CONCLUDED = Age.objects.filter(fish__vial=OuterRef("pk"), standing__in=CONCLUDED)
_WAITS_FOR_A_READER = ~Q(state=Vial.State.ARCHIVED) & ~Exists(_CONCLUDED)


class VialSelection(StrEnum):
    """Which vials the grid offers."""

    UNREAD = "unread"
    SECOND = "second"
    THIRD = "third"
    ALL = "all"


@dataclass(frozen=True, slots=True)
class GridCriteria:
    """What the reader asked the grid for."""

    selection: VialSelection = VialSelection.UNREAD
    species_id: int | None = None
    arm_id: int | None = None


@dataclass(frozen=True, slots=True)
class GridRow:
    """One vial as its reader sees it. Nobody else's reading is in it."""

    vial: Vial
    fish: Fish
    contested: bool
    pictured: bool
    clearing_until: date | None
    # The reader's own, of this sitting and of earlier ones.
    reading: Reading | None
    result: AgeResult | None
    earlier: list[Reading] = field(default_factory=list)

    @property
    def flag_sentences(self) -> list[str]:
        """Return what is to be looked at again, and what was asked about and confirmed."""
        if self.reading is None or self.result is None:
            return []
        return rules.flag_sentences([*self.result.flags, *self.reading.slip_answers])


@dataclass(frozen=True, slots=True)
class AgeCard:
    """One fish with every reading, and its age as it stands."""

    fish: Fish
    age: Age | None
    readings: list[rules.Aged]
    lake_species: LakeSpecies | None
    contested: bool = False

    @property
    def flag_sentences(self) -> list[str]:
        return rules.flag_sentences(self.age.flags) if self.age else []

    @property
    def rule_sentence(self) -> str:
        """Return which rule made the age, in the sentence that goes with it."""
        if self.age is None:
            return ""
        of_readings = (one.result.sentence for one in self.readings[::-1] if self._made_it(one))
        return rules.RULE_SENTENCES.get(self.age.rule) or next(of_readings, "")

    def _made_it(self, one: rules.Aged) -> bool:
        return one.counts and self.age is not None and one.result.rule == self.age.rule


def vials_to_read(person: User, lake: Lake) -> QuerySet[Vial]:
    """Return vials at the office with a fish logged and an otolith to count, in order of number."""
    return with_an_otolith_to_read(vials_at(person, lake)).order_by("number")


def grid_vials(reader: User, lake: Lake, criteria: GridCriteria, *, today: date) -> QuerySet[Vial]:
    """Pick the vials of the grid.

    Archived vials and those whose age is agreed wait for nobody: they are there where all are
    asked for. What the reader read today stays: it can be corrected in the same sitting, and
    the pages do not move under the reader's hands.
    """
    vials = vials_to_read(reader, lake)
    if criteria.species_id is not None:
        vials = vials.filter(fish__species_id=criteria.species_id)
    if criteria.arm_id is not None:
        vials = vials.filter(fish__arm_id=criteria.arm_id)
    if criteria.selection is VialSelection.ALL:
        return vials
    readings = Reading.objects.filter(vial=OuterRef("pk"))
    vials = vials.exclude(Exists(readings.filter(reader=reader, sitting_on__lt=today)))
    read_today = Exists(readings.filter(reader=reader, sitting_on=today))
    vials = vials.filter(_WAITS_FOR_A_READER | read_today)
    if criteria.selection is VialSelection.SECOND:
        return vials.filter(Exists(readings.exclude(reader=reader)))
    if criteria.selection is VialSelection.THIRD:
        third = waiting_decisions().filter(outcome=AgeDecision.Outcome.THIRD_READER)
        return vials.filter(Exists(third.filter(fish__vial=OuterRef("pk"))) | read_today)
    return vials


def waiting_decisions() -> QuerySet[AgeDecision]:
    """Return decisions to have a section or a third reader that nobody has answered by reading."""
    later = AgeDecision.objects.filter(fish=OuterRef("fish"), number__gt=OuterRef("number"))
    since = Reading.objects.filter(vial=OuterRef("fish__vial"), read_at__gt=OuterRef("decided_at"))
    wanted = SectionRequest.objects.filter(decision=OuterRef("pk"), dropped_at__isnull=True)
    third = Q(outcome=AgeDecision.Outcome.THIRD_READER)
    section = Q(Exists(wanted), outcome=AgeDecision.Outcome.SECTION)
    return AgeDecision.objects.filter(third | section, ~Exists(later), ~Exists(since))


def page_holding(vials: QuerySet[Vial], number: str) -> int | None:
    """Return the page of the grid that a vial stands on; none where it is not in the grid."""
    if not vials.filter(number=number).exists():
        return None
    return vials.filter(number__lt=number).count() // ROWS_ON_A_PAGE + 1


def not_read_by(reader: User, vials: QuerySet[Vial]) -> QuerySet[Vial]:
    """Leave those of the vials that the reader has not read at all."""
    own = Reading.objects.filter(vial=OuterRef("pk"), reader=reader)
    return vials.exclude(Exists(own)).order_by()


def count_waiting(reader: User, vials: QuerySet[Vial]) -> int:
    return not_read_by(reader, vials).count()


def with_what_a_row_shows(vials: QuerySet[Vial]) -> QuerySet[Vial]:
    """Fetch the fish along, whether another log claims the vial, and whether it has a picture."""
    claims = HeldEntry.objects.filter(vial=OuterRef("pk"), state=HeldEntry.State.OPEN)
    pictures = Picture.objects.filter(vial=OuterRef("pk"))
    return vials.select_related("fish__species", "fish__arm").annotate(
        contested=Exists(claims), pictured=Exists(pictures)
    )


def grid_rows(vials: Iterable[Vial], reader: User, lake: Lake, *, today: date) -> list[GridRow]:
    """Make the rows of the grid from vials that came with what a row shows."""
    page = list(vials)
    own: dict[int, list[Reading]] = {}
    found = Reading.objects.filter(vial__in=page, reader=reader)
    for reading in found.order_by("sitting_on", "read_at", "pk"):
        own.setdefault(reading.vial_id, []).append(reading)
    species = species_at(lake)
    return [_grid_row(vial, own.get(vial.pk, []), species, today) for vial in page]


def _grid_row(
    vial: Vial, own: Sequence[Reading], species: dict[int, LakeSpecies], today: date
) -> GridRow:
    fish = vial.fish
    reading = next((one for one in reversed(own) if one.sitting_on == today), None)
    ready = vial.ready_on
    result = None
    if reading is not None:
        result = rules.age_of_reading(reading, fish, species.get(fish.species_id))
    return GridRow(
        vial=vial,
        fish=fish,
        contested=bool(getattr(vial, "contested", False)),
        pictured=bool(getattr(vial, "pictured", False)),
        clearing_until=ready if ready is not None and ready > today else None,
        reading=reading,
        result=result,
        earlier=[one for one in own if one.sitting_on != today],
    )


def species_at(lake: Lake) -> dict[int, LakeSpecies]:
    """Return each species of the lake as it is set up there."""
    rows = LakeSpecies.objects.filter(lake=lake).select_related("species").order_by("position")
    return {row.species_id: row for row in rows}


def ages_to_settle(person: User, lake: Lake) -> QuerySet[Age]:
    """Return ages that wait for the biologist, in order of vial.

    One for which a section or a third reader was asked for waits until it was read again.
    """
    waits = Exists(waiting_decisions().filter(fish=OuterRef("fish")))
    return (
        _ages(person, lake)
        .filter(~waits, standing=Age.Standing.TO_SETTLE)
        .order_by("fish__vial__number", "pk")
    )


def spread_of_ages(ages: QuerySet[Age], lake: Lake) -> Counter[int]:
    """Count ages to settle by how many years apart their readers are; 0: the rule gives no age."""
    page = list(ages.select_related(None).select_related("fish"))
    if not page:
        return Counter()
    readings, species = _readings_of(page, Reading.objects.all()), species_at(lake)
    return Counter(
        rules.years_apart(
            rules.aged(
                readings.get(age.fish.vial_id, []), age.fish, species.get(age.fish.species_id)
            )
        )
        for age in page
    )


def _readings_of(
    ages: Iterable[Age], readings: QuerySet[Reading]
) -> dict[int | None, list[Reading]]:
    """Return the readings of the fish of these ages, by vial."""
    vials = [age.fish.vial_id for age in ages if age.fish.vial_id is not None]
    found: dict[int | None, list[Reading]] = {}
    for reading in readings.filter(vial__in=vials):
        found.setdefault(reading.vial_id, []).append(reading)
    return found


def ages_standing(person: User, lake: Lake, standing: Age.Standing) -> QuerySet[Age]:
    """Return ages that stand so, in order of vial."""
    return _ages(person, lake).filter(standing=standing).order_by("fish__vial__number", "pk")


def decided_and_read_since(person: User, lake: Lake) -> list[Age]:
    """Return decided ages, none among them, that a later reading does not bear out."""
    decided = _ages(person, lake).filter(decided_at__isnull=False)
    # Which flags a row has is asked here: not every database can look into the list.
    return [age for age in decided.order_by("fish__vial__number") if rules.READ_SINCE in age.flags]


def _ages(person: User, lake: Lake) -> QuerySet[Age]:
    return Age.objects.filter(fish__in=fish_at(person, lake), fish__withdrawn=False).select_related(
        "fish__vial", "fish__species", "fish__arm", "decided_by"
    )


def cards(ages: Iterable[Age], lake: Lake) -> list[AgeCard]:
    """Lay every reading of these fish beside their ages."""
    page = list(ages)
    if not page:
        return []
    readings = _readings_of(page, Reading.objects.select_related("reader", "preparation"))
    species = species_at(lake)
    open_entries = HeldEntry.objects.filter(
        vial__in=[age.fish.vial_id for age in page], state=HeldEntry.State.OPEN
    )
    contested = set(open_entries.values_list("vial_id", flat=True))
    return [
        AgeCard(
            fish=age.fish,
            age=age,
            readings=rules.aged(
                readings.get(age.fish.vial_id, []),
                age.fish,
                species.get(age.fish.species_id),
            ),
            lake_species=species.get(age.fish.species_id),
            contested=age.fish.vial_id in contested,
        )
        for age in page
    ]


def card_of(fish: Fish) -> AgeCard:
    """Lay every reading of one fish beside its age, if it has one."""
    species = LakeSpecies.objects.filter(lake=fish.lake_id, species=fish.species_id).first()
    readings = Reading.objects.filter(vial=fish.vial_id).select_related("reader", "preparation")
    entries = HeldEntry.objects.filter(vial=fish.vial_id, state=HeldEntry.State.OPEN)
    return AgeCard(
        fish=fish,
        age=Age.objects.filter(fish=fish).select_related("decided_by").first(),
        readings=rules.aged(readings, fish, species),
        lake_species=species,
        contested=fish.vial_id is not None and entries.exists(),
    )
