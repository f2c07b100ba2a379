"""The lines of what is still needed, and the same in the words of those who catch it."""

from dataclasses import dataclass

from samples.targets.presenters.coverage import Coverage, StillNeeded
from samples.targets.presenters.for_guides import NeededLengths, needed_of_arm
from samples.targets.rules import FEWEST_FOR_A_LENGTH_SAMPLE

# Of a long list, so many lines are shown until all are asked for.
FIRST_LINES = 8
BAR = 60
# A length is told as so many of those measured if it is met more often than once in so many.
COMMON = 5


@dataclass(frozen=True, slots=True)
class NeededRow:
    """One line: how many more of a length from an arm, how often one is met there, and why.

    ``bar`` is as long as the line asks for fish, beside the line that asks for most.
    """

    ask: StillNeeded
    bar: int
    chance: str
    why: str
    is_asked: bool


@dataclass(frozen=True, slots=True)
class AskedOfArm:
    """What guides are asked for in one arm."""

    arm: str
    lengths: list[NeededLengths]


def needed_rows(coverage: Coverage) -> list[NeededRow]:
    """Return a line for each length that is short, those that guides are not asked for last."""
    asked, hardly = coverage.still_needed, coverage.hardly_reached
    most = max((one.more for one in asked), default=1)
    rows = [
        NeededRow(one, round(BAR * one.more / most), _chance(one), _why(coverage, one), True)
        for one in asked
    ]
    return rows + [
        NeededRow(one, 0, _chance(one), f"Not asked: {reached(one)} are this long", False)
        for one in hardly
    ]


def asked_by_arm(coverage: Coverage) -> list[AskedOfArm]:
    """Return what each arm is asked for, in runs of lengths as a guide says them."""
    found = [AskedOfArm(row.arm.name, needed_of_arm(coverage, row.arm.pk)) for row in coverage.rows]
    return [one for one in found if one.lengths]


def reached(line: StillNeeded) -> str:
    """Return how many of the fish measured there are at least that long."""
    sample = line.sample
    if sample.measured < FEWEST_FOR_A_LENGTH_SAMPLE:
        return f"too few measured ({sample.measured})"
    return f"{sample.this_long} of {sample.measured}"


def _chance(line: StillNeeded) -> str:
    """Return how often a fish measured there is of this length."""
    return chance_text(line.of_length, line.sample.measured)


def chance_text(of_length: int, measured: int) -> str:
    """Return how often one of so many measured fish is of a length; a dash for too few."""
    if measured < FEWEST_FOR_A_LENGTH_SAMPLE:
        return "–"
    # Of a common length, one in so many would be far off: 1 in 1 for nine of ten.
    if COMMON * of_length > measured or not of_length:
        return f"{of_length} of {measured}"
    return f"1 in {round(measured / of_length)}"


def _why(coverage: Coverage, line: StillNeeded) -> str:
    need, count = line.need, coverage.selection.count
    words = [f"{need.counted}/{need.wanted} {count}" if need.counted else f"None {count}"]
    words += [f"{need.in_hand} in hand"] if need.in_hand else []
    words += [f"nets owe {line.nets}"] if line.nets else []
    for n, sex in ((need.parts.females_short, "female"), (need.parts.males_short, "male")):
        words += [f"{n} {sex}{'s' if n > 1 else ''} short"] if n else []
    return ", ".join(words)
