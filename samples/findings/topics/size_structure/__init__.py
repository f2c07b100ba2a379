"""Size structure from nets, length frequencies by way of capture, and condition."""

from samples.findings.topics.topic import Topic

TOPIC = Topic(
    package=__name__,
    slug="sizes",
    title="Size structure",
    place=70,
    guess=(0.02, 9),
    method=(
        "Size structure is given as proportional size distribution (PSD) of stock-length fish "
        "from nets, by the length categories of Gabelhouse (1984) and the terms of Guy et al. "
        "(2007). Intervals are Wilson's, for the effective number of fish (Korn and Graubard "
        "1998)."
    ),
    sources=(
        "Gabelhouse, D. W. 1984. North American Journal of Fisheries Management 4:273-285.",
        "Guy, C. S., and coauthors. 2007. Fisheries 32:348.",
        "Korn, E. L., and B. I. Graubard. 1998. Survey Methodology 24:193-201.",
    ),
)
