"""Mean length at age, weighted by measured fish where aged ones were picked by length."""

from samples.findings.topics.topic import Topic

TOPIC = Topic(
    package=__name__,
    slug="length-at-age",
    title="Length at age",
    place=10,
    guess=(0.02, 6),
    method=(
        "Mean total length at age was calculated by whole years of age. Where otoliths were "
        "picked by length, each aged fish counts for the measured fish of its length bin "
        "(Bettoli and Miranda 2001). Intervals are 95% and take fish as independent."
    ),
    sources=(
        (
            "Bettoli, P. W., and L. E. Miranda. 2001. North American Journal of Fisheries "
            "Management 21:425-428."
        ),
    ),
)
