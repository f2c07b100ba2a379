"""How far readers, and ways of reading, agree."""

from samples.findings.parts import Part
from samples.findings.topics.topic import Topic

TOPIC = Topic(
    package=__name__,
    slug="readers",
    title="Reader agreement",
    place=40,
    guess=(0.03, 16),
    reads=frozenset({Part.PAIRS}),
    is_of_one_species=True,
    method=(
        "Precision is given as the percentage of fish read alike, average percent error (APE; "
        "Beamish and Fournier 1981) and mean coefficient of variation (CV; Chang 1982). Bias "
        "between readers was tested by symmetry of the differences (Evans and Hoenig 1998). "
        "Precision is not accuracy: readers can agree and both be wrong."
    ),
    sources=(
        (
            "Beamish, R. J., and D. A. Fournier. 1981. Canadian Journal of Fisheries and Aquatic "
            "Sciences 38:982-983."
        ),
        "Chang, W. Y. B. 1982. Canadian Journal of Fisheries and Aquatic Sciences 39:1208-1210.",
        "Evans, G. T., and J. M. Hoenig. 1998. Biometrics 54:620-629.",
    ),
)
