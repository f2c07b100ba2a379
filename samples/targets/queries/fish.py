"""The fish themselves: those of a cell, or of any other choice."""

from dataclasses import dataclass, replace
from typing import Any

from django.db.models import F, QuerySet, Value
from django.db.models.functions import Coalesce, NullIf

from samples.accounts.selectors import name_of
from samples.models import Arm, Fish, Lake, Progress, Season, Sex, Species
from samples.models.party import Method
from samples.targets.queries.choice import REACH_NOT_NOTED
from samples.units import LengthUnit, Measured, to_text

AT_LEAST = {
    "all": Progress.MEASURED,
    "logged": Progress.LOGGED,
    "received": Progress.RECEIVED,
    "aged": Progress.AGE_AS_GIVEN,
}


@dataclass(frozen=True, slots=True)
class FishChoice:
    """Which fish are listed; what is None or empty narrows nothing down."""

    lake: Lake
    season: Season | None = None
    species: Species | None = None
    arm: Arm | None = None
    count: str = "all"
    sex: str = ""
    method: str = ""
    reach: str = ""
    reach_ids: tuple[int, ...] = ()
    from_length: Measured | None = None
    below_length: Measured | None = None

    def where(self) -> dict[str, Any]:
        found: dict[str, Any] = {"progress__gte": AT_LEAST[self.count]}
        for name in ("season", "species", "arm", "sex", "method"):
            if getattr(self, name):
                found[name] = getattr(self, name)
        if self.from_length:
            found["length_hundredths_mm__gte"] = self.from_length.hundredths_mm
        if self.below_length:
            found["length_hundredths_mm__lt"] = self.below_length.hundredths_mm
        if self.reach == REACH_NOT_NOTED:
            found["reach__isnull"] = True
        elif self.reach:
            found["reach__in"] = self.reach_ids
        return found

    @property
    def description(self) -> str:
        """Return the choice in a line, for example "White crappie, Sallow,
        10.0 to below 11.0 in".
        """
        found = [one.name for one in (self.species, self.arm) if one]
        unit = self.lake.length_unit
        lower, upper = self.from_length, self.below_length
        if lower and upper:
            found.append(f"{_text(lower, unit)} to below {_text(upper, unit)} {unit}")
        elif lower:
            found.append(f"{_text(lower, unit)} {unit} and over")
        elif upper:
            found.append(f"below {_text(upper, unit)} {unit}")
        found += [Sex(self.sex).label.lower()] if self.sex else []
        found += [Method(self.method).label.lower()] if self.method else []
        found += [f"reach: {self.reach}"] if self.reach else []
        found += [f"season {self.season.name}"] if self.season else []
        return ", ".join(found)


def _text(length: Measured, unit: str) -> str:
    return to_text(length.hundredths_mm, LengthUnit(unit))


# What each column of the list is sorted by; the fish's own number settles ties.
SORTED_BY: dict[str, tuple[F | Coalesce | NullIf, ...]] = {
    "vial": (F("vial__number"),),
    "species": (F("species__name"),),
    "length": (F("length_hundredths_mm"),),
    "age": (Coalesce("age__age_years", "age_as_given__age_years"),),
    "year_class": (F("age__year_class"),),
    "status": (F("progress"),),
    "sex": (F("sex"),),
    "weight": (F("weight_g"),),
    # Without one a fish comes last.
    "tag_number": (NullIf("tag_number", Value("")),),
    "arm": (F("arm__position"), F("arm_id"), F("length_hundredths_mm")),
    "reach": (F("reach__position"), F("reach_id")),
    "caught": (F("caught_on"),),
    "season": (F("season__starts_on"),),
    "method": (F("method"),),
    "logged_by": (name_of("logged_by__"),),
    "note": (NullIf("note", Value("")),),
    "donor": (F("donor__name"),),
}
USUAL_SORT = "arm"


def fish_of(
    fish: QuerySet[Fish],
    choice: FishChoice,
    *,
    donors_named: bool,
    sort: str = USUAL_SORT,
    descending: bool = False,
) -> QuerySet[Fish]:
    """Take the fish of a choice, sorted, with all that a line of the list says.

    Fish without a value come last, whichever way.
    """
    joined = ["vial", "species", "arm", "reach", "season", "logged_by", "age", "age_as_given"]
    first, *others = SORTED_BY[sort]
    ordered = first.desc(nulls_last=True) if descending else first.asc(nulls_last=True)
    return (
        fish.filter(withdrawn=False, **choice.where())
        .select_related(*joined, *(["donor"] if donors_named else []))
        .order_by(ordered, *others, "pk")
    )


def count_not_so_far(fish: QuerySet[Fish], choice: FishChoice) -> int:
    """Count the logged fish that the choice leaves out only because they came less far."""
    if choice.count not in {"aged", "received"}:
        return 0
    reached, logged = choice.where(), replace(choice, count="logged").where()
    found = fish.filter(withdrawn=False, **logged)
    return found.filter(progress__lt=reached["progress__gte"]).count()
