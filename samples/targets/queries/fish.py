"""The fish themselves: those of a cell, or of any other choice."""

from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from django.db.models import QuerySet

from samples.models import Age, Arm, Fish, Lake, Progress, Season, Sex, Species
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


@dataclass(frozen=True, slots=True)
class FishLine:
    """One fish as it stands in the list."""

    vial: str
    species: str
    length: str
    sex: str
    arm: str
    reach: str
    caught_on: date | None
    method: str
    progress: str
    age: str
    logged_by: str
    donor: str


def fish_of(fish: QuerySet[Fish], choice: FishChoice, *, donors_named: bool) -> QuerySet[Fish]:
    """Take the fish of a choice, by arm and length, with all that a line of the list says."""
    joined = ["vial", "species", "arm", "reach", "logged_by", "age", "age_as_given"]
    return (
        fish.filter(withdrawn=False, **choice.where())
        .select_related(*joined, *(["donor"] if donors_named else []))
        .order_by("arm__position", "arm_id", "length_hundredths_mm", "pk")
    )


def count_not_so_far(fish: QuerySet[Fish], choice: FishChoice) -> int:
    """Count the logged fish that the choice leaves out only because they came less far."""
    if choice.count not in {"aged", "received"}:
        return 0
    reached, logged = choice.where(), replace(choice, count="logged").where()
    found = fish.filter(withdrawn=False, **logged)
    return found.filter(progress__lt=reached["progress__gte"]).count()


def line_of(fish: Fish, unit: LengthUnit, *, donors_named: bool) -> FishLine:
    return FishLine(
        vial=fish.vial.number if fish.vial else "",
        species=fish.species.name,
        length=to_text(fish.length_hundredths_mm, unit),
        sex=fish.get_sex_display(),
        arm=fish.arm.name,
        reach=fish.reach.name if fish.reach else "",
        caught_on=fish.caught_on,
        method=fish.get_method_display(),
        progress=fish.get_progress_display(),
        age=_age_text(fish),
        logged_by=fish.logged_by.display_name,
        donor=(fish.donor.name if fish.donor else "") if donors_named else "",
    )


def _age_text(fish: Fish) -> str:
    """Return the age and how sure it is; a fish with an age to settle says so."""
    age = getattr(fish, "age", None)
    if age is not None and age.age_years is not None:
        words = {Age.Standing.ONE_READER: ", one reader"}.get(age.standing, "")
        return f"{age.age_years}{words}"
    given = getattr(fish, "age_as_given", None)
    if given is not None:
        return f"{given.age_years}, as given"
    return "to settle" if age is not None else ""
