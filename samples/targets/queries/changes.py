"""What was changed in the targets, when and by whom."""

from dataclasses import dataclass
from datetime import datetime, timedelta

from samples.models import Arm, Season, Species, Target
from samples.targets.rules import Part
from samples.units import LengthUnit, bin_name

# What one person changes so soon after is one change.
AT_ONE_TIME = timedelta(minutes=1)
WORDS = {
    Part.ALL: "",
    Part.NETS: ", from nets",
    Part.FEMALES: ", females",
    Part.MALES: ", males",
}


@dataclass(frozen=True, slots=True)
class TargetChange:
    """One target before and after; none where there was none."""

    place: str
    before: int | None
    after: int | None


@dataclass(frozen=True, slots=True)
class ChangeSet:
    """What one person changed at one time."""

    at: datetime
    by: str
    changes: list[TargetChange]


def target_changes(season: Season, species: Species, unit: LengthUnit) -> list[ChangeSet]:
    """List the changes of the targets of a season, the latest first."""
    names = dict(Arm.objects.filter(lake=season.lake_id).values_list("pk", "name"))
    records = (
        Target.history.filter(season=season, species=species)
        .select_related("history_user")
        .order_by("history_date", "history_id")
    )
    stood: dict[int, list[int]] = {}
    found: list[ChangeSet] = []
    for one in records:
        before = stood.pop(one.id, None)
        after = None if one.history_type == "-" else [getattr(one, part) for part in Part]
        if after is not None:
            stood[one.id] = after
        if before == after:
            continue
        by = str(one.history_user) if one.history_user else "Not recorded"
        last = found[-1] if found else None
        if last is None or last.by != by or one.history_date - last.at > AT_ONE_TIME:
            found.append(last := ChangeSet(one.history_date, by, []))
        width = one.below_hundredths_mm - one.from_hundredths_mm
        length = bin_name(one.from_hundredths_mm, width, unit)
        arm = names.get(one.arm_id, "Arm removed") if one.arm_id else "Lake target"
        last.changes.extend(_by_part(f"{arm}, {length}", before, after))
    return found[::-1]


def _by_part(place: str, before: list[int] | None, after: list[int] | None) -> list[TargetChange]:
    """Return what changed of all fish, of nets and of each sex, a line each."""
    found = []
    for at, (part, words) in enumerate(WORDS.items()):
        was, now = (None if one is None else one[at] for one in (before, after))
        if was != now and (part is Part.ALL or was or now):
            found.append(TargetChange(place + words, was, now))
    return found
