"""Figures from elsewhere: natural death, death after release, tag returns, creel surveys.

Whoever enters or changes a figure stands beside it; what it was before stays in its history.
"""

from collections.abc import Callable, Mapping
from datetime import date, datetime
from decimal import Decimal
from typing import Any, NotRequired, TypedDict, TypeVar, Unpack

from samples.models import (
    Arm,
    CreelFigures,
    Lake,
    NaturalDeath,
    ReleaseDeath,
    Season,
    Species,
    TagReturns,
    User,
    atomic_with_revision,
)
from samples.models.signing import delete_signed, save_signed
from samples.rules.lake_time import local_day
from samples.waters.rules import more_taken_than_tagged
from samples.waters.services.errors import ChangeRefused
from samples.waters.services.order import lock_lake

Figure = NaturalDeath | ReleaseDeath | TagReturns | CreelFigures
_Figure = TypeVar("_Figure", bound=Figure)
CREEL_FINDS = ("angler_hours", "caught", "released", "smallest_kept_hundredths_mm")


class Sourced(TypedDict):
    """What is said of every figure: the fish, where it is from, of when it is."""

    species: Species
    source: str
    as_of: date


class NaturalDeathFacts(Sourced):
    """Shares of the fish, 0 to 1, that would die in a year if nobody fished."""

    arm: Arm | None
    least: Decimal
    middle: Decimal
    most: Decimal
    oldest_years: int | None


class ReleaseDeathFacts(Sourced):
    """Shares of released fish, 0 to 1, that die of it, and when that holds, in words."""

    when: str
    least: Decimal
    middle: Decimal
    most: Decimal


class TagReturnsFacts(Sourced):
    """Tags of one season, in an arm or in the whole lake; shares from 0 to 1."""

    season: Season
    arm: Arm | None
    tags_out: int
    returned: int
    reporting_least: Decimal
    reporting_most: Decimal
    tags_kept: Decimal
    survived_tagging: Decimal
    returned_released: NotRequired[int]
    high_reward_out: NotRequired[int | None]
    high_reward_returned: NotRequired[int | None]


class CreelFacts(Sourced):
    """What a creel survey of one season found, in an arm or in the whole lake."""

    season: Season
    arm: Arm | None
    angler_hours: int | None
    caught: int | None
    released: Decimal | None
    smallest_kept_hundredths_mm: int | None


def add_natural_death(
    lake: Lake, *, actor: User, now: datetime, **facts: Unpack[NaturalDeathFacts]
) -> NaturalDeath:
    """Enter how many die of natural causes; what was entered before stays.

    :raises Refused: if its day is to come, it is not in order, or it was entered already
    """
    return _enter(NaturalDeath(lake=lake), facts, actor=actor, now=now)


def add_release_death(
    lake: Lake, *, actor: User, now: datetime, **facts: Unpack[ReleaseDeathFacts]
) -> ReleaseDeath:
    """Enter how many fish die after release; what was entered before stays.

    :raises Refused: if its day is to come, it is not in order, or it was entered already
    """
    return _enter(ReleaseDeath(lake=lake), facts, actor=actor, now=now)


def add_tag_returns(
    lake: Lake, *, actor: User, now: datetime, **facts: Unpack[TagReturnsFacts]
) -> TagReturns:
    """Enter tags out and returned; what was entered before stays.

    :raises Refused: if its day is to come, more came back than went out or than can have been
        caught, or it was entered already
    """
    return _enter(TagReturns(lake=lake), facts, actor=actor, now=now)


def add_creel_figures(
    lake: Lake, *, actor: User, now: datetime, **facts: Unpack[CreelFacts]
) -> CreelFigures:
    """Enter what a creel survey found; what was entered before stays.

    :raises Refused: if its day is to come, nothing was found, or it was entered already
    """
    return _enter(CreelFigures(lake=lake), facts, actor=actor, now=now)


def edit_figure(row: Figure, *, actor: User, now: datetime, **facts: Any) -> None:
    """Put a figure right that was entered wrong.

    :raises Refused: as the function that entered it
    """
    _enter(row, facts, actor=actor, now=now)


@atomic_with_revision()
def remove_figure(row: Figure, *, actor: User, now: datetime) -> None:
    """Take away a figure that should never have been entered; its history stays."""
    delete_signed(row, actor=actor, now=now)


@atomic_with_revision()
def _enter(row: _Figure, facts: Mapping[str, Any], *, actor: User, now: datetime) -> _Figure:
    """Write a figure, unless the same source gave it already: sent twice it would count twice."""
    check, same = _RULES[type(row)]
    check(facts)
    lock_lake(row.lake)
    if facts["as_of"] > local_day(now, row.lake.time_zone):
        raise ChangeRefused(
            "to_come", "This date is in the future. Enter today or an earlier date.", field="as_of"
        )
    told = {name: facts[name] for name in (*same, "as_of")}
    others = type(row).objects.filter(lake=row.lake, source__iexact=facts["source"], **told)
    if others.exclude(pk=row.pk or 0).exists():
        sentence = "This source already has a figure for this date. Edit that one."
        raise ChangeRefused("entered_already", sentence, field="source")
    for name, value in facts.items():
        setattr(row, name, value)
    row.entered_by, row.entered_at = actor, now
    save_signed(row, actor=actor, now=now)
    return row


def _check_order(facts: Mapping[str, Any]) -> None:
    least, middle, most = facts["least"], facts["middle"], facts["most"]
    if middle < least:
        sentence = "The best estimate is below the low. Enter low, best and high in order."
        raise ChangeRefused("out_of_order", sentence, field="middle")
    if most < middle:
        sentence = "The high is below the best estimate. Enter low, best and high in order."
        raise ChangeRefused("out_of_order", sentence, field="most")


def _check_natural_death(facts: Mapping[str, Any]) -> None:
    _check_order(facts)
    if facts["least"] <= 0:
        sentence = "Natural mortality is never 0. Enter a number above 0, such as 24."
        raise ChangeRefused("none_die", sentence, field="least")
    if facts["most"] >= 1:
        sentence = "At 100% no fish survives the year. Enter less than 100."
        raise ChangeRefused("all_die", sentence, field="most")


def _check_tags(facts: Mapping[str, Any]) -> None:
    out, back = facts["tags_out"], facts["returned"]
    reporting = (facts["reporting_least"], facts["reporting_most"])
    if back > out:
        sentence = f"Only {out:,} tags went out, so no more than {out:,} can come back."
        raise ChangeRefused("more_back_than_out", sentence, field="returned")
    released = facts.get("returned_released", 0)
    if back + released > out:
        sentence = f"{back:,} of fish kept and {released:,} of fish released are more than {out:,}."
        raise ChangeRefused("more_back_than_out", sentence, field="returned_released")
    _check_high_reward(facts)
    if reporting[1] < reporting[0]:
        sentence = "The high is below the low. Enter the low value or more."
        raise ChangeRefused("out_of_order", sentence, field="reporting_most")
    at_risk = facts["tags_kept"] * facts["survived_tagging"]
    if more_taken_than_tagged(tags_out=out, returned=back, reporting=reporting, at_risk=at_risk):
        sentence = (
            f"At this reporting rate, {back:,} of {out:,} tags returned means that every "
            "tagged fish was caught. Check the reporting rate."
        )
        raise ChangeRefused("more_taken_than_tagged", sentence, field="reporting_least")


def _check_high_reward(facts: Mapping[str, Any]) -> None:
    out, back = facts.get("high_reward_out"), facts.get("high_reward_returned")
    if (out is None) != (back is None):
        missing = "high_reward_returned" if back is None else "high_reward_out"
        sentence = "Enter both, high-reward tags out and returned, or neither."
        raise ChangeRefused("high_reward_half", sentence, field=missing)
    if out is not None and back is not None and back > out:
        sentence = f"Only {out:,} high-reward tags went out. Enter {out:,} or fewer."
        raise ChangeRefused("more_back_than_out", sentence, field="high_reward_returned")


def _check_creel(facts: Mapping[str, Any]) -> None:
    if all(facts[name] is None for name in CREEL_FINDS):
        sentence = "Enter at least one figure that the survey found."
        raise ChangeRefused("nothing_found", sentence, field=CREEL_FINDS[0])


# By the kind of figure: what its numbers must be, and what makes two of one source the same.
_RULES: Mapping[type[Any], tuple[Callable[[Mapping[str, Any]], None], tuple[str, ...]]] = {
    NaturalDeath: (_check_natural_death, ("species", "arm")),
    ReleaseDeath: (_check_order, ("species", "when")),
    TagReturns: (_check_tags, ("species", "season", "arm")),
    CreelFigures: (_check_creel, ("species", "season", "arm")),
}
