"""What the lab's pages show: vials to read, ages to settle, and the readings of one fish."""

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from enum import StrEnum
from typing import Any

from django.db.models import Exists, OuterRef, Q, QuerySet

from samples.accounts.selectors import fish_at, vials_at
from samples.lab import rules
from samples.models import (
    Age,
    Fish,
    HeldEntry,
    Lake,
    LakeSpecies,
    Reading,
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


_WAITS_FOR_A_READER = ~Q(state=Vial.State.ARCHIVED) & ~Exists(
    Age.objects.filter(
        fish__vial=OuterRef("pk"), standing__in=[Age.Standing.AGREED, Age.Standing.DECIDED]
    )
)


class VialSelection(StrEnum):
    """Which vials the grid offers."""

    UNREAD = "unread"
    SECOND = "second"
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


@dataclass(frozen=True, slots=True)
class HistoryLine:
    """One thing that was done, as the history tells it."""

    at: datetime
    who: str
    what: str
    # Of an age: somebody decided it, and not the rule.
    is_decision: bool = False


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
    return vials


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
    """Fetch the fish along, and whether another log claims the vial."""
    claims = HeldEntry.objects.filter(vial=OuterRef("pk"), state=HeldEntry.State.OPEN)
    return vials.select_related("fish__species", "fish__arm").annotate(contested=Exists(claims))


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
    """Return ages that wait for the biologist, in order of vial."""
    return (
        _ages(person, lake)
        .filter(standing=Age.Standing.TO_SETTLE)
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


def ages_of_one_reader(person: User, lake: Lake) -> QuerySet[Age]:
    """Return ages that rest on one reader alone, in order of vial."""
    return (
        _ages(person, lake)
        .filter(standing=Age.Standing.ONE_READER)
        .order_by("fish__vial__number", "pk")
    )


def decided_and_read_since(person: User, lake: Lake) -> list[Age]:
    """Return decided ages that a later reading does not bear out."""
    decided = _ages(person, lake).filter(standing=Age.Standing.DECIDED)
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
    readings = _readings_of(page, Reading.objects.select_related("reader"))
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
    readings = Reading.objects.filter(vial=fish.vial_id).select_related("reader")
    entries = HeldEntry.objects.filter(vial=fish.vial_id, state=HeldEntry.State.OPEN)
    return AgeCard(
        fish=fish,
        age=Age.objects.filter(fish=fish).select_related("decided_by").first(),
        readings=rules.aged(readings, fish, species),
        lake_species=species,
        contested=fish.vial_id is not None and entries.exists(),
    )


def history_of(fish: Fish) -> list[HistoryLine]:
    """Return what was read and decided for a fish, and by whom, the latest first."""
    readings = history_of_readings(fish.vial_id) if fish.vial_id else []
    return sorted([*readings, *history_of_ages(fish.pk)], key=lambda line: line.at, reverse=True)


def history_of_readings(vial_id: int) -> list[HistoryLine]:
    """Return every reading of a vial, its corrections and what was deleted."""
    rows = Reading.history.filter(vial_id=vial_id).select_related("reader", "history_user")
    lines: list[HistoryLine] = []
    said: dict[int, str] = {}
    checked: set[datetime] = set()
    for row in rows.order_by("history_date", "history_id"):
        is_check = row.history_type == "~" and rules.VIAL_CHECKED in row.slip_answers
        if is_check and row.history_change_reason and row.history_date not in checked:
            # All readings of a vial are checked at once.
            checked.add(row.history_date)
            words = f"Vial checked: {row.history_change_reason}"
            lines.append(HistoryLine(row.history_date, str(row.history_user), words))
        # Rings were measured on it since: what was counted is as it was.
        if row.history_type != "~" or said.get(row.id) != _counted(row):
            lines.append(_reading_line(row))
        said[row.id] = _counted(row)
    return lines


def history_of_ages(fish_id: int) -> list[HistoryLine]:
    """Return what became of a fish's age: by the rule, by decision, or taken back."""
    rows = Age.history.filter(fish_id=fish_id).select_related("decided_by")
    return [
        HistoryLine(
            row.decided_at or row.worked_out_at,
            str(row.decided_by or "Aging rule"),
            _age_text(row),
            is_decision=row.decided_by_id is not None,
        )
        for row in rows.order_by("history_date", "history_id")
    ]


def _reading_line(row: Any) -> HistoryLine:
    """Return the line of one reading; it may be taken back by another than its reader,
    and later.
    """
    if row.history_type != "-":
        return HistoryLine(row.read_at, str(row.reader), _reading_text(row))
    words = _reading_text(row)
    if row.history_user_id not in {None, row.reader_id}:
        words = f"{words}, read by {row.reader}"
    if row.history_change_reason:
        words = f"{words}: {row.history_change_reason}"
    return HistoryLine(row.history_date, str(row.history_user or row.reader), words)


def _reading_text(row: Any) -> str:
    """Return a line with what a reading was at one time; the row is one of its history."""
    verb = {"+": "Read", "~": "Corrected to", "-": "Deleted"}[row.history_type]
    return f"{verb} {_counted(row)}"


def _counted(row: Any) -> str:
    annuli = "1 annulus" if row.annuli == 1 else f"{row.annuli} annuli"
    margin = f"margin {row.margin}" if row.margin else "no margin code"
    note = f" ({row.note.rstrip('.')})" if row.note else ""
    return f"{annuli}, {margin}, {row.get_method_display().lower()}{note}"


def _age_text(row: Any) -> str:
    if row.history_type == "-":
        return "Age deleted with its readings"
    if row.age_years is None:
        return "No consensus"
    words = f"Age {row.age_years}, year class {row.year_class}: {row.get_standing_display()}"
    return f"{words} ({row.note})" if row.note else words
