"""Reads what the rows say, each column by its rule, and lists what cannot be read."""

import re
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from samples.exchange.entry import FileRow, FileTable
from samples.exchange.rules import (
    NOTHING,
    SEXES,
    WHOLE_LAKE,
    day_of,
    order_of_dates,
    read_length,
    squeeze,
    whole_age,
)
from samples.exchange.services.report import BadRow, Report, Settings, unit_of
from samples.models import Arm, Lake, LakeSpecies, Method, Reach, Species
from samples.ramp.entry import FOLDED, FishFacts
from samples.rules.plausible import age_questions
from samples.rules.vial_number import read_vial
from samples.units import LengthUnreadable, Measured


@dataclass(frozen=True, slots=True)
class RowFacts:
    """What one row says, read."""

    arm: str
    reach: str
    caught_on: date | None
    method: str
    fish: FishFacts
    age: int | None


class Reader:
    """Reads rows one by one; what cannot be read is put into the report."""

    def __init__(self, table: FileTable, settings: Settings, report: Report, lake: Lake) -> None:
        self.table = table
        self.settings = settings
        self.report = report
        self.lake = lake
        self.unit = unit_of(table, settings)
        self.arms = {squeeze(arm.name): arm for arm in Arm.objects.filter(lake=lake)}
        self.reaches = {
            (reach.arm_id, squeeze(reach.name)): reach
            for reach in Reach.objects.filter(arm__lake=lake)
        }
        self.species = _species_by_name()
        self.at_lake = set(
            LakeSpecies.objects.filter(lake=lake).values_list("species_id", flat=True)
        )
        own = LakeSpecies.objects.filter(lake=lake, plausible_max_age_years__isnull=False)
        self.own_most_age = dict(own.values_list("species_id", "plausible_max_age_years"))
        self.bad = False
        self.date_order = settings.date_order or order_of_dates(
            row.get("caught_on") for row in table.rows
        )
        self.rounded_lengths: list[str] = []
        self.whole_ages: list[str] = []

    def say_what_was_rounded(self) -> None:
        """Put into the report what was not kept as it stands in the file."""
        if self.rounded_lengths:
            n, first = len(self.rounded_lengths), self.rounded_lengths[0]
            self.report.rounded.append(
                f"{n} length{'s' if n != 1 else ''} finer than 0.01 mm, rounded: {first}"
            )
        if self.whole_ages:
            n, first = len(self.whole_ages), self.whole_ages[0]
            self.report.rounded.append(
                f"{n} decimal age{'s' if n != 1 else ''}, made whole years by the January 1 "
                f"birthdate: {first}"
            )
        if self.date_order and any(_is_numbered(row.get("caught_on")) for row in self.table.rows):
            self.report.rounded.append(f"dates read as {ORDERS[self.date_order]}")

    def wrong(self, row: FileRow, name: str, expected: str) -> None:
        self.bad = True
        column = self.table.columns.get(name, name)
        self.report.bad.append(BadRow(row.number, column, expected, row.get(name) or "nothing"))

    def fish_of(self, row: FileRow) -> RowFacts | None:
        self.bad = False
        arm, reach = self._place(row)
        species = self._species(row)
        measured = self._length(row)
        sex = SEXES.get(squeeze(row.get("sex")))
        if sex is None:
            self.wrong(row, "sex", "female, male, immature or not known")
        caught_on, method = self._date(row), self._method(row)
        age, more = self._age(row, species, caught_on), self._more_facts(row)
        if self.bad or species is None or measured is None or sex is None:
            return None
        self.report.species[species.name] += 1
        fish = FishFacts(
            vial=read_vial(row.get("vial")),
            species=species.code,
            length=measured,
            sex=sex,
            **more,
            confirmed=UNUSUAL if self.settings.confirm_unusual else (),
        )
        return RowFacts(arm, reach, caught_on, method, fish, age)

    def _place(self, row: FileRow) -> tuple[str, str]:
        arm = self.arms.get(squeeze(row.get("arm") or WHOLE_LAKE))
        if arm is None:
            names = ", ".join(sorted(one.name for one in self.arms.values()))
            self.wrong(row, "arm", f"an arm of {self.lake}: {names}")
            return "", ""
        if not row.get("reach"):
            return arm.name, ""
        reach = self.reaches.get((arm.pk, squeeze(row.get("reach"))))
        if reach is None:
            self.wrong(row, "reach", f"a reach of {arm}, or empty")
        return arm.name, reach.name if reach else ""

    def _species(self, row: FileRow) -> Species | None:
        typed = row.get("species") or self.settings.species
        species = self.species.get(squeeze(typed))
        if species is None:
            self.wrong(row, "species", "a species name on the list, or --species")
            return None
        if species.pk not in self.at_lake:
            LakeSpecies.objects.create(
                lake=self.lake,
                species=species,
                position=len(self.at_lake),
                bin_width_hundredths_mm=2540 if self.lake.length_unit == "in" else 2000,
            )
            self.at_lake.add(species.pk)
        return species

    def _length(self, row: FileRow) -> Measured | None:
        text = row.get("length")
        try:
            measured, rounded = read_length(text, self.unit or self.lake.length_unit)
        except LengthUnreadable as problem:
            self.wrong(row, "length", f"a total length ({problem})")
            return None
        if rounded:
            exact = Decimal(measured.hundredths_mm) / 100
            self.rounded_lengths.append(f"{text} became {exact} mm")
        return measured

    def _date(self, row: FileRow) -> date | None:
        text = row.get("caught_on")
        if text.lower() in NOTHING:
            return None
        day = day_of(text, self.date_order)
        if day is not None:
            return day
        if _is_numbered(text) and not self.date_order:
            self.wrong(
                row,
                "caught_on",
                "an unambiguous date. Add --dates mdy if the month comes "
                "first, or --dates dmy if the day does",
            )
        else:
            self.wrong(row, "caught_on", "a date, such as 2026-05-06, May 6, 2026 or 5/6/2026")
        return None

    def _method(self, row: FileRow) -> str:
        typed = squeeze(row.get("method"))
        if not typed:
            return self.settings.method
        known = {squeeze(word): code for code, label in Method.choices for word in (code, label)}
        if typed not in known:
            self.wrong(row, "method", ", ".join(label.lower() for _, label in Method.choices))
        return known.get(typed, "")

    def _age(self, row: FileRow, species: Species | None, caught_on: date | None) -> int | None:
        years = self._number(row, "age", "an age in years, such as 3 or 3.9", 99)
        if years is None:
            return None
        age = whole_age(years, caught_on)
        if years != age:
            self.whole_ages.append(f"{row.get('age')} became {age}")
        unusual = age_questions(age, self._most_age(species) if species else None)
        if unusual and not self.settings.confirm_unusual:
            self.wrong(row, "age", f"a usual age ({unusual[0].sentence}) {IF_RIGHT}")
        return age

    def _most_age(self, species: Species) -> int:
        return self.own_most_age.get(species.pk) or species.plausible_max_age_years

    def _more_facts(self, row: FileRow) -> dict[str, Any]:
        """Return the facts of a fish that need no rule of their own, as their specs read them."""
        facts = {}
        for one in MORE_FACTS:
            text = row.get(one.word)
            if text.lower() in NOTHING:
                continue
            try:
                # Spreadsheets write a whole number as 310.0 or 310,0; 1,000 may be one or a
                # thousand and is refused.
                facts[one.attribute] = one.spec.parse(_SPARE_DECIMALS.sub("", text))
            except ValueError:
                self.wrong(row, one.word, f"{one.spec.label.lower()}: {one.spec.error}")
        return facts

    def _number(self, row: FileRow, name: str, expected: str, most: int) -> Decimal | None:
        text = row.get(name)
        if text.lower() in NOTHING:
            return None
        if not _NUMBER.fullmatch(text) or Decimal(text.replace(",", ".")) > most:
            self.wrong(row, name, expected)
            return None
        return Decimal(text.replace(",", "."))


def _is_numbered(text: str) -> bool:
    """Return whether a date is three numbers of which the year is the last."""
    return bool(_NUMBERED_DATE.match(text))


IF_RIGHT = "Add --confirm-unusual if it is right"
ORDERS = {"mdy": "month/day/year", "dmy": "day/month/year"}
_NUMBERED_DATE = re.compile(r"\d{1,2}[/.-]\d{1,2}[/.-]\d{2,4}")
_SPARE_DECIMALS = re.compile(r"[.,]0{1,2}$")
MORE_FACTS = [one for one in FOLDED if one.spec.heads]
_NUMBER = re.compile(r"\d{1,5}(?:[.,]\d{1,6})?", re.ASCII)

UNUSUAL = (
    "centimetres_meant",
    "inches_meant",
    "length_out_of_range",
    "millimetres_meant",
    "missing_point",
)


def _species_by_name() -> dict[str, Species]:
    return {
        squeeze(word): species
        for species in Species.objects.order_by("-pk")
        for word in (species.short_name, species.scientific_name, species.code, species.name)
        if word
    }
