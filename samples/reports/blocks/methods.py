"""Methods, written from what was done: how fish were aged, what was estimated, and by what."""

import platform
from dataclasses import replace
from importlib.metadata import version

from django.db.models import Count

from fisheries import __version__
from samples.accounts.selectors import fish_counted
from samples.models import (
    Lake,
    LakeSpecies,
    Method,
    Reading,
    ReadMethod,
    ReportBlock,
    without_reference,
)
from samples.reports.blocks.made import Made, begin_block
from samples.reports.document import Block, Passage
from samples.rules.and_text import and_text
from samples.units import LengthUnit, to_text

# What computes the findings, with the paper that its authors ask to be cited.
LIBRARIES = (
    ("numpy", "NumPy", "Harris et al. 2020",
     "Harris, C. R., and coauthors. 2020. Array programming with NumPy. Nature 585:357-362."),
    ("scipy", "SciPy", "Virtanen et al. 2020",
     ("Virtanen, P., and coauthors. 2020. SciPy 1.0: fundamental algorithms for scientific "
     "computing in Python. Nature Methods 17:261-272.")),
)  # fmt: skip
HANDBOOK = (
    "VanderKooy, S., editor. A practical handbook for determining the ages of Gulf of Mexico "
    "fishes. Gulf States Marine Fisheries Commission."
)


def methods_block(row: ReportBlock, number: int, made: Made) -> Block:
    """Write how the fish of the report were collected, aged and analyzed."""
    block = begin_block(made, row, number, "Methods")
    parts = [
        Passage("Collection", tuple(_collection(made))),
        Passage("Aging", tuple(_aging(made))),
        *(Passage(heading, words) for heading, words in _estimators(made).items()),
        Passage("Intervals and software", (_intervals(), _software())),
    ]
    return replace(block, parts=tuple(one for one in parts if one.paragraphs))


def _collection(made: Made) -> list[str]:
    fish = fish_counted(made.lake).filter(season=made.season)
    total = fish.count()
    if not total:
        return ["No fish were logged in this season."]
    unit = "0.1 in" if made.lake.length_unit == LengthUnit.INCH else "1 mm"
    found = dict(fish.order_by().values_list("method").annotate(Count("pk")))
    by_method = [
        f"{method.label.lower()} ({found[method.value]:,})"
        for method in Method
        if method.value in found
    ]
    return [
        (
            f"Fish were sampled from {made.lake} in season {made.season}, {total:,} in all: "
            f"{and_text(by_method)}. Total length was measured to {unit}. Otoliths were stored in "
            "numbered vials."
        )
    ]


# ---------- Aging ----------


def _aging(made: Made) -> list[str]:
    found = [*_readings(made), _rule()]
    found += [_window(one) for one in _species(made)]
    return [one for one in [*found, _consensus(made.lake)] if one]


def _readings(made: Made) -> list[str]:
    fish = fish_counted(made.lake).filter(season=made.season)
    readings = without_reference(Reading.objects.filter(vial__fish__in=fish)).order_by()
    total = readings.count()
    if not total:
        return ["No otoliths of this season have been read yet."]
    by_method = dict(readings.values_list("method").annotate(Count("pk")))
    labels = [
        f"{ReadMethod(method).label.lower()} ({n:,})"
        for method, n in sorted(by_method.items(), key=lambda one: -one[1])
    ]
    structures = readings.values_list("structure", flat=True).distinct()
    readers = readings.values("reader").distinct().count()
    per_vial = readings.values("vial").annotate(n=Count("reader", distinct=True))
    twice = sum(1 for one in per_vial if one["n"] > 1)
    people = "1 reader" if readers == 1 else f"{readers} readers"
    return [
        (
            f"Structure: {and_text(sorted(structures))}. {people.capitalize()} made {total:,} "
            f"readings of {per_vial.count():,} fish, by preparation: {', '.join(labels)}. "
            f"{twice:,} fish were read by two or more readers."
        )
    ]


def _rule() -> str:
    return (
        "Ages are whole years with a birthday of January 1 (VanderKooy). Before the annulus forms, "
        "a fish with a wide margin is one year older than its annuli; the margin code and the day "
        "of capture decide."
    )


def _species(made: Made) -> list[LakeSpecies]:
    in_report = {one.question.choice.species.pk for one in made.findings}
    rows = LakeSpecies.objects.filter(lake=made.lake).select_related("species")
    rows = rows.order_by("position", "pk")
    return list(rows.filter(pk__in=in_report) if in_report else rows[:1])


def _window(species: LakeSpecies) -> str:
    try:
        days = species.calendar
    except ValueError:
        return ""
    return (
        f"{species.species.name}: annuli form from {days.annulus_starts.text()} to "
        f"{days.annulus_ends.text()} at this lake, and fish grow from {days.growth_starts.text()} "
        f"to {days.growth_ends.text()}."
    )


def _consensus(lake: Lake) -> str:
    start = (
        "Where two readers gave the same age, it is the consensus age. Others were decided singly."
    )
    if lake.one_reading_suffices == Lake.OneReading.ALWAYS:
        return f"{start} One reader's age stands where no other reader disagreed."
    if lake.one_reading_suffices == Lake.OneReading.NEVER:
        return f"{start} One reader's age alone was not used."
    limits = []
    if lake.one_reading_below_hundredths_mm is not None:
        unit = LengthUnit(lake.length_unit)
        limits.append(
            f"shorter than {to_text(lake.one_reading_below_hundredths_mm, unit)} {unit.value}"
        )
    if lake.one_reading_most_annuli is not None:
        limits.append(f"with at most {lake.one_reading_most_annuli} annuli")
    return f"{start} One reader's age stands for fish {and_text(limits)}."


# ---------- Estimates ----------


def _estimators(made: Made) -> dict[str, tuple[str, ...]]:
    """Return what was estimated, once for each finding of the report."""
    found: dict[str, tuple[str, ...]] = {}
    for one in made.findings:
        topic = one.question.topic
        said = [topic.method, *map(str, one.page.methods)]
        before = found.get(topic.title, ())
        found[topic.title] = (*before, *(words for words in said if words and words not in before))
    return found


def _intervals() -> str:
    return (
        "Intervals are 95% unless a table says otherwise. Where they are resampled, trips and net "
        "sets are drawn first and fish within them, for fish of one trip are alike."
    )


def _software() -> str:
    used = [f"{name} {version(package)} ({cited})" for package, name, cited, _ in LIBRARIES]
    return (
        f"Everything was computed by Earstone {__version__} with Python "
        f"{platform.python_version()}, {and_text(used)}."
    )


def method_sources() -> tuple[str, ...]:
    """Return the publications that the methods cite."""
    return (HANDBOOK, *(reference for *_, reference in LIBRARIES))
