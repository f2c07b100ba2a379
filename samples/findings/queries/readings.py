"""Readings of otoliths as the pages of findings need them: side by side, and ring by ring."""

from datetime import date
from typing import Any

from django.db.models import Count, F, QuerySet

from samples.accounts.selectors import name_of
from samples.findings.queries.choice import FindingsSelection
from samples.findings.queries.sample import calendar_of, chosen_by
from samples.findings.sample import METHOD_NAMES, Margins, Pair, Rings
from samples.models import Fish, LakeSpecies, Radius, Reading, ReadingStream, without_reference
from samples.rules.ageing import CannotAge, age_from_reading

# Fewer random second readings say nothing yet.
FEWEST_RANDOM = 10


def pairs_of(fish: QuerySet[Fish], selection: FindingsSelection) -> list[Pair]:
    """Set side by side every two readers, and every two methods, with fish that both read.

    Where enough second readings were drawn at random, readers are compared by those alone: second
    readings of fish that somebody chose tell how hard those were. Readings asked for by hand, and
    those of the reference set, compare nobody.
    """
    rows = (
        Reading.objects.filter(vial__fish__in=fish.filter(chosen_by(selection)))
        .exclude(stream__in=[ReadingStream.HARD, ReadingStream.REFERENCE])
        .order_by("sitting_on", "read_at", "pk")
        .values_list(
            "vial_id",
            "reader_id",
            name_of("reader__"),
            "method",
            "stream",
            "annuli",
            "margin",
            "annulus_at_edge",
            "vial__fish__caught_on",
            "vial__fish__length_hundredths_mm",
            "sitting_on",
        )
    )
    by_reader: Ages = {}
    by_method: Ages = {}
    drawn: Ages = {}
    names: dict[int, str] = {}
    for vial, reader, name, method, stream, *count, day in rows:
        age = _age(selection.species, *count)
        if age is None:
            continue
        names[reader] = name
        if stream == ReadingStream.SECOND:
            _draw_beside(drawn, by_reader, vial, reader, (age, day))
        by_reader.setdefault(reader, {})[vial] = (age, day)
        by_method.setdefault(METHOD_NAMES.get(method, method), {})[vial] = (age, day)
    is_random = len({vial for ages in drawn.values() for vial in ages}) >= FEWEST_RANDOM
    of_readers = _pairs(drawn if is_random else by_reader, names, is_random=is_random)
    return [*of_readers, *_pairs(by_method, {})]


# By reader or method, then by vial: the age, and the day on which it was read.
Ages = dict[Any, dict[int, tuple[int, date]]]


def _draw_beside(
    drawn: Ages, read_before: Ages, vial: int, reader: int, age: tuple[int, date]
) -> None:
    """Put a random second reading beside what others had read by then; what came after it, when
    both were known, stays out.
    """
    for other, ages in read_before.items():
        if other != reader and vial in ages:
            drawn.setdefault(other, {}).setdefault(vial, ages[vial])
    drawn.setdefault(reader, {}).setdefault(vial, age)


def _pairs(ages: Ages, called: dict[int, str], *, is_random: bool = False) -> list[Pair]:
    """Set every two side by side; two readers of one name stay two."""
    names = sorted(ages, key=lambda name: -len(ages[name]))
    found = []
    for place, one in enumerate(names):
        for other in names[place + 1 :]:
            both = sorted(ages[one].keys() & ages[other].keys())
            if both:
                first, second = ([ages[name][vial] for vial in both] for name in (one, other))
                found.append(
                    Pair(
                        (called.get(one, one), called.get(other, other)),
                        [age for age, _ in first],
                        [age for age, _ in second],
                        [max(a[1], b[1]) for a, b in zip(first, second, strict=True)],
                        is_random,
                    )
                )
    return found


def _age(
    species: LakeSpecies,
    annuli: int,
    margin: int | None,
    edge: bool | None,
    caught_on: date | None,
    length: int,
) -> int | None:
    if caught_on is None:
        return None
    below = species.age_0_below_hundredths_mm
    try:
        return age_from_reading(
            annuli,
            margin,
            caught_on,
            calendar_of(species),
            annulus_at_edge=edge,
            length_hundredths_mm=length,
            age0_max_length_hundredths_mm=None if below is None else below - 1,
            early_annulus_minus_one=species.early_annulus_counts_for_next_year,
        ).age
    except CannotAge:
        return None


def rings_of(fish: QuerySet[Fish], selection: FindingsSelection) -> Rings:
    """Return the measured rings of fish, of the newest reading whose age is that of the fish."""
    readings = (
        Reading.objects.filter(
            vial__fish__in=fish.filter(chosen_by(selection)),
            vial__fish__age__year_class__isnull=False,
            edge_um__isnull=False,
        )
        .annotate(measured=Count("radii"))
        .filter(measured=F("annuli"))
        .order_by("vial_id", "-sitting_on", "-pk")
        .values_list(
            "pk",
            "vial_id",
            "edge_um",
            "vial__fish__age__year_class",
            "vial__fish__length_hundredths_mm",
            "vial__fish__arm_id",
            "vial__fish__species_id",
            "annuli",
            "margin",
            "annulus_at_edge",
            "vial__fish__caught_on",
            "vial__fish__age__age_years",
        )
    )
    latest: dict[int, tuple[Any, ...]] = {}
    for row in readings:
        # Rings of a reading that was not taken for the age would stand in the wrong years.
        if _age(selection.species, *row[7:11], row[4]) == row[11]:
            latest.setdefault(row[1], row)
    kept = {row[0]: row for row in latest.values()}
    radii: dict[int, list[int]] = {}
    for reading, radius in (
        Radius.objects.filter(reading__in=kept)
        .order_by("reading_id", "annulus")
        .values_list("reading_id", "radius_um")
    ):
        radii.setdefault(reading, []).append(radius)
    rows = [(kept[pk], found) for pk, found in radii.items()]
    groups: dict[tuple[int, int], int] = {}
    return Rings(
        [row[3] for row, _ in rows],
        [row[4] / 100 for row, _ in rows],
        [row[2] for row, _ in rows],
        [found for _, found in rows],
        [groups.setdefault((row[5], row[6]), len(groups)) for row, _ in rows],
    )


def margins_of(fish: QuerySet[Fish], selection: FindingsSelection) -> Margins:
    """Return the margin of each fish that was read, of its newest reading."""
    rows = (
        without_reference(Reading.objects.filter(vial__fish__in=fish.filter(chosen_by(selection))))
        .order_by("vial_id", "-sitting_on", "-pk")
        .values_list("vial_id", "annuli", "margin", "vial__fish__caught_on")
    )
    newest: dict[int, tuple[int, int | None, date | None]] = {}
    for vial, annuli, margin, caught_on in rows:
        newest.setdefault(vial, (annuli, margin, caught_on))
    read = [(annuli, day, code) for annuli, code, day in newest.values() if code is not None]
    dated = [(annuli, day.month, code) for annuli, day, code in read if day is not None]
    return Margins(
        [annuli for annuli, _, _ in dated],
        [month for _, month, _ in dated],
        [code for _, _, code in dated],
        len(newest) - len(read),
        len(read) - len(dated),
    )
