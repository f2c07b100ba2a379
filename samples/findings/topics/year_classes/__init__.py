"""Year classes: which are strong or weak over the seasons, and who makes up a season's fish."""

from samples.findings.parts import Part
from samples.findings.topics.topic import Asks, Topic

TOPIC = Topic(
    package=__name__,
    slug="year-classes",
    title="Year classes",
    place=60,
    guess=(0.15, 110),
    asks=Asks.ALL_SEASONS,
    reads=frozenset({Part.PAIRS}),
    is_of_one_species=True,
    method=(
        "Year-class strength was estimated over all seasons from one model of year classes and "
        "mortality (Catalano et al. 2009). A class is called strong or weak where its 95% "
        "interval excludes 1, five aged fish were expected and two seasons were sampled. "
        "Residuals of catch curves are shown for comparison (Maceina 1997)."
    ),
    sources=(
        (
            "Catalano, M. J., A. C. Dutterer, W. E. Pine, and M. S. Allen. 2009. North American "
            "Journal of Fisheries Management 29:295-305."
        ),
        "Maceina, M. J. 1997. Fisheries Research 32:115-121.",
    ),
)
