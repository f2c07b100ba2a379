"""The day it is at a lake: dates are judged there, not where the server stands."""

from datetime import date, datetime
from zoneinfo import ZoneInfo


def local_day(now: datetime, time_zone: str) -> date:
    """Return the calendar day of an instant in a lake's time zone."""
    return now.astimezone(ZoneInfo(time_zone)).date()
