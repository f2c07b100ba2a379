"""The security log, and the lock on an address that tries one name after another."""

from datetime import datetime, timedelta

from samples.accounts.client_address import Caller
from samples.models import SecurityEvent, User

Kind = SecurityEvent.Kind

# An office behind one address: a wrong password of each of ten people, six times in an hour.
MOST_FAILURES = 60
FAILURES_WITHIN = timedelta(hours=1)
KEPT_FOR = timedelta(days=400)


def note(
    kind: str,
    *,
    caller: Caller,
    now: datetime,
    person: User | None = None,
    name: str = "",
    done_by: User | None = None,
) -> None:
    """Write a line of the security log, and drop those that are too old."""
    SecurityEvent.objects.create(
        kind=kind,
        at=now,
        name=(name or (person.username if person else ""))[:150],
        address=caller.address,
        network=caller.network,
        person=person,
        done_by=done_by,
    )
    SecurityEvent.objects.filter(at__lt=now - KEPT_FOR).delete()


def is_locked_out(caller: Caller, *, now: datetime) -> bool:
    """Return whether too many wrong passwords came from this address, under whatever names.

    What is refused meanwhile does not count, so the lock ends by itself.
    """
    failures = SecurityEvent.objects.filter(
        network=caller.network, kind=Kind.WRONG_PASSWORD, at__gt=now - FAILURES_WITHIN
    )
    return failures.count() >= MOST_FAILURES
