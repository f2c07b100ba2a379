"""Age-length key: which ages fish of a length have, and what ages the measured fish are."""

from samples.findings.parts import Part
from samples.findings.topics.topic import Topic

TOPIC = Topic(
    package=__name__,
    slug="ages",
    title="Age-length key",
    place=20,
    guess=(0.05, 80),
    reads=frozenset({Part.PAIRS}),
    more_filters=("true_ages",),
    method=(
        "An age-length key was built from the aged fish by length bin, and the measured fish "
        "were given ages by it (Quinn and Deriso 1999). Measured fish of lengths without an "
        "aged fish are reported apart. Intervals resample trips, and fish within trips (Efron "
        "and Tibshirani 1993)."
    ),
    sources=(
        (
            "Efron, B., and R. J. Tibshirani. 1993. An introduction to the bootstrap. Chapman and "
            "Hall, New York."
        ),
        (
            "Quinn, T. J., and R. B. Deriso. 1999. Quantitative fish dynamics. Oxford University "
            "Press, New York."
        ),
    ),
)
