"""What the table of targets is filled in with before anything is saved."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from samples.accounts.decorators import SignedInRequest
from samples.accounts.selectors import fish_counted_at
from samples.form_parts import PlainForm
from samples.models import Arm, LakeSpecies, Season
from samples.science.errors import CannotEstimate
from samples.targets import forms, services
from samples.targets.queries.choice import CoverageOptions, CoverageSelection
from samples.targets.queries.wanted import SavedTargets, most_logged, saved_targets
from samples.targets.queries.worth import fish_behind
from samples.targets.rules import Key, LengthBin, Part, wanted_by_rules

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

    from samples.targets.presenters.worth import Study

# Of a budget by worth: age shares and mean lengths count alike.
LENGTHS_WEIGHT = 0.5
WITHOUT_AGES = {
    "no_measured_fish": (
        "No length sample yet. Measure all fish of some trips first, about 100 from each arm, "
        "or use a rule."
    ),
    "no_fish": "No fish has an age yet. Use a rule, or copy another season.",
    "one_age": "All aged fish are of one age. Use a rule, or copy another season.",
}


@dataclass(frozen=True, slots=True)
class Edited:
    """The targets that a page is about, and what of them is edited."""

    season: Season
    lake_species: LakeSpecies
    saved: SavedTargets
    columns: list[LengthBin]
    part: Part = Part.ALL

    @property
    def numbers(self) -> dict[Key, int]:
        return self.saved.of(self.part)


@dataclass(frozen=True, slots=True)
class Start:
    """Numbers that the table opens with, and in words where they come from.

    ``refused`` is the form on which something is to be mended first.
    """

    arms: list[Arm]
    wanted: Mapping[Key, int]
    rules: forms.RulesForm
    budget: forms.BudgetForm
    description: str = ""
    notes: list[str] = field(default_factory=list)
    refused: PlainForm | None = None


def start_of(request: SignedInRequest, options: CoverageOptions, edited: Edited) -> Start:
    """Return what the address asks to start from: rules, a budget, a season, or what is saved."""
    arms = [arm for arm in options.arms if not arm.whole_lake]
    asked = request.GET
    rules = forms.RulesForm(
        asked if forms.has_rules(asked) else None,
        arms=arms,
        lake_species=edited.lake_species,
        unit=options.unit,
    )
    budget = forms.BudgetForm(asked if "budget" in asked else None)
    nothing = Start(arms, edited.numbers, rules, budget)
    if edited.part is not Part.ALL:
        return _by_start(nothing, asked.get("start", ""), options, edited)
    if rules.is_bound:
        return _by_rules(nothing, options, edited)
    if budget.is_bound:
        return _by_budget(nothing, request, options, edited)
    return _by_start(nothing, asked.get("start", ""), options, edited)


def _by_rules(start: Start, options: CoverageOptions, edited: Edited) -> Start:
    rules = start.rules
    if not rules.is_valid():
        return replace(start, refused=rules)
    wanted = wanted_by_rules(
        rules.made,
        [column.from_hundredths for column in edited.columns],
        [arm.pk for arm in start.arms],
        most_logged=most_logged(options.lake, edited.lake_species),
        saved=edited.saved.wanted,
    )
    return _filled(start, wanted, rules.description())


def _by_budget(
    start: Start, request: SignedInRequest, options: CoverageOptions, edited: Edited
) -> Start:
    # Brings in libraries that a process which serves phones starts without.
    from samples.targets.presenters.worth import divided, study_of

    form = start.budget
    if not form.is_valid():
        return replace(start, refused=form)
    selection = CoverageSelection(
        lake=options.lake,
        season=edited.season,
        species=edited.lake_species.species,
        bin_width=edited.lake_species.bin_width_hundredths_mm,
    )
    behind = fish_behind(fish_counted_at(request.user, options.lake), options, selection)
    aged = sum(one.fish for one in behind.aged)
    in_hand = sum(behind.in_hand.values())
    if form.cleaned_data["budget"] < aged + in_hand:
        form.refuse_under(aged, in_hand)
        return replace(start, refused=form)
    try:
        study = study_of(options.arms, selection, behind)
    except CannotEstimate as problem:
        form.add_problem("budget", WITHOUT_AGES[problem.code], code=problem.code)
        return replace(start, refused=form)
    left = form.cleaned_data["budget"] - aged
    plan = divided(study, way=form.cleaned_data["way"], budget=left, lengths_weight=LENGTHS_WEIGHT)
    notes = []
    if plan.unused:
        notes.append(f"{plan.unused} are left over: no cell has more fish to give.")
    notes += [f"{arm.name} has no length sample and gets none." for arm in study.without_lengths]
    description = f"{form.cleaned_data['budget']} otoliths {form.way_text}"
    return _filled(start, _as_targets(study, plan.more), description, notes)


def _as_targets(study: Study, more: npt.NDArray[np.int64]) -> dict[Key, int]:
    """Return arm minimums of what is aged and what is given out, and their sum as lake target."""
    total = study.counts.sum(axis=2) + more
    wanted: dict[Key, int] = {}
    for column, length_bin in enumerate(study.columns):
        lower = length_bin.from_hundredths
        for row, arm in enumerate(study.arms):
            if n := int(total[row, column]):
                wanted[arm.pk, lower] = n
        if n := int(total[:, column].sum()):
            wanted[None, lower] = n
    return wanted


def _by_start(start: Start, asked: str, options: CoverageOptions, edited: Edited) -> Start:
    width = edited.lake_species.bin_width_hundredths_mm
    if asked == "rule" and edited.part is Part.ALL:
        bins = [column.from_hundredths for column in edited.columns]
        proposal = services.propose_targets(bins, options.arms)
        return _filled(start, proposal.wanted, proposal.description)
    source = next((one for one in options.seasons if str(one.pk) == asked), None)
    if source is None:
        return start
    found = saved_targets(source, edited.lake_species.species, width)
    notes = []
    if not found.wanted:
        notes.append(f"{source.name} has no targets for these bins.")
    if found.for_other_bins:
        notes.append(f"{found.for_other_bins} targets for other bins were not copied.")
    copied = found.of(edited.part)
    if edited.part is not Part.ALL:
        if not edited.saved.wanted:
            notes.append("Set the targets under All fish first.")
        copied = {key: min(n, edited.saved.wanted.get(key, 0)) for key, n in copied.items()}
    elif any(any(found.of(part).values()) for part in Part if part is not Part.ALL):
        notes.append("Copy what nets and each sex are to bring under their own headings.")
    return _filled(start, copied, f"the targets of {source.name}", notes)


def _filled(
    start: Start, wanted: Mapping[Key, int], description: str, notes: list[str] | None = None
) -> Start:
    return replace(start, wanted=wanted, description=description, notes=notes or [])
