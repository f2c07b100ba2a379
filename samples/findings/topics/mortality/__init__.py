"""Total mortality from the ages of the measured fish, and what it leaves to fishing."""

from samples.findings.parts import Part
from samples.findings.topics.topic import Asks, Topic

TOPIC = Topic(
    package=__name__,
    slug="deaths",
    title="Mortality",
    place=50,
    guess=(0.15, 80),
    asks=Asks.ALL_SEASONS,
    reads=frozenset({Part.ENTERED}),
    method=(
        "Total mortality (Z) was estimated from the ages of the measured fish of each season: "
        "Poisson counts with a level for each season, one Z, and year classes drawn toward the "
        "average. Anglers' fish count from the age at which 95% are long enough to be kept, net "
        "fish from the age after the most numerous. Natural mortality (M) is as entered, and "
        "fishing mortality is F = Z - M. Chapman-Robson estimates are shown for comparison "
        "(Chapman and Robson 1960; Smith et al. 2012)."
    ),
    sources=(
        "Chapman, D. G., and D. S. Robson. 1960. Biometrics 16:354-368.",
        "Ricker, W. E. 1975. Bulletin of the Fisheries Research Board of Canada 191.",
        (
            "Smith, M. W., and coauthors. 2012. North American Journal of Fisheries Management "
            "32:956-967."
        ),
    ),
)
