"""The page of worth in words and figures: the answer first, the methods last."""

from dataclasses import dataclass

from samples.targets.presenters.worth.study import Study
from samples.targets.presenters.worth.what_if import WhatIf
from samples.targets.queries.choice import CoverageSelection
from samples.units import LengthUnit

MM_PER_INCH = 25.4


@dataclass(frozen=True, slots=True)
class Figure:
    """A figure before and after; ``after`` is empty where nothing more is read."""

    label: str
    before: str
    after: str


@dataclass(frozen=True, slots=True)
class ArmFigures:
    """The same of one arm, as a line of a table."""

    arm: str
    more: int
    lengths: str
    cv_before: str
    cv_after: str
    width_before: str
    width_after: str


@dataclass(frozen=True, slots=True)
class Figures:
    overall: list[Figure]
    arms: list[ArmFigures]


def headline(found: WhatIf, selection: CoverageSelection) -> str:
    """Return the answer: how far so many more would bring the CV of the age shares."""
    before, after = found.before.cv_percent, found.after.cv_percent
    species = selection.species.name.lower()
    if not (n := int(found.plan.more.sum())):
        return f"CV of {species} age shares is {before:.0f}%"
    otoliths = "1 more otolith" if n == 1 else f"{n} more otoliths"
    return f"{otoliths}: CV of {species} age shares {before:.0f}% to {after:.0f}%"


def figures_of(found: WhatIf, study: Study, unit: LengthUnit) -> Figures:
    """Return the figures before and after, over the arms and for each of them."""
    overall = [
        Figure(
            "CV of age shares",
            f"{found.before.cv_percent:.1f}%",
            f"{found.after.cv_percent:.1f}%",
        ),
        Figure(
            f"Mean length at {study.ages.text}, 95% CI",
            half_width(found.before.half_width_mm, unit),
            half_width(found.after.half_width_mm, unit),
        ),
    ]
    arms = [
        ArmFigures(
            line.arm,
            line.more,
            f"{line.measured}, from {line.borrowed_from} on"
            if line.borrowed_from
            else str(line.measured),
            f"{line.before.cv_percent:.1f}%",
            f"{line.after.cv_percent:.1f}%",
            half_width(line.before.half_width_mm, unit),
            half_width(line.after.half_width_mm, unit),
        )
        for line in found.lines
    ]
    return Figures(overall, arms)


def half_width(mm: float, unit: LengthUnit) -> str:
    if unit is LengthUnit.INCH:
        return f"\u00b1{mm / MM_PER_INCH:.2f} in"
    return f"\u00b1{mm:.1f} mm"


def split_text(found: WhatIf) -> str:
    """Return how the plan falls on the arms, and what equal numbers a bin would need."""
    asked = [line for line in found.lines if line.more]
    if not asked:
        return ""
    split = ", ".join(
        f"{line.arm} {line.more}" for line in sorted(asked, key=lambda one: -one.more)
    )
    if found.equal_needed is None:
        other = f"Equal numbers a bin reach {found.equally.cv_percent:.1f}% with as many."
    else:
        other = f"Equal numbers a bin need {found.equal_needed} for the same CV."
    return f"By worth: {split}. {other}"
