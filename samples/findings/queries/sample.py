"""Fetch the fish of a choice as arrays, and what was left out of them and why."""

from collections import Counter
from dataclasses import dataclass
from datetime import date
from functools import cache
from typing import Any

import numpy as np
from django.db.models import Count, F, Q, QuerySet
from django.db.models.functions import Coalesce

from samples.findings.page_model import Sentence
from samples.findings.queries.choice import AGREED, ALL, FindingsSelection
from samples.findings.sample import NO_AGE, Floats, Ints, Mask, Sample, Texts
from samples.models import Donor, Fish, LakeSpecies, Progress, Reading
from samples.rules.ageing import CannotAge
from samples.rules.growth_clock import growth_clock
from samples.rules.season_days import SpeciesCalendar

OTOLITH = "otolith"
COLUMNS = (
    "pk",
    "species_id",
    "arm_id",
    "season_id",
    "sex",
    "method",
    "party__how_chosen",
    "party_id",
    "donor_id",
    "length_hundredths_mm",
    "length_as_measured",
    "length_unit_as_measured",
    "caught_on",
    "weight_g",
    "vial__number",
    "vial_id",
    "progress",
    "years",
    "own_years",
    "structure",
)


def load(fish: QuerySet[Fish], selection: FindingsSelection) -> Sample:
    """Fetch the fish of a choice in one query, as columns."""
    rows = (
        fish.filter(chosen_by(selection))
        .order_by("pk")
        .annotate(
            years=Coalesce(F("age__age_years"), F("age_as_given__age_years")),
            own_years=F("age__age_years"),
            structure=F("age_as_given__structure"),
        )
        .values_list(*COLUMNS)
    )
    columns: list[Any] = [list(column) for column in zip(*rows, strict=True)] or [
        [] for _ in COLUMNS
    ]
    named = dict(zip(COLUMNS, columns, strict=True))
    progress = np.array(named["progress"], dtype=np.int64)
    age = np.array([NO_AGE if one is None else one for one in named["years"]], dtype=np.int64)
    usable = _usable(progress, selection)
    counts = _counts(age, progress, usable)
    age = np.where(usable, age, NO_AGE)
    as_given = np.array([own is None for own in named["own_years"]], dtype=bool) & (age >= 0)
    clock = _clocks(age, named["caught_on"], named["species_id"], selection)
    aged = age >= 0
    whole_years = bool(2 * np.count_nonzero(np.isfinite(clock)) < np.count_nonzero(aged))
    return Sample(
        fish=np.array(named["pk"], dtype=np.int64),
        species=np.array(named["species_id"], dtype=np.int64),
        arm=np.array(named["arm_id"], dtype=np.int64),
        season=np.array(named["season_id"], dtype=np.int64),
        party=np.array(named["party_id"], dtype=np.int64),
        donor=np.array([one or -1 for one in named["donor_id"]], dtype=np.int64),
        sex=_texts(named["sex"]),
        method=_texts(named["method"]),
        how_chosen=_texts(named["party__how_chosen"]),
        unit=_texts(named["length_unit_as_measured"]),
        as_measured=_texts(named["length_as_measured"]),
        vial=_texts([one or "" for one in named["vial__number"]]),
        length_mm=np.array(named["length_hundredths_mm"], dtype=np.float64) / 100,
        age=age,
        structure=_structures(fish, selection, named, as_given),
        as_given=as_given,
        agreed=progress == Progress.AGED,
        year=np.array([day.year if day else 0 for day in named["caught_on"]], dtype=np.int64),
        month=np.array([day.month if day else 0 for day in named["caught_on"]], dtype=np.int64),
        clock=np.where(aged, age.astype(np.float64), np.nan) if whole_years else clock,
        weight_g=np.array([one or 0 for one in named["weight_g"]], dtype=np.float64),
        left_out=_left_out(fish, selection, counts),
        whole_years=whole_years,
    )


def _structures(
    fish: QuerySet[Fish], selection: FindingsSelection, named: dict[str, Any], as_given: Mask
) -> Texts:
    """Return what each age was read from; readings of other structures than otoliths are few."""
    chosen = Reading.objects.filter(vial__fish__in=fish.filter(chosen_by(selection)))
    others = dict(chosen.exclude(structure=OTOLITH).values_list("vial_id", "structure"))
    rows = zip(named["vial_id"], named["structure"], as_given, strict=True)
    return _texts(
        [given if by_hand else others.get(vial, OTOLITH) for vial, given, by_hand in rows]
    )


def count(fish: QuerySet[Fish], selection: FindingsSelection) -> int:
    """Count the fish of a choice without fetching them."""
    return fish.filter(chosen_by(selection)).count()


def chosen_by(selection: FindingsSelection) -> Q:
    """Return the condition on fish that a choice stands for."""
    species = [one.species_id for one in selection.all_species]
    where = Q(withdrawn=False, species__in=species, season__in=selection.seasons)
    if selection.arms:
        where &= Q(arm__in=selection.arms)
    if selection.sexes:
        where &= Q(sex__in=selection.sexes)
    if selection.methods:
        where &= Q(method__in=selection.methods)
    if selection.how_chosen:
        where &= Q(party__how_chosen__in=selection.how_chosen)
    return where


def _usable(progress: Ints, selection: FindingsSelection) -> Mask:
    least = {AGREED: Progress.AGED, ALL: Progress.AGE_AS_GIVEN}.get(
        selection.ages, Progress.ONE_READER
    )
    mask: Mask = progress >= least
    return mask


def _texts(values: list[str]) -> Texts:
    return np.array(values, dtype=object)


def calendar_of(species: LakeSpecies) -> SpeciesCalendar:
    """Return the days on which the ageing of a species turns at this lake."""
    return species.calendar


def _clocks(
    age: Ints, caught: list[date | None], species: list[int], selection: FindingsSelection
) -> Floats:
    calendars = {one.species_id: calendar_of(one) for one in selection.all_species}

    @cache
    def clock(years: int, day: date | None, of_species: int) -> float:
        if years < 0 or day is None:
            return float("nan")
        try:
            return growth_clock(years, day, calendars[of_species])
        except CannotAge:
            return float("nan")

    return np.array(
        [clock(*row) for row in zip(age.tolist(), caught, species, strict=True)], dtype=np.float64
    )


def _counts(age: Ints, progress: Ints, usable: Mask) -> Counter[str]:
    unsure = ~usable & (age >= 0)
    return Counter(
        {
            "one": int(np.count_nonzero(unsure & (progress == Progress.ONE_READER))),
            "given": int(np.count_nonzero(unsure & (progress == Progress.AGE_AS_GIVEN))),
        }
    )


def _left_out(
    fish: QuerySet[Fish], selection: FindingsSelection, counts: Counter[str]
) -> list[Sentence]:
    said = []
    whole = FindingsSelection(selection.species, selection.seasons, relatives=selection.relatives)
    chosen = chosen_by(selection)
    found = fish.filter(chosen_by(whole)).aggregate(
        to_settle=Count("pk", filter=chosen & Q(age__isnull=False, age__age_years__isnull=True)),
        others=Count("pk") - Count("pk", filter=chosen),
    )
    if found["to_settle"]:
        words = f"{found['to_settle']:,} fish without a consensus age."
        said.append(Sentence("to_settle", words))
    if counts["one"]:
        words = f"{counts['one']} fish with one reader's age only."
        said.append(Sentence("one_reader", words))
    if counts["given"]:
        words = f"{counts['given']} fish with an imported age."
        said.append(Sentence("age_as_given", words))
    if found["others"]:
        words = f"{found['others']} fish of other arms, sexes, methods or ways of choosing."
        said.append(Sentence("not_chosen", words))
    return said


@dataclass(frozen=True, slots=True)
class LargeShare:
    """A donor whose fish are more than half of the aged ones."""

    donor: int
    percent: float


def large_share(sample: Sample) -> LargeShare | None:
    """Find the donor of more than half of the aged fish, by key: a finding keeps no name."""
    donors = sample.donor[sample.aged & (sample.donor >= 0)]
    if not donors.size:
        return None
    keys, counts = np.unique(donors, return_counts=True)
    share = counts.max() / int(np.count_nonzero(sample.aged))
    if share <= 0.5:
        return None
    return LargeShare(int(keys[counts.argmax()]), 100 * float(share))


def donor_names(keys: set[int]) -> dict[int, str]:
    """Return the names that donors have now; none for one whose name was taken out."""
    rows = Donor.objects.filter(pk__in=keys).select_related("person")
    names = {row.pk: row.name or str(row.person or "") for row in rows}
    return {key: name for key, name in names.items() if name}
