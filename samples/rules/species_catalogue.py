"""Species that a new installation starts with, as data: the biologist changes them freely.

Length ranges are common practice, no source: they only decide when the ramp asks "is this
right?". Greatest ages are published maxima, each with its source beside it: an age above it is
asked about. A hybrid, and a fish whose species nobody is sure of, goes by the longer-lived parent.
FishBase: R. Froese and D. Pauly (eds.), www.fishbase.org, species pages. Spine counts are given
for crappies alone, and only where they tell something (white 5 to 6, black 7 to 8; a hybrid
overlaps both, so it is never asked about).
"""

from dataclasses import dataclass
from typing import Final

_INCH: Final = 2540


@dataclass(frozen=True, slots=True, kw_only=True)
class GroupEntry:
    """Species that are mistaken for one another, and the words of their helper."""

    name: str
    helper_heading: str
    helper_words: str
    helper_caution: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SpeciesEntry:
    """One species, hybrid or "not sure"; parents are named by their codes."""

    code: str
    name: str
    short_name: str
    inches: tuple[int, int]
    max_age_years: int
    scientific_name: str = ""
    kind: str = "species"
    group: str = ""
    parents: tuple[str, str] | None = None
    spines: tuple[int, int] | None = None
    marks: str = ""

    @property
    def hundredths_mm(self) -> tuple[int, int]:
        """Return the shortest and the longest length that is not asked about."""
        shortest, longest = self.inches
        return shortest * _INCH, longest * _INCH


CRAPPIES: Final = "Crappies"
SANDERS: Final = "Walleye and sauger"
TEMPERATE_BASS: Final = "White and striped bass"

GROUPS: Final = (
    GroupEntry(
        name=CRAPPIES,
        helper_heading="Count the spines on the top fin",
        helper_words="Start at the front. The first (arrow) is short and easily missed.",
        helper_caution="A mixed pattern may be a hybrid; the count alone does not tell.",
    ),
    GroupEntry(
        name=SANDERS,
        helper_heading="Look at the front top fin and the tail",
        helper_words=(
            "A white tip on the lower tail and a dark blotch at the rear of the fin: walleye. "
            "Rows of dark spots on the fin and no white tip: sauger."
        ),
        helper_caution="Some of each may be a saugeye; a later cross looks like either parent.",
    ),
    GroupEntry(
        name=TEMPERATE_BASS,
        helper_heading="Feel the back of the tongue",
        helper_words=(
            "One patch of teeth and a deep body: white bass. "
            "Two patches apart, long body, unbroken stripes: striped bass."
        ),
        helper_caution="Two patches close together and broken stripes may be a hybrid.",
    ),
)

# Parents stand before their hybrids.
SPECIES: Final = (
    SpeciesEntry(
        code="white-crappie",
        name="White crappie",
        short_name="White",
        scientific_name="Pomoxis annularis",
        group=CRAPPIES,
        inches=(2, 20),
        max_age_years=10,  # FishBase; from memory
        spines=(5, 6),
        marks="bars down the side",
    ),
    SpeciesEntry(
        code="black-crappie",
        name="Black crappie",
        short_name="Black",
        scientific_name="Pomoxis nigromaculatus",
        group=CRAPPIES,
        inches=(2, 20),
        max_age_years=15,  # FishBase, its reference 46974
        spines=(7, 8),
        marks="speckles, no order",
    ),
    SpeciesEntry(
        code="hybrid-crappie",
        name="Hybrid crappie",
        short_name="Hybrid",
        scientific_name="Pomoxis annularis × P. nigromaculatus",
        kind="hybrid",
        parents=("white-crappie", "black-crappie"),
        group=CRAPPIES,
        inches=(2, 20),
        max_age_years=15,
        spines=(5, 8),
        marks="mixed pattern",
    ),
    SpeciesEntry(
        code="crappie-not-sure",
        name="Crappie, not sure",
        short_name="Not sure",
        kind="not_sure",
        group=CRAPPIES,
        inches=(2, 20),
        max_age_years=15,
    ),
    SpeciesEntry(
        code="walleye",
        name="Walleye",
        short_name="Walleye",
        scientific_name="Sander vitreus",
        group=SANDERS,
        inches=(4, 34),
        max_age_years=29,  # FishBase, its reference 12193
        marks="white tip on the lower tail",
    ),
    SpeciesEntry(
        code="sauger",
        name="Sauger",
        short_name="Sauger",
        scientific_name="Sander canadensis",
        group=SANDERS,
        inches=(4, 28),
        max_age_years=18,  # FishBase; Frimpong and Angermeier 2009, Fisheries 34:487-495
        marks="rows of dark spots on the front top fin",
    ),
    SpeciesEntry(
        code="saugeye",
        name="Saugeye",
        short_name="Saugeye",
        scientific_name="Sander vitreus × S. canadensis",
        kind="hybrid",
        parents=("walleye", "sauger"),
        group=SANDERS,
        inches=(4, 30),
        max_age_years=29,
        marks="dark saddles, streaked fin, white tip faint",
    ),
    SpeciesEntry(
        code="walleye-or-sauger-not-sure",
        name="Walleye or sauger, not sure",
        short_name="Walleye or sauger",
        kind="not_sure",
        group=SANDERS,
        inches=(4, 34),
        max_age_years=29,
    ),
    SpeciesEntry(
        code="yellow-perch",
        name="Yellow perch",
        short_name="Perch",
        scientific_name="Perca flavescens",
        inches=(2, 17),
        max_age_years=12,  # Robillard and Marsden 1996, J. Great Lakes Res. 22:429-435, otoliths
    ),
    SpeciesEntry(
        code="bluegill",
        name="Bluegill",
        short_name="Bluegill",
        scientific_name="Lepomis macrochirus",
        inches=(1, 13),
        max_age_years=11,  # FishBase; from memory
    ),
    SpeciesEntry(
        code="largemouth-bass",
        name="Largemouth bass",
        short_name="Largemouth",
        scientific_name="Micropterus salmoides",
        inches=(2, 28),
        max_age_years=23,  # FishBase, its reference 46974
    ),
    SpeciesEntry(
        code="smallmouth-bass",
        name="Smallmouth bass",
        short_name="Smallmouth",
        scientific_name="Micropterus dolomieu",
        inches=(2, 25),
        max_age_years=26,  # FishBase
    ),
    SpeciesEntry(
        code="channel-catfish",
        name="Channel catfish",
        short_name="Channel cat",
        scientific_name="Ictalurus punctatus",
        inches=(3, 42),
        max_age_years=24,  # FishBase, its reference 59043
    ),
    SpeciesEntry(
        code="white-bass",
        name="White bass",
        short_name="White bass",
        scientific_name="Morone chrysops",
        group=TEMPERATE_BASS,
        inches=(2, 20),
        max_age_years=14,  # Morgan 2006, Morone chrysops, Animal Diversity Web
        marks="one tooth patch, deep body",
    ),
    SpeciesEntry(
        code="striped-bass",
        name="Striped bass",
        short_name="Striped bass",
        scientific_name="Morone saxatilis",
        group=TEMPERATE_BASS,
        inches=(3, 55),
        max_age_years=31,  # Secor 2000, ICES J. Mar. Sci. 57:808-815; from memory
        marks="two tooth patches apart, unbroken stripes",
    ),
    SpeciesEntry(
        code="hybrid-striped-bass",
        name="Hybrid striped bass",
        short_name="Hybrid striped",
        scientific_name="Morone chrysops × M. saxatilis",
        kind="hybrid",
        parents=("white-bass", "striped-bass"),
        group=TEMPERATE_BASS,
        inches=(3, 34),
        max_age_years=31,
        marks="two tooth patches close together, broken stripes",
    ),
    SpeciesEntry(
        code="white-or-striped-bass-not-sure",
        name="White or striped bass, not sure",
        short_name="White or striped",
        kind="not_sure",
        group=TEMPERATE_BASS,
        inches=(2, 55),
        max_age_years=31,
    ),
)
