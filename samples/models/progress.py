"""How far a fish's sample has come: the one place that says so."""

from collections.abc import Iterable, Iterator

from django.db import models

from samples.models.age import Age
from samples.models.fish import Fish, Progress
from samples.models.revision import note_rows
from samples.models.storage import TrayPlace
from samples.models.vial import OUT_OF_USE, WITHOUT_AN_OTOLITH, Vial


def progress_of(vial: Vial | None) -> Progress:
    """Return how far the sample of a fish has come that was just logged, with this vial."""
    if vial is None or not _is_in_hand(vial.state, vial.content):
        return Progress.MEASURED
    return Progress.LOGGED if vial.received_at is None else Progress.RECEIVED


def _is_in_hand(state: str | None, content: str | None) -> bool:
    """Return whether there is a vial, where it should be, with an otolith of this fish in it."""
    return state is not None and state not in OUT_OF_USE and content not in WITHOUT_AN_OTOLITH


def _progress(
    *, has_sample: bool, is_received: bool, standing: str | None, has_age_as_given: bool
) -> Progress:
    if standing in {Age.Standing.AGREED, Age.Standing.DECIDED}:
        return Progress.AGED
    if standing == Age.Standing.ONE_READER:
        return Progress.ONE_READER
    if has_age_as_given:
        return Progress.AGE_AS_GIVEN
    if not has_sample:
        return Progress.MEASURED
    return Progress.RECEIVED if is_received else Progress.LOGGED


def refresh_progress(fish_ids: Iterable[int]) -> None:
    """Set `Fish.progress` anew from the vial and the age; call it in the same transaction.

    It is worked out from other rows that have their history, so it makes none itself.
    """
    changed: dict[Progress, list[int]] = {}
    for pk, now in find_stale_progress(Fish.objects.filter(pk__in=list(fish_ids))):
        changed.setdefault(now, []).append(pk)
    for progress, pks in changed.items():
        Fish.objects.filter(pk__in=pks).update(progress=progress)
        note_rows(Fish, pks, lake="lake")


def find_stale_progress(fish: models.QuerySet[Fish]) -> Iterator[tuple[int, Progress]]:
    """Yield those of the fish whose `progress` is not what its facts say, and what they say."""
    rows = fish.values_list(
        "pk",
        "progress",
        "withdrawn",
        "vial__received_at",
        "vial__state",
        "vial__content",
        "age__standing",
        "age_as_given",
    )
    for pk, before, withdrawn, received_at, state, content, standing, given in rows:
        now = _progress(
            has_sample=_is_in_hand(state, content),
            is_received=received_at is not None,
            standing=None if withdrawn else standing,
            has_age_as_given=given is not None,
        )
        if now != before:
            yield pk, now


def out_of_dried_trays(vial: Vial, state: Vial.State) -> Vial.State:
    """Return the state, or cleared for one that was clearing in trays that are dried by now."""
    places = TrayPlace.objects.filter(vial=vial)
    if state != Vial.State.CLEARING or not places.exists():
        return state
    is_in_tray = places.filter(tray__dried_on__isnull=True).exists()
    return state if is_in_tray else Vial.State.READY


def state_before(vial: Vial) -> Vial.State:
    """Return the state that a void or lost vial goes back to.

    It follows from what is known now, for a log may have come in meanwhile.
    """
    if vial.received_at is not None:
        earlier = (
            vial.history.exclude(state__in=OUT_OF_USE)
            .order_by("-history_date", "-history_id")
            .values_list("state", flat=True)
            .first()
        )
        return out_of_dried_trays(vial, Vial.State(earlier or Vial.State.RECEIVED))
    if Fish.objects.filter(vial=vial).exists():
        return Vial.State.USED
    return Vial.State.ISSUED if vial.issued_to_id else Vial.State.PRINTED
