"""The growth clock: a fish's age in growing seasons, standing still in winter."""

from datetime import date

from samples.rules.ageing import year_class_of
from samples.rules.season_days import SpeciesCalendar


def growth_clock(age: int, caught_on: date, calendar: SpeciesCalendar) -> float:
    """Return completed growing seasons and the part of the present one that has passed.

    The year of hatching holds the first season, from hatching (or from the start of growth, if
    that is later) to the end of growth. It counts as one whole season however short it was, so
    the clock shows 0 at hatching and 1 through the first winter. Every later season runs from the
    start to the end of growth. A fish of age a has a completed seasons behind it on 1 January:
    its birthday moves the age on, and the clock stands still, since the season that made up the
    difference ended in autumn.

    Age is by the 1 January birthday, as the ageing rule gives it.

    :raises CannotAge: if the age is negative, or the fish would not have hatched by the date
    """
    year_class = year_class_of(age, caught_on, calendar)
    starts = calendar.growth_starts.on(caught_on.year)
    ends = calendar.growth_ends.on(caught_on.year)
    if year_class == caught_on.year:
        starts = max(starts, calendar.hatch.on(year_class))
    passed = (caught_on - starts).days / (ends - starts).days
    return age + min(max(passed, 0.0), 1.0)
