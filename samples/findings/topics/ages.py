"""Where the ages of a page come from: structure, rule, and what whole years blur."""

from collections import Counter

from samples.findings.queries import Sample

OTOLITH = "otolith"
STRUCTURES = {OTOLITH: "otoliths"}


def ages_text(sample: Sample) -> str:
    """Return what the ages were read from, and that the January 1 rule made them where it did."""
    aged = sample.where(sample.aged)
    kinds = Counter(zip(aged.structure, aged.as_given, strict=True))
    if not kinds:
        return ""
    said = []
    for (structure, as_given), count in sorted(kinds.items(), key=lambda one: -one[1]):
        named = STRUCTURES.get(structure, structure)
        words = f"{named}, as given" if as_given else f"{named}, by the January 1 rule"
        said.append(words if len(kinds) == 1 else f"{words} ({count:,} fish)")
    return f"Ages from {'; '.join(said)}."


def whole_years_warning(sample: Sample) -> list[str]:
    """Return what age in whole years blurs, where most fish have no catch date."""
    if not sample.whole_years:
        return []
    return [
        (
            "Most aged fish have no catch date, so ages are whole years. Fish caught in spring and "
            "in fall count as one age: the curve may be off by up to one growing season, and "
            "lengths at one age spread more."
        )
    ]
