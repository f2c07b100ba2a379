"""When the next nightly backup is due."""

from datetime import UTC, datetime, time, timedelta

RETRY_AFTER = timedelta(minutes=10)
A_DAY = timedelta(days=1)


def next_run(at: time, *, now: datetime, newest_made_at: datetime | None) -> datetime:
    """Return when to back up next: at that time of the day in UTC, or now where one was missed.

    A machine that slept through the night catches up as soon as it runs again.
    """
    last_due = datetime.combine(now.astimezone(UTC).date(), at, tzinfo=UTC)
    if last_due > now:
        last_due -= A_DAY
    if newest_made_at is None or newest_made_at < last_due:
        return now
    return last_due + A_DAY
