"""Verdicts on a length limit, held against simulated lakes whose truth is known.

Each lake has growth, natural death, fishing and a kept length of its own. Its fish are caught by
nets and anglers, some are aged, and the page's own code answers from them and from figures that
are as far off as surveys are. What it says is held against the verdict on the true values.
"""

from dataclasses import dataclass, replace
from datetime import date

import numpy as np

from samples.findings.entered import Elsewhere, NaturalInput, TagInput
from samples.findings.limits import LimitSelection
from samples.findings.queries import FindingsOptions, FindingsSelection, Loaded
from samples.findings.queries.choice import TOGETHER
from samples.findings.sample import Sample
from samples.findings.topics.fishing_inputs import CannotJudge
from samples.findings.topics.length_limit.stock import answer, know
from samples.findings.topics.query import TopicQuery
from samples.management.timing import BenchmarkResult
from samples.models import Lake, LakeSpecies, Season, Species
from samples.science.errors import CannotEstimate
from samples.science.length_limit.cases import judge_limit
from samples.science.length_limit.fish_lives import Lives
from samples.science.length_limit.rules import Rule
from samples.science.length_limit.verdict import Lines, Verdict

NAME = "verdicts"
LAKES = 200
# Further lakes where anglers keep fish from just under the limit, so that it can change little.
NEAR_LAKES, NEAR_MM = 50, (246.0, 253.5)
LIMIT_MM = 254.0
LINES = Lines()
OLDEST = 14
MEASURED_OF_NETS, MEASURED_OF_ANGLERS, AGED_OF_EACH = 500, 300, 75
PARTIES = 30
MOST_WRONG_PERCENT = 10
# White crappie, as the page takes them where nothing was entered or weighed.
STANDARD_WEIGHT, PREFERRED_MM, RELEASE_DEATH = (-5.642, 3.332), 250.0, 0.10
REPORTING, REPORTING_KNOWN = 0.62, (0.50, 0.75)


def run():
    outcomes = outcomes_of(LAKES + NEAR_LAKES)
    results = [_result(words, rows) for words, rows in tables(outcomes).items()]
    right = _counts(outcomes)["right"]
    answered = len(outcomes) - _counts(outcomes)["cannot tell"]
    results[-1] = replace(results[-1], name=f"{results[-1].name}; {right} of {answered} answered")
    return results


KINDS = ("right", "cannot tell", "wrong")


@dataclass(frozen=True, slots=True)
class LakeVerdict:
    """What came of one lake: its true verdict, whether tags were put out, and the answer."""

    truth: str
    tags: bool
    kind: str


def outcomes_of(lakes, *, aged=AGED_OF_EACH):
    """Answer for so many lakes; every other one has tags."""
    found = []
    for seed in range(lakes):
        rng = np.random.default_rng(seed)
        truth, tags = Truth(rng, near=seed >= LAKES), seed % 2 == 0
        said = said_of(truth, rng, aged, tags=tags)
        kind = "right" if said is truth.verdict else "wrong"
        kind = "cannot tell" if said is Verdict.CANNOT_TELL else kind
        found.append(LakeVerdict(truth.verdict.value.replace("_", " "), tags, kind))
    return found


def tables(outcomes):
    """Sort outcomes as they are published: by the truth, by tags, and all of them."""
    by_truth = {
        truth: [one for one in outcomes if one.truth == truth]
        for truth in sorted({one.truth for one in outcomes})
    }
    by_tags = {
        words: [one for one in outcomes if one.tags is tags]
        for words, tags in (("tags were put out", True), ("no tags", False))
    }
    return {**by_truth, **by_tags, "all lakes": outcomes}


def _counts(rows):
    return {kind: sum(one.kind == kind for one in rows) for kind in KINDS}


def _result(words, rows):
    counts = _counts(rows)
    answered = counts["right"] + counts["wrong"]
    wrong = round(100 * counts["wrong"] / max(answered, 1), 1)
    told = ", ".join(f"{count} {kind}" for kind, count in counts.items())
    return BenchmarkResult(
        f"{NAME}: {words}: {len(rows)} lakes, {told}",
        wrong,
        MOST_WRONG_PERCENT,
        "% of answers wrong",
        f"at most {MOST_WRONG_PERCENT} % of the answers wrong",
        met=wrong <= MOST_WRONG_PERCENT,
    )


class Truth:
    """A lake: how its fish grow and die, and what a limit would really meet."""

    def __init__(self, rng, *, near=False):
        self.linf = rng.uniform(235, 380)
        self.rate = rng.uniform(0.3, 0.6)
        self.zero = rng.uniform(-0.1, 0.2)
        self.cv = rng.uniform(0.07, 0.12)
        self.natural = rng.uniform(0.25, 0.9)
        self.fishing = float(np.exp(rng.uniform(np.log(0.05), np.log(1.3))))
        self.kept_from = rng.uniform(185, min(245, 0.9 * self.linf))
        if near:
            self.linf = max(self.linf, 300.0)
            self.kept_from = rng.uniform(*NEAR_MM)

    @property
    def verdict(self):
        linf, rate, zero, natural = (
            np.array([value]) for value in (self.linf, self.rate, self.zero, self.natural)
        )
        judged = judge_limit(
            Lives(linf, rate, zero, natural, self.cv, *STANDARD_WEIGHT),
            np.array([self.fishing]),
            Rule(self.kept_from),
            Rule(self.kept_from, LIMIT_MM, RELEASE_DEATH),
            LINES,
            preferred_mm=PREFERRED_MM,
        )
        return judged.likeliest

    def fish(self, rng, count):
        """Draw living fish: ages, clocks and lengths, fished from the kept length on."""
        own = 1 + self.cv * rng.standard_normal(count * 40)
        age = rng.integers(0, OLDEST, own.size)
        clock = age + rng.uniform(0.1, 0.9, own.size)
        length = own * self.linf * -np.expm1(-self.rate * (clock - self.zero))
        share = np.clip(self.kept_from / (own * self.linf), None, 0.999)
        entered = np.where(
            self.kept_from < own * self.linf, self.zero - np.log1p(-share) / self.rate, np.inf
        )
        fished = np.clip(clock - entered, 0, None)
        alive = np.exp(-self.natural * clock - self.fishing * fished)
        kept = (rng.random(own.size) < alive) & (length > 60)
        return age[kept], clock[kept], length[kept]


def said_of(truth, rng, aged, *, tags):
    """Return the page's verdict on a sample of the lake,
    with figures as surveys would have them.
    """
    sample = _sample(truth, rng, aged)
    asked = _asked(sample)
    [group] = asked.stocks()
    entered = _entered(truth, rng, tags=tags)
    try:
        known = know(asked.study, group, asked.choice.limit, entered)
    except (CannotEstimate, CannotJudge):
        return Verdict.CANNOT_TELL
    return answer(known, LINES, LIMIT_MM).verdict


def _sample(truth, rng, aged):
    age, clock, length = truth.fish(rng, 2_000)
    nets = rng.choice(age.size, min(MEASURED_OF_NETS, age.size), replace=False)
    over = np.flatnonzero(length >= truth.kept_from)
    boats = rng.choice(over, min(MEASURED_OF_ANGLERS, over.size), replace=False)
    rows = np.concatenate([nets, boats])
    of_nets = np.arange(rows.size) < nets.size
    read = np.zeros(rows.size, dtype=bool)
    for kind in (of_nets, ~of_nets):
        places = np.flatnonzero(kind)
        read[rng.choice(places, min(aged, places.size), replace=False)] = True
    party = np.where(of_nets, 0, PARTIES) + rng.integers(0, PARTIES, rows.size)
    words = {
        "sex": "F", "how_chosen": "every_fish", "unit": "mm", "as_measured": "", "vial": "",
        "structure": "otolith",
    }  # fmt: skip
    whole = np.zeros(rows.size, dtype=np.int64)
    return Sample(
        fish=np.arange(rows.size),
        species=whole + 1,
        arm=whole + 1,
        season=whole + 1,
        party=party,
        donor=whole - 1,
        method=np.where(of_nets, "trap_net", "angler_kept").astype(object),
        length_mm=np.round(length[rows], 2),
        age=np.where(read, age[rows], -1),
        as_given=np.zeros(rows.size, dtype=bool),
        agreed=read,
        year=whole + 2026,
        month=whole,
        clock=np.where(read, clock[rows], np.nan),
        weight_g=np.zeros(rows.size),
        left_out=[],
        whole_years=False,
        **{name: np.full(rows.size, word, dtype=object) for name, word in words.items()},
    )


def _asked(sample):
    lake = Lake(pk=1, name="Simulated", length_unit="mm")
    kind = Species(pk=1, code="white-crappie", name="White crappie")
    species = LakeSpecies(pk=1, lake=lake, species=kind, bin_width_hundredths_mm=2540)
    season = Season(pk=1, lake=lake, name="2026", starts_on=date(2026, 1, 1))
    choice = FindingsSelection(
        species,
        (season,),
        compare=TOGETHER,
        limit=LimitSelection(limits_mm=(LIMIT_MM,), lines=LINES),
    )
    return TopicQuery(
        FindingsOptions(lake, [season], [species], [], season),
        choice,
        sample,
        Loaded(),
    )


def _entered(truth, rng, *, tags):
    """Enter natural death as far off as a survey is, and tags where they were put out."""
    dies = -np.expm1(-truth.natural)
    middle = float(np.clip(dies * np.exp(rng.normal(0, 0.12)), 0.08, 0.85))
    natural = NaturalInput(
        species=1,
        arm=None,
        arm_name="",
        least=middle - 0.07,
        middle=middle,
        most=middle + 0.09,
        oldest_years=None,
        source="simulated survey",
    )
    return Elsewhere(natural, [_tags(truth, rng)] if tags else [], [], None)


def _tags(truth, rng):
    total = truth.fishing + truth.natural
    taken = truth.fishing / total * -np.expm1(-total)
    return TagInput(
        species=1,
        arm=None,
        arm_name="",
        season="2026",
        tags_out=200,
        returned=int(rng.binomial(200, taken * REPORTING)),
        returned_released=0,
        reporting_least=REPORTING_KNOWN[0],
        reporting_most=REPORTING_KNOWN[1],
        tags_kept=1.0,
        survived_tagging=1.0,
        high_reward_out=0,
        high_reward_returned=0,
        source="simulated tags",
    )
