"""Sending a list, and stopping it."""

from collections.abc import Iterable, Sequence
from datetime import datetime

from django.db import transaction

from samples.asks.parts import DraftLine
from samples.models import Ask, AskedFish, Season, User
from samples.models.ask import FishAsked
from samples.targets.queries.asks import Line, ask_in_force, lines_of
from samples.vials.queries import people_who_log


@transaction.atomic
def send_ask(
    season: Season,
    lines: Sequence[DraftLine],
    *,
    enough: str,
    is_public: bool,
    actor: User,
    now: datetime,
) -> Ask:
    """Send a list to everybody who logs fish at the lake; it takes the place of the last one.

    The same list again, as when a button is pressed twice, is the one that is out already.
    """
    # Two lists sent at one moment wait for each other, so that the second sees the first.
    Season.objects.select_for_update().get(pk=season.pk)
    last = ask_in_force(season.lake, now=now)
    if last is not None and _is_same(last, lines, enough=enough, is_public=is_public):
        return last
    asked = list(people_who_log(season.lake))
    ask = Ask.objects.create(
        season=season,
        enough=enough,
        is_public=is_public,
        people_asked=len(asked),
        sent_by=actor,
        sent_at=now,
    )
    ask.asked.set(asked)
    AskedFish.objects.bulk_create(
        AskedFish(
            ask=ask,
            place=place,
            words=line.words,
            species_id=one.species_id,
            arm_id=one.arm_id,
            from_hundredths_mm=one.from_hundredths_mm,
            below_hundredths_mm=one.below_hundredths_mm,
            wanted=one.wanted,
        )
        for place, line in enumerate(lines)
        for one in line.fish
    )
    return ask


def _is_same(ask: Ask, lines: Sequence[DraftLine], *, enough: str, is_public: bool) -> bool:
    if (ask.enough, ask.is_public) != (enough, is_public):
        return False
    return _contents(lines_of(ask)) == _contents(lines)


def _contents(
    lines: Iterable[Line | DraftLine],
) -> list[tuple[str, set[tuple[FishAsked, int]]]]:
    return [(line.words, {(one.key, one.wanted) for one in line.fish}) for line in lines]


@transaction.atomic
def stop_ask(ask: Ask, *, actor: User, now: datetime) -> None:
    """Take a list off phones and the public page; what was sent stays on record."""
    # As sending does, and in its order: the same list sent meanwhile goes out anew.
    Season.objects.select_for_update().get(pk=ask.season_id)
    kept = Ask.objects.select_for_update().get(pk=ask.pk)
    if kept.stopped_at is not None:
        return
    kept.stopped_at, kept.stopped_by = now, actor
    kept.save(update_fields=["stopped_at", "stopped_by"])
