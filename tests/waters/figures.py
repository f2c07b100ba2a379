"""One figure of each kind from elsewhere, for tests that need a row to look at."""

from datetime import date
from decimal import Decimal

from samples.models import CreelFigures, NaturalDeath, ReleaseDeath, TagReturns
from tests.people import INCH, NOW

TAGS = {
    "tags_out": 200,
    "returned": 45,
    "reporting_least": Decimal("0.5"),
    "reporting_most": Decimal("0.8"),
    "tags_kept": Decimal("0.95"),
}
CREEL = {
    "angler_hours": 21_400,
    "caught": 17_100,
    "released": Decimal("0.42"),
    "smallest_kept_hundredths_mm": 9 * INCH,
}

# The calendar of a species as its form is typed.
SPECIES_DAYS = {
    "annulus_starts": "1 April",
    "annulus_ends": "30 June",
    "hatch": "15 May",
    "growth_starts": "15 April",
    "growth_ends": "15 October",
}


def make_figures(lake, species, by):
    said = {
        "lake": lake,
        "species": species,
        "source": "Tarrow Basin fisheries survey, 2025",
        "as_of": date(2025, 12, 31),
        "entered_by": by,
        "entered_at": NOW,
    }
    shares = {"least": Decimal("0.24"), "middle": Decimal("0.3"), "most": Decimal("0.45")}
    placed = {"season": lake.seasons.first(), "arm": lake.arms.first(), **said}
    return {
        "natural_death": NaturalDeath.objects.create(
            oldest_years=12, arm=lake.arms.first(), **shares, **said
        ),
        "release_death": ReleaseDeath.objects.create(when="Spring", **shares, **said),
        "tag_returns": TagReturns.objects.create(**TAGS, **placed),
        "creel_figures": CreelFigures.objects.create(**CREEL, **placed),
    }
