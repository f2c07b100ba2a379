"""Who was shown the length of a fish: a reading made afterwards is not blind."""

from datetime import datetime

from samples.models import LengthSeen, User, Vial


def note_length_seen(*, vial: Vial, person: User, now: datetime) -> None:
    """Note that a page showed somebody the length; the first time stays."""
    LengthSeen.objects.get_or_create(vial=vial, person=person, defaults={"seen_at": now})


def has_seen_length(vial: Vial, person: User) -> bool:
    """Return whether a page has shown somebody the length."""
    return LengthSeen.objects.filter(vial=vial, person=person).exists()
