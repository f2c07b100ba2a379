"""Setting targets."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import datetime

from django.db import transaction
from simple_history.utils import bulk_create_with_history, bulk_update_with_history

from samples.models import Arm, Season, Species, Target, User
from samples.targets.rules import A_BIN, Key, Part, floor_from_each, proposed


@dataclass(frozen=True, slots=True)
class Proposal:
    """Numbers to start from, and where they come from."""

    wanted: dict[Key, int]
    description: str


def propose_targets(bins: Collection[int], arms: Collection[Arm]) -> Proposal:
    """Propose 10 fish a bin lake-wide and a floor for each arm. Nothing is saved."""
    arm_ids = [arm.pk for arm in arms if not arm.whole_lake]
    return Proposal(proposed(bins, arm_ids), proposal_text(len(arm_ids)))


def proposal_text(arms: int) -> str:
    """Name the proposal as its button does."""
    floor = floor_from_each(arms)
    each = f", {floor} from each arm" if floor else ""
    return f"{A_BIN} a bin{each}"


@transaction.atomic
def save_targets(
    season: Season,
    species: Species,
    *,
    wanted: Mapping[Key, int | None],
    width: int,
    actor: User,
    now: datetime,
) -> int:
    """Make the targets of these arms and bins what they are here; none where nothing is wanted.

    Targets of lengths that `wanted` does not name stay. A target that was set for other
    bins and overlaps one of these gives way to it.

    :param wanted: how many, by arm (none for lake-wide) and lower edge of the bin
    :return: how many targets were made, changed or taken away
    """
    # A double tap on a fresh table: the second waits here, and then finds what is there.
    Season.objects.select_for_update().values_list("pk").get(pk=season.pk)
    edges = {lower for _, lower in wanted}
    aim = {key: n for key, n in wanted.items() if n}
    here = _overlapping(season, species, edges, width)
    kept: dict[Key, Target] = {}
    gone: list[Target] = []
    for target in here:
        key = (target.arm_id, target.from_hundredths_mm)
        fits = target.below_hundredths_mm == target.from_hundredths_mm + width
        if fits and (key in aim or key not in wanted):
            kept[key] = target
        else:
            gone.append(target)
    for target in gone:
        # Read by the history library when it writes down that the row went.
        target._history_user = actor  # type: ignore[attr-defined]
        target._history_date = now  # type: ignore[attr-defined]
        target.delete()
    changed = [kept[key] for key, n in aim.items() if key in kept and kept[key].wanted != n]
    for target in changed:
        target.wanted = aim[target.arm_id, target.from_hundredths_mm]
        _fit_parts(target)
    made = [
        Target(
            season=season,
            species=species,
            arm_id=arm,
            from_hundredths_mm=lower,
            below_hundredths_mm=lower + width,
            wanted=n,
        )
        for (arm, lower), n in aim.items()
        if (arm, lower) not in kept
    ]
    written = {"default_user": actor, "default_date": now}
    bulk_update_with_history(changed, Target, list(Part), **written)
    bulk_create_with_history(made, Target, **written)
    return len(gone) + len(changed) + len(made)


def _fit_parts(target: Target) -> None:
    """Lower what nets and sexes are to bring of a target that became smaller than that."""
    target.from_nets = min(target.from_nets, target.wanted)
    if (sexes := target.females + target.males) > target.wanted:
        target.females = target.wanted * target.females // sexes
        target.males = target.wanted * target.males // sexes


@transaction.atomic
def save_parts(
    season: Season,
    species: Species,
    part: Part,
    *,
    numbers: Mapping[Key, int | None],
    width: int,
    actor: User,
    now: datetime,
) -> int:
    """Set what nets or one sex are to bring of the targets of these arms and bins.

    What was no target any more when this was saved stays without.

    :return: how many targets were changed
    """
    Season.objects.select_for_update().values_list("pk").get(pk=season.pk)
    changed = []
    for target in _overlapping(season, species, {lower for _, lower in numbers}, width):
        key = (target.arm_id, target.from_hundredths_mm)
        n = numbers.get(key, getattr(target, part)) or 0
        if target.below_hundredths_mm == key[1] + width and n != getattr(target, part):
            setattr(target, part, min(n, _room_for(part, target)))
            changed.append(target)
    bulk_update_with_history(changed, Target, [part], default_user=actor, default_date=now)
    return len(changed)


def _room_for(part: Part, target: Target) -> int:
    """Return the most that a part may be: somebody may have lowered the target meanwhile."""
    other = {Part.FEMALES: target.males, Part.MALES: target.females}
    return target.wanted - other.get(part, 0)


def _overlapping(
    season: Season, species: Species, edges: Collection[int], width: int
) -> list[Target]:
    """Lock and list the targets that share lengths with one of these bins."""
    found = Target.objects.select_for_update().filter(season=season, species=species)
    return [
        target
        for target in found.order_by("pk")
        if any(
            target.from_hundredths_mm < lower + width and lower < target.below_hundredths_mm
            for lower in edges
        )
    ]
