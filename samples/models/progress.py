"""How far a fish's sample has come: the one place that says so."""

from collections.abc import Iterable

from samples.models.age import Age
from samples.models.fish import Fish, Progress
from samples.models.vial import Vial


def progress_of(vial: Vial | None, *, standing: str | None = None, given: bool = False) -> Progress:
    """Say how far the sample has come of a fish with this vial and this age."""
    if standing in {Age.Standing.AGREED, Age.Standing.DECIDED}:
        return Progress.AGED
    if standing == Age.Standing.ONE_READER:
        return Progress.ONE_READER
    if given:
        return Progress.AGE_AS_GIVEN
    if vial is None:
        return Progress.MEASURED
    return Progress.LOGGED if vial.received_at is None else Progress.RECEIVED


def refresh_progress(fish_ids: Iterable[int]) -> None:
    """Set `Fish.progress` anew from the vial and the age; call it in the same transaction.

    It is worked out from other rows that have their history, so it makes none itself.
    """
    rows = Fish.objects.filter(pk__in=list(fish_ids)).select_related("vial", "age", "age_as_given")
    changed = []
    for fish in rows:
        age = getattr(fish, "age", None)
        progress = progress_of(
            fish.vial,
            standing=None if age is None or fish.withdrawn else age.standing,
            given=hasattr(fish, "age_as_given"),
        )
        if progress != fish.progress:
            fish.progress = progress
            changed.append(fish)
    Fish.objects.bulk_update(changed, ["progress"])
