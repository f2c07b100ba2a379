"""The terms of the trade that the screens use: what each means in short, and who says so.

A page links a term where it stands first, with ``{% term "psd" %}``; the page Terms lists all of
them. A key is the term's anchor there, so it stays when the wording is improved.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

# Where a comment says "from memory", the citation was looked for and not found as a whole.
COMMON_PRACTICE = "Common practice"
OF_THIS_APP = "As used in Earstone"


@dataclass(frozen=True, slots=True)
class Term:
    """One term, with the symbol or short form that the trade writes, if any."""

    key: str
    name: str
    meaning: str
    source: str = COMMON_PRACTICE


_RICKER = "Ricker (1975), Bull. Fish. Res. Board Can. 191"
# Title and authors looked up; the year is from memory.
_GLOSSARY = "Kalish et al. (1995), Glossary for otolith studies"
_KETCHEN = "Ketchen (1950), Trans. Am. Fish. Soc. 79:205-212"  # from memory
_CAMPANA = "Campana (2001), J. Fish Biol. 59:197-242"
_ANGLER_SURVEYS = "Pollock, Jones & Brown (1994), Angler Survey Methods, Am. Fish. Soc."
_CATEGORIES = "Gabelhouse (1984), N. Am. J. Fish. Manage. 4:273-285"

GROUPS: Mapping[str, tuple[Term, ...]] = MappingProxyType(
    {
        "Sampling": (
            Term(
                "arm",
                "Arm, reach",
                "An arm is a named part of the lake; a reach is a part of an arm. No finer "
                "location is kept.",
                OF_THIS_APP,
            ),
            Term(
                "target",
                "Lake target, arm minimum",
                "The aged fish needed in a length bin: from the whole lake, and at least from "
                "each arm.",
                OF_THIS_APP,
            ),
            Term(
                "status",
                "Logged, received, aged",
                "Logged: recorded with a vial. Received: the vial is at the office. Aged: the "
                "otolith has an age.",
                OF_THIS_APP,
            ),
            Term(
                "length-bin",
                "Length bin",
                "A range of total lengths counted together, such as 10.0 to 10.9 in.",
            ),
            Term(
                "length-stratified-subsample",
                "Length-stratified subsample",
                "A set number of fish aged per length bin out of a larger measured sample. Mean "
                "age and growth need the measured sample too.",
                _KETCHEN,
            ),
            Term(
                "total-length",
                "Total length (TL)",
                "Snout to tip of the tail, mouth closed, tail lobes pinched together.",
                "Anderson & Neumann (1996), in Fisheries Techniques, Am. Fish. Soc.",
            ),
            Term(
                "cpue",
                "Catch per unit effort (CPUE)",
                "Fish caught divided by effort, such as fish per net-night.",
                # Authors and year looked up; the book is from memory.
                "Hubert & Fabrizio (2007), in Analysis and Interpretation of Freshwater "
                "Fisheries Data, Am. Fish. Soc.",
            ),
            Term(
                "creel-survey",
                "Creel survey (access, roving)",
                "Interviews of anglers for effort, catch and harvest. Access: at the ramp, after "
                "the trip. Roving: on the water, during it.",
                _ANGLER_SURVEYS,
            ),
            Term(
                "completed-trip",
                "Completed trip",
                "An angler interviewed after fishing ended, so catch and hours are final.",
                _ANGLER_SURVEYS,
            ),
            Term(
                "high-grading",
                "High-grading",
                "Releasing smaller fish to keep larger ones within the daily limit. Donated fish "
                "are then larger than the catch.",
            ),
        ),
        "Otoliths and ages": (
            Term(
                "otolith",
                "Otolith",
                "Ear bone of a fish. It grows through life and shows one annulus a year.",
                _GLOSSARY,
            ),
            Term(
                "annulus",
                "Annulus",
                "The yearly growth mark of an otolith; plural annuli.",
                _GLOSSARY,
            ),
            Term(
                "check",
                "Check (false annulus)",
                "A mark that looks like an annulus but is not yearly, such as from stress or "
                "spawning. It is not counted.",
                _GLOSSARY,
            ),
            Term("core", "Core", "The center of the otolith, where growth began.", _GLOSSARY),
            Term(
                "margin",
                "Margin code",
                "New growth beyond the last annulus: 1 annulus at the edge, 2 less than 1/3 of "
                "the last full increment, 3 1/3 to 2/3, 4 more than 2/3.",
                "VanderKooy (ed.), A Practical Handbook for Determining the Ages of Gulf of "
                "Mexico Fishes, Gulf States Marine Fisheries Commission",
            ),
            Term(
                "edge-analysis",
                "Edge analysis",
                "Margin codes by month, which show when the annulus forms.",
                _CAMPANA,
            ),
            Term(
                "birthdate",
                "January 1 birthdate",
                "All fish gain a year on January 1, so age and year class agree whenever a fish "
                "is caught.",
                "VanderKooy (ed.), A Practical Handbook for Determining the Ages of Gulf of "
                "Mexico Fishes, Gulf States Marine Fisheries Commission",
            ),
            Term(
                "crack-and-burn",
                "Crack and burn",
                "The otolith is broken across the core and charred, which darkens the annuli.",
                "Christensen (1964), ICES J. Mar. Sci. 29:73-81",  # from memory
            ),
            Term("age-0", "Age 0", "A fish in the year it hatched; young of year."),
            Term("year-class", "Year class", "All fish hatched in one year; also cohort."),
            Term(
                "consensus-age",
                "Consensus age",
                "The age that two readers agree on, or that the biologist decides after a "
                "concert read.",
            ),
            Term(
                "concert-read",
                "Concert read",
                "Readers look at an otolith together to settle its age.",
            ),
            Term(
                "precision",
                "Precision (mean CV, APE)",
                "How closely repeated readings agree. Mean CV: mean coefficient of variation. "
                "APE: average percent error.",
                "Beamish & Fournier (1981), Can. J. Fish. Aquat. Sci. 38:982-983; Chang (1982), "
                "39:1208-1210",
            ),
            Term(
                "bias",
                "Reader bias",
                "One reader gives consistently higher or lower ages than another.",
                "Campana, Annand & McMillan (1995), Trans. Am. Fish. Soc. 124:131-138",
            ),
            Term(
                "validation",
                "Validation, known-age fish",
                "Proof that counts are true ages, such as from fish stocked at a known age. "
                "Precision is not validation.",
                _CAMPANA,
            ),
        ),
        "Growth and size": (
            Term(
                "length-at-age",
                "Mean length at age",
                "Mean total length of the fish of one age, weighted to the measured sample.",
                "Bettoli & Miranda (2001), N. Am. J. Fish. Manage. 21:425-428",
            ),
            Term(
                "von-bertalanffy",
                "Von Bertalanffy curve (Linf, K, t0)",
                "Length against age. Linf: mean maximum length. K: how fast length approaches "
                "Linf. t0: age at length zero.",
                "von Bertalanffy (1938), Human Biology 10:181-213",
            ),
            Term(
                "age-length-key",
                "Age-length key",
                "Share of each age within each length bin. It assigns ages to measured fish.",
                _KETCHEN,
            ),
            Term(
                "back-calculated-length",
                "Back-calculated length",
                "Length at an earlier age, estimated from the radius of that annulus.",
                "Francis (1990), J. Fish Biol. 36:883-902",
            ),
            Term(
                "psd",
                "PSD, PSD-P, PSD-M, PSD-T",
                "Size structure: percent of stock-length fish that are also quality, preferred, "
                "memorable or trophy length. Formerly RSD for P, M and T.",
                f"{_CATEGORIES}; Guy et al. (2007), Fisheries 32:348",
            ),
            Term(
                "relative-weight",
                "Relative weight (Wr)",
                "Weight as a percent of the standard weight for that length.",
                "Murphy, Brown & Springer (1990), N. Am. J. Fish. Manage. 10:85-97",
            ),
            Term(
                "year-class-strength",
                "Year-class strength",
                "How abundant a year class is against the number expected from a catch curve.",
                "Maceina (1997), Fish. Res. 32:115-121",
            ),
            Term(
                "ci",
                "95% CI",
                "Range that holds the true value in 95 of 100 samples like this one.",
            ),
        ),
        "Mortality and limits": (
            Term(
                "total-mortality",
                "Total mortality (Z, A)",
                "All deaths in a year. Z: instantaneous rate. A = 1 - exp(-Z): share that dies.",
                _RICKER,
            ),
            Term(
                "natural-mortality",
                "Natural mortality (M)",
                "Deaths from causes other than fishing, as an instantaneous yearly rate.",
                _RICKER,
            ),
            Term(
                "fishing-mortality",
                "Fishing mortality (F)",
                "Deaths from fishing, as an instantaneous yearly rate. F = Z - M.",
                _RICKER,
            ),
            Term(
                "exploitation",
                "Exploitation (u)",
                "Share of the fish that anglers harvest in a year. u = F A / Z.",
                _RICKER,
            ),
            Term(
                "hooking-mortality",
                "Hooking mortality",
                "Share of released fish that die of being caught; also release mortality.",
                "Bartholomew & Bohnsack (2005), Rev. Fish Biol. Fish. 15:129-154",
            ),
            Term(
                "catch-curve",
                "Catch curve",
                "Number of fish against age. Its slope past the fully recruited age estimates Z.",
                "Maceina & Bettoli (1998), N. Am. J. Fish. Manage. 18:998-1003",
            ),
            Term(
                "fully-recruited-age",
                "Fully recruited age",
                "Youngest age that the gear or anglers catch fully: the most numerous age, or "
                "the next.",
                "Smith et al. (2012), N. Am. J. Fish. Manage. 32:956-967",
            ),
            Term(
                "maximum-age",
                "Maximum age (tmax)",
                "Oldest age known from a lightly fished population. M can be estimated from it.",
                "Then, Hoenig, Hall & Hewitt (2015), ICES J. Mar. Sci. 72:82-92",
            ),
            Term(
                "reporting-rate",
                "Reporting rate, high-reward tag",
                "Percent of tags caught that anglers report. Tags with a high reward estimate it.",
                "Pollock, Hoenig, Hearn & Calingaert (2001), N. Am. J. Fish. Manage. 21:521-532",
            ),
            Term(
                "tag-loss",
                "Tag loss, tag retention",
                "Percent of tagged fish that lose, or keep, their tag within a year.",
                "Wetherall (1982), Fish. Bull. (U.S.) 80:687-701",  # from memory
            ),
            Term(
                "mll",
                "Minimum length limit (MLL)",
                "Shortest total length that anglers may keep.",
            ),
            Term(
                "sublegal",
                "Sublegal",
                "Shorter than the minimum length limit, so it must be released.",
            ),
            Term(
                "daily-limit",
                "Daily limit, possession limit",
                "Most fish an angler may keep in a day, or have at one time.",
            ),
            Term(
                "yield-per-recruit",
                "Yield per recruit",
                "Weight harvested over life for each fish that enters the fishery.",
                "Beverton & Holt (1957), On the Dynamics of Exploited Fish Populations",
            ),
        ),
    }
)
TERMS: Mapping[str, Term] = MappingProxyType(
    {term.key: term for terms in GROUPS.values() for term in terms}
)

# The terms that a finding rests on, by its address: what it says is written by the calculation.
OF_FINDINGS: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "length-at-age": ("length-at-age", "ci", "year-class"),
        "ages": ("age-length-key", "length-bin", "ci"),
        "growth": ("von-bertalanffy", "ci", "high-grading"),
        "readers": ("precision", "bias", "validation"),
        "deaths": ("total-mortality", "catch-curve", "fully-recruited-age", "natural-mortality"),
        "year-classes": ("year-class-strength", "catch-curve"),
        "sizes": ("psd", "relative-weight", "cpue"),
        "net-catch": ("cpue", "ci"),
        "length-samples": ("length-bin", "high-grading"),
        "by-year": ("back-calculated-length", "annulus"),
        "length-limit": ("mll", "exploitation", "natural-mortality", "yield-per-recruit"),
        "edge": ("edge-analysis", "margin"),
    }
)
