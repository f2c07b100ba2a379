"""What a fish's readings come to: the ageing rule put to each, and whether they agree.

Nothing here is read from the database and nothing is written to it.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC
from hashlib import sha256

from samples.models import Age, AgeDecision, Fish, Lake, LakeSpecies, Reading, ReadingStream
from samples.rules.ageing import AgeResult, CannotAge, age_from_reading
from samples.rules.ageing_table import FLAGS as RULE_FLAGS
from samples.rules.season_days import SpeciesCalendar

DECIDED = "decided"
DECIDED_NO_AGE = "decided_no_age"
SECOND_NEEDED = "second_needed"
READERS_DIFFER = "readers_differ"
READ_SINCE = "read_since_decided"
ABOVE_HIGHEST = "age_above_highest"
# Among the answers of a reading: somebody looked at the vial and found it right.
VIAL_CHECKED = "vial_checked"

FLAG_SENTENCES = {
    **RULE_FLAGS,
    READ_SINCE: "A later reading gives a different age.",
    ABOVE_HIGHEST: "Older than usual for this species here. Is it the right vial?",
}

RULE_SENTENCES = {
    DECIDED: "Decided by the biologist.",
    READERS_DIFFER: "Readers gave different ages.",
    DECIDED_NO_AGE: "The biologist decided that this otolith gives no age.",
    SECOND_NEEDED: "One reading is not enough for a fish of this size or age.",
}


@dataclass(frozen=True, slots=True)
class Aged:
    """One reading, what the rule makes of it, and whether it is its reader's latest."""

    reading: Reading
    result: AgeResult
    counts: bool


@dataclass(frozen=True, slots=True)
class ReadingConsensus:
    """What the readings that count come to together."""

    standing: Age.Standing
    age_years: int | None
    rule: str
    flags: tuple[str, ...]
    readers: int


@dataclass(frozen=True, slots=True)
class ConsensusRule:
    """When the age by one reader is enough at a lake. Two readers who agree always are.

    ``below_hundredths_mm`` and ``most_annuli`` limit it where one reading suffices for small or
    young fish alone; None of either is no limit.
    """

    one_reading: Lake.OneReading = Lake.OneReading.ALWAYS
    below_hundredths_mm: int | None = None
    most_annuli: int | None = None

    def is_enough(self, reading: Reading, fish: Fish) -> bool:
        """Return whether this reading alone gives the fish its age."""
        if self.one_reading != Lake.OneReading.BELOW:
            return self.one_reading == Lake.OneReading.ALWAYS
        below, most = self.below_hundredths_mm, self.most_annuli
        short = below is None or fish.length_hundredths_mm < below
        return short and (most is None or reading.annuli <= most)


def consensus_rule_of(lake: Lake) -> ConsensusRule:
    """Return the rule that is set for a lake."""
    return ConsensusRule(
        Lake.OneReading(lake.one_reading_suffices),
        lake.one_reading_below_hundredths_mm,
        lake.one_reading_most_annuli,
    )


def calendar_of(lake_species: LakeSpecies | None) -> SpeciesCalendar:
    """Return the days on which ageing turns; a species not set up at the lake has the usual ones.

    :raises CannotAge: if the days kept for the species do not follow each other
    """
    if lake_species is None:
        return SpeciesCalendar()
    try:
        return lake_species.calendar
    except ValueError as problem:
        raise CannotAge(
            "calendar_wrong",
            "The calendar dates of this species are out of order. Ask the biologist to fix them "
            "under Lake, Species.",
        ) from problem


def age_of_count(
    fish: Fish,
    lake_species: LakeSpecies | None,
    *,
    annuli: int,
    margin: int | None,
    annulus_at_edge: bool | None,
) -> AgeResult:
    """Put the ageing rule to one count.

    :raises CannotAge: if the fish has no catch date, or the parts of the count contradict
    """
    if fish.caught_on is None:
        raise CannotAge("no_catch_date", "This fish has no catch date, so it has no age.")
    below = lake_species.age_0_below_hundredths_mm if lake_species else None
    return age_from_reading(
        annuli,
        margin,
        fish.caught_on,
        calendar_of(lake_species),
        annulus_at_edge=annulus_at_edge,
        length_hundredths_mm=fish.length_hundredths_mm,
        # The lake names the first length that is too long; the rule wants the last that fits.
        age0_max_length_hundredths_mm=None if below is None else below - 1,
        early_annulus_minus_one=bool(
            lake_species and lake_species.early_annulus_counts_for_next_year
        ),
    )


def age_of_reading(reading: Reading, fish: Fish, lake_species: LakeSpecies | None) -> AgeResult:
    """Put the ageing rule to a reading that is kept; where it gives none, say why."""
    try:
        return age_of_count(
            fish,
            lake_species,
            annuli=reading.annuli,
            margin=reading.margin,
            annulus_at_edge=reading.annulus_at_edge,
        )
    except CannotAge as problem:
        return AgeResult(None, None, problem.code, problem.sentence, ())


def aged(readings: Iterable[Reading], fish: Fish, lake_species: LakeSpecies | None) -> list[Aged]:
    """Put the rule to every reading of a fish, the oldest first; each reader's latest counts.

    Readings of the reference set test the reader and tell no age.
    """
    of_fish = (one for one in readings if one.stream != ReadingStream.REFERENCE)
    ordered = sorted(of_fish, key=lambda one: (one.sitting_on, one.read_at, one.pk))
    latest = {reading.reader_id: reading.pk for reading in ordered}
    return [
        Aged(
            reading,
            age_of_reading(reading, fish, lake_species),
            counts=latest[reading.reader_id] == reading.pk,
        )
        for reading in ordered
    ]


def consensus_of(
    readings: Sequence[Aged], fish: Fish, rule: ConsensusRule = ConsensusRule()
) -> ReadingConsensus:
    """Compare the ages after the aging rule, never the counts.

    :raises ValueError: without a reading that counts
    """
    counting = [one for one in readings if one.counts]
    if not counting:
        raise ValueError("no reading, no age")
    flags = tuple(dict.fromkeys(flag for one in counting for flag in one.result.flags))
    open_rule = next((one.result.rule for one in counting if not one.result.settled), None)
    if open_rule is not None:
        return ReadingConsensus(Age.Standing.TO_SETTLE, None, open_rule, flags, len(counting))
    ages = {one.result.age for one in counting}
    if len(ages) > 1:
        return ReadingConsensus(Age.Standing.TO_SETTLE, None, READERS_DIFFER, flags, len(counting))
    if len(counting) == 1 and not rule.is_enough(counting[0].reading, fish):
        return ReadingConsensus(Age.Standing.SECOND_NEEDED, None, SECOND_NEEDED, flags, 1)
    standing = Age.Standing.ONE_READER if len(counting) == 1 else Age.Standing.AGREED
    last = counting[-1].result
    return ReadingConsensus(standing, last.age, last.rule, flags, len(counting))


def state_seen(last: AgeDecision | None, readings: Iterable[Reading]) -> str:
    """Return a word for what a page shows of a fish's age; another one after any change of it."""
    told = sorted(
        f"{one.pk} {one.read_at.astimezone(UTC).isoformat()} {one.annuli} {one.margin}"
        for one in readings
    )
    digest = sha256("\n".join(told).encode()).hexdigest()[:12]
    return f"{last.number if last else 0}-{digest}"


def decisions_seen(seen: str) -> int:
    """Return how many decisions a page showed that gave this word; -1 where it is none of ours."""
    number = seen.partition("-")[0]
    return int(number) if number.isdecimal() else -1


def years_apart(readings: Iterable[Aged]) -> int:
    """Return how far apart the ages of the readers are; 0 where the rule leaves one open."""
    ages = [one.result.age for one in readings if one.counts]
    settled = [age for age in ages if age is not None]
    return max(settled) - min(settled) if settled and len(settled) == len(ages) else 0


def flag_sentences(flags: Iterable[str]) -> list[str]:
    """Put flags in words, as far as this version knows them."""
    return [FLAG_SENTENCES[flag] for flag in flags if flag in FLAG_SENTENCES]
