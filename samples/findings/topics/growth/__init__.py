"""Growth curves side by side over the seasons, their intervals, and how groups differ."""

from samples.findings.parts import Part
from samples.findings.topics.topic import Asks, Topic

TOPIC = Topic(
    package=__name__,
    slug="growth",
    title="Growth",
    place=30,
    guess=(0.15, 75),
    asks=Asks.ALL_SEASONS,
    reads=frozenset({Part.ENTERED}),
    more_filters=("true_ages",),
    on_poster=True,
    place_in_summary=2,
    method=(
        "Von Bertalanffy curves were fitted to mean lengths by season and age of all groups "
        "together, with an effect for each growth year (von Bertalanffy 1938; Weisberg et al. "
        "2010). Curves and parameters are those of an average year. Intervals hold growth years "
        "and trips. Curves are not extrapolated beyond the ages of the fish."
    ),
    sources=(
        "Kimura, D. K. 1980. Fishery Bulletin (U.S.) 77:765-776.",
        "von Bertalanffy, L. 1938. Human Biology 10:181-213.",
        (
            "Weisberg, S., G. Spangler, and L. S. Richmond. 2010. Canadian Journal of Fisheries "
            "and Aquatic Sciences 67:269-277."
        ),
    ),
)
