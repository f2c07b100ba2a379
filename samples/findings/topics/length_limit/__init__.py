"""The page: words first, figures second, what it rests on third."""

from samples.findings.parts import Part
from samples.findings.topics.topic import Asks, Topic

TOPIC = Topic(
    package=__name__,
    slug="length-limit",
    title="Length limit",
    place=90,
    guess=(1.0, 250),
    asks=Asks.LIMITS,
    reads=frozenset({Part.ENTERED}),
    place_in_summary=1,
    method=(
        "Length limits were compared by yield per recruit (Beverton and Holt 1957; Ricker "
        "1975), with growth, natural mortality, fishing mortality and release mortality drawn "
        "together from their uncertainty. The main cause is the one among slow growth, natural "
        "mortality and harvest that keeps most fish from the limit. Changes are at equilibrium, "
        "and recruitment is taken as constant."
    ),
    sources=(
        (
            "Beverton, R. J. H., and S. J. Holt. 1957. On the dynamics of exploited fish "
            "populations. Fishery Investigations, Series II, 19."
        ),
        "Ricker, W. E. 1975. Bulletin of the Fisheries Research Board of Canada 191.",
        (
            "Taylor, N. G., C. J. Walters, and S. J. D. Martell. 2005. Canadian Journal of "
            "Fisheries and Aquatic Sciences 62:215-223."
        ),
    ),
)
