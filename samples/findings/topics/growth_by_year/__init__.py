"""Growth by calendar year, from measured rings: a flood or a drought shows."""

from samples.findings.parts import Part
from samples.findings.topics.topic import Topic

TOPIC = Topic(
    package=__name__,
    slug="by-year",
    title="Growth by calendar year",
    place=80,
    guess=(0.02, 14),
    reads=frozenset({Part.RINGS}),
    is_of_one_species=True,
    more_filters=("intercept",),
    method=(
        "Lengths at earlier ages were back-calculated from annulus radii (Campana 1990). Growth "
        "of each calendar year was compared within age and arm (Weisberg 1993). The growth "
        "after the last annulus is incomplete and excluded."
    ),
    sources=(
        "Campana, S. E. 1990. Canadian Journal of Fisheries and Aquatic Sciences 47:2219-2227.",
        "Weisberg, S. 1993. Canadian Journal of Fisheries and Aquatic Sciences 50:1229-1237.",
    ),
)
