"""Reads rows of readings with measured rings, each column by its rule, and lists what is wrong."""

import re
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from itertools import pairwise

from samples.exchange.entry import FileRow, FileTable
from samples.exchange.rules import (
    LEAST_RADIUS_UM,
    MOST_RADIUS_UM,
    NOTHING,
    READ_METHODS,
    day_of,
    squeeze,
)
from samples.exchange.services.report import BadRow
from samples.lab.forms import MOST_ANNULI
from samples.models import Margin, Vial
from samples.rules import vial_number
from samples.rules.season_days import day_text

_UNIT_WORDS = {"um": "micrometers", "mm": "millimeters"}
_EXAMPLES = {"um": "412", "mm": "0.412"}
_MOST_DIGITS = 4
_NUMBER = re.compile(r"[0-9]{1,6}(?:[.,][0-9]{1,6})?", re.ASCII)


@dataclass(frozen=True, slots=True)
class RingFacts:
    """What one row says, read."""

    row: FileRow
    vial: Vial
    annuli: int
    margin: int | None
    method: str
    read_on: date
    edge_um: int
    radii_um: list[int]

    @property
    def sitting(self) -> tuple[int, date, str]:
        """Return what a reader's reading is known by."""
        return self.vial.pk, self.read_on, self.method


class RingReader:
    """Reads rows one by one; what cannot be read is put into ``bad``."""

    def __init__(
        self,
        table: FileTable,
        *,
        vials: dict[str, Vial],
        caught_on: dict[int, date | None],
        today: date,
    ) -> None:
        self.table = table
        self.vials = vials
        self.caught_on = caught_on
        self.today = today
        self.bad: list[BadRow] = []
        self.rings = sorted(
            (name for name in table.columns if name.startswith("radius_")),
            key=lambda name: int(name.removeprefix("radius_")),
        )
        named = {table.units[name] for name in ("edge", *self.rings) if name in table.units}
        # One heading that names a unit speaks for those that name none.
        self.unit = named.pop() if len(named) == 1 else "um"

    @property
    def unit_name(self) -> str:
        units = {self.table.units.get(name, self.unit) for name in ("edge", *self.rings)}
        return " and ".join(_UNIT_WORDS[unit] for unit in sorted(units, reverse=True))

    def wrong(self, row: FileRow, name: str, sentence: str, found: str = "") -> None:
        column = self.table.columns.get(name, name.replace("_", " "))
        self.bad.append(BadRow(row.number, column, sentence, found or row.get(name) or "nothing"))

    def facts_of(self, row: FileRow) -> RingFacts | None:
        before = len(self.bad)
        vial = self._vial(row)
        read_on = self._read_on(row, vial)
        annuli, margin = self._annuli(row), self._margin(row)
        method = READ_METHODS.get(squeeze(row.get("method")), "")
        if not method:
            self.wrong(row, "method", "Enter whole, section, or crack and burn.")
        edge, radii = self._edge(row), self._radii(row)
        if len(self.bad) == before and edge is not None:
            self._must_rise(row, radii, edge)
        if len(self.bad) > before:
            return None
        if vial is None or read_on is None or annuli is None or edge is None:
            return None
        return RingFacts(row, vial, annuli, margin, method, read_on, edge, radii)

    def _vial(self, row: FileRow) -> Vial | None:
        try:
            number = vial_number.parse(row.get("vial")).number
        except vial_number.VialNumberRefused as problem:
            self.wrong(row, "vial", problem.sentence)
            return None
        vial = self.vials.get(number)
        if vial is None:
            self.wrong(row, "vial", "No vial of this lake has that number. Read the label again.")
        return vial

    def _read_on(self, row: FileRow, vial: Vial | None) -> date | None:
        day = day_of(row.get("read_on"))
        if day is None:
            self.wrong(row, "read_on", "Enter the date of reading as 2026-05-06 or May 6, 2026.")
            return None
        caught_on = self.caught_on.get(vial.pk) if vial else None
        if day > self.today:
            self.wrong(row, "read_on", "This date is in the future. Enter the date of reading.")
        elif caught_on and day < caught_on:
            self.wrong(
                row,
                "read_on",
                f"The fish was caught on {day_text(caught_on)}, after this day. Check "
                "the day and the vial.",
            )
        return day

    def _annuli(self, row: FileRow) -> int | None:
        count = _whole(row.get("annuli"), MOST_ANNULI)
        if count is None:
            self.wrong(row, "annuli", f"Enter the count of annuli, 0 to {MOST_ANNULI}.")
        return count

    def _margin(self, row: FileRow) -> int | None:
        if row.get("margin").lower() in NOTHING:
            return None
        margin = _whole(row.get("margin"), max(Margin.values))
        if not margin:
            self.wrong(row, "margin", "Enter the margin as 1, 2, 3 or 4, or leave it empty.")
        return margin

    def _edge(self, row: FileRow) -> int | None:
        if row.get("edge").lower() in NOTHING:
            self.wrong(row, "edge", "Enter the radius to the edge, on the axis of the annuli.")
            return None
        return self._radius(row, "edge")

    def _radii(self, row: FileRow) -> list[int]:
        filled = [name for name in self.rings if row.get(name).lower() not in NOTHING]
        for place, name in enumerate(filled, start=1):
            if name != f"radius_{place}":
                sentence = "A radius is missing. Number radii from the core without a gap."
                self.wrong(row, f"radius_{place}", sentence)
                break
        radii = [self._radius(row, name) for name in filled]
        return [radius for radius in radii if radius is not None]

    def _radius(self, row: FileRow, name: str) -> int | None:
        text = row.get(name)
        unit = self.table.units.get(name, self.unit)
        if not _NUMBER.fullmatch(text):
            sentence = f"Enter the radius in {_UNIT_WORDS[unit]}, such as {_EXAMPLES[unit]}."
            self.wrong(row, name, sentence)
            return None
        radius = Decimal(text.replace(",", ".")) * (1000 if unit == "mm" else 1)
        if not LEAST_RADIUS_UM <= radius <= MOST_RADIUS_UM:
            least, most = LEAST_RADIUS_UM / 1000, MOST_RADIUS_UM // 1000
            sentence = (
                f"This reads as {radius / 1000:f} mm, and a radius has {least} to {most} mm. Name "
                "mm or micrometers in the heading."
            )
            self.wrong(row, name, sentence)
            return None
        return round(radius)

    def _must_rise(self, row: FileRow, radii: list[int], edge: int) -> None:
        """Name the first radius that does not rise; the last annulus may lie at the edge."""
        for place, (inner, outer) in enumerate(pairwise(radii), start=2):
            if outer <= inner:
                sentence = (
                    f"Radii must increase from the core to the edge, and radius {place - 1} is "
                    f"{inner}. Measure both again."
                )
                self.wrong(row, f"radius_{place}", sentence)
                return
        if radii and radii[-1] > edge:
            sentence = (
                f"The last annulus, at {radii[-1]}, lies outside the edge. Measure both again."
            )
            self.wrong(row, "edge", sentence)


def _whole(text: str, most: int) -> int | None:
    """Read a whole number; a spreadsheet may have written 3 as 3.0."""
    text = text.removesuffix(".0")
    if not text.isascii() or not text.isdigit() or len(text) > _MOST_DIGITS or int(text) > most:
        return None
    return int(text)
