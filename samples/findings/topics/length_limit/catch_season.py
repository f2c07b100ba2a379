"""The season of the year in which anglers catch most fish, and seasons that a text names."""

import calendar
import re
from collections import Counter

from samples.findings.sample import KEPT_BY_ANGLERS, Sample

SPRING, SUMMER, FALL, WINTER = "spring", "summer", "fall", "winter"
# By month, 1 to 12, on the northern half of the world.
SEASON_OF_MONTH = ["", WINTER, WINTER, *[SPRING] * 3, *[SUMMER] * 3, *[FALL] * 3, WINTER]
SEASON_NAMES = {one: one for one in (SPRING, SUMMER, FALL, WINTER)} | {"autumn": FALL}
MONTHS = ["", *(calendar.month_name[month][:3].lower() for month in range(1, 13))]


def season_of_catch(sample: Sample) -> str:
    """Return the season of the year in which anglers caught most fish; "" where no date says so."""
    months = zip(sample.month.tolist(), sample.method, strict=True)
    caught = Counter(
        SEASON_OF_MONTH[month] for month, how in months if month and how in KEPT_BY_ANGLERS
    )
    return max(sorted(caught), key=lambda name: caught[name], default="")


def seasons_named(words: str) -> set[str]:
    """Return the seasons of the year that a text names, by their names or by months."""
    found = set()
    for word in re.findall("[a-z]+", words.lower()):
        if word in SEASON_NAMES:
            found.add(SEASON_NAMES[word])
        elif (
            len(word) >= 3
            and word[:3] in MONTHS
            and calendar.month_name[MONTHS.index(word[:3])].lower().startswith(word)
        ):
            found.add(SEASON_OF_MONTH[MONTHS.index(word[:3])])
    return found
