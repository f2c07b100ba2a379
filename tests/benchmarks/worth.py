"""Worth of one more aged fish: against adding it and estimating again, and in simulated seasons.

In a season of a lake whose ages are known, a few fish of each bin are read first; then more, by
worth, the same number in each bin, or in proportion to the arm's length sample. What counts is
the real error that is left: how many fish by worth leave as little as so many by the others.
"""

import numpy as np

from samples.management.timing import BenchmarkResult, in_turn
from samples.science.worth import (
    arm_precision,
    divide_by_length_shares,
    divide_equally,
    limit_answer,
    plan_by_worth,
    survey_of,
    worth_of_cells,
)
from tests.science.lake_of_arms import (
    AGES,
    BIN_MM,
    EDGES,
    draw_ages,
    draw_measured,
    lake_of_arms,
    survey_of_counts,
)
from tests.science.limit_by_force import QUESTION, drops_by_adding, small_survey

NAME = "worth"
PLANNED = [2, 3, 4]
DRAWS, TIMES_FASTER = 50, 100
LAKES, BEGUN, OTHERS, MOST, STEP = 100, 3, 150, 200, 10
MEASURED = 600
FEWER_PERCENT = 20
WAYS = ["by worth", "by equal shares", "in proportion to the length sample"]
WEIGHTS = {"age shares": 0.0, "mean length at ages 2-4": 1.0, "both": 0.5}


def run():
    return [
        _brute_force(),
        _limit_by_force(),
        *(one for pair in WEIGHTS.items() for one in _seasons(*pair)),
    ]


def _season(rng):
    lake = lake_of_arms(rng)
    measured = draw_measured(rng, lake, MEASURED)
    counts = draw_ages(rng, lake, np.minimum(measured, BEGUN))
    return lake, measured, counts


def _brute_force():
    _, measured, counts = _season(np.random.default_rng(1))
    survey = survey_of_counts(counts, measured)

    def ours():
        return worth_of_cells(survey, ages_planned=PLANNED).taken_off(1, lengths_weight=0)

    def brute(draws=DRAWS):
        return _added(np.random.default_rng(2), survey, measured, draws)

    first = np.argsort(-ours().ravel())[:10]
    if (same := np.isin(first, np.argsort(-brute(400).ravel())[:10]).sum()) < 9:
        raise RuntimeError(f"only {same} of the ten first cells agree")
    mine, floor = in_turn(ours, brute, rounds=5, warm=1)
    return BenchmarkResult(
        f"{NAME}: {counts.shape[0] * counts.shape[1]} cells priced, against adding a fish and "
        f"estimating again, {DRAWS} draws each; {same} of the ten first cells are the same",
        mine,
        floor,
        "ms",
        f"at most 1/{TIMES_FASTER} of it",
        met=mine * TIMES_FASTER <= floor,
    )


def _limit_by_force():
    """Price the bins of one arm by the length limit's answer, and by fitting all again."""
    counts, of_bin, truth, middles, ages = small_survey(np.random.default_rng(5), each=30)
    survey = survey_of(
        counts[None],
        (400 * of_bin)[None],
        truth[None],
        mid_lengths=middles,
        ages=ages,
        prior_weight=2,
    )
    alpha = survey.shares[0] * survey.information[0][:, None]

    def ours():
        answer = limit_answer(survey, 0, QUESTION)
        return answer.from_cells / (answer.information + 1)

    def brute():
        return drops_by_adding(alpha, of_bin, middles, ages)[1]

    first, others = (np.argsort(-one)[:3].tolist() for one in (ours(), brute()))
    if first != others:
        raise RuntimeError(f"the first bins for a length limit differ: {first} and {others}")
    mine, floor = in_turn(ours, brute, rounds=2, warm=1)
    return BenchmarkResult(
        f"{NAME}: 5 bins of an arm priced by the width of a length limit's answer, against adding "
        "a fish and fitting again; the three first bins are the same, in order",
        mine,
        floor,
        "ms",
        "at most 1/10 of it",
        met=mine * 10 <= floor,
    )


def _added(rng, survey, measured, draws):
    """Return what one more fish of each cell takes off the variance of age shares, by adding it."""
    arms, bins, ages = survey.shares.shape
    found = np.zeros((arms, bins))
    total = measured.sum(axis=1)
    for arm in range(arms):
        alpha = survey.shares[arm] * survey.information[arm][:, None]
        of_bin = measured[arm] / total[arm]
        now = _variance(alpha, of_bin, total[arm])
        for place in range(bins):
            for age in rng.choice(ages, draws, p=survey.shares[arm, place]):
                more = alpha.copy()
                more[place, age] += 1
                found[arm, place] += (now - _variance(more, of_bin, total[arm])) / draws
    return found


def _variance(alpha, of_bin, n):
    behind = alpha.sum(axis=1, keepdims=True)
    r = alpha / behind
    p = of_bin @ r
    from_ages = of_bin[:, None] ** 2 * r * (1 - r) / (behind + 1)
    return (from_ages + of_bin[:, None] * (r - p) ** 2 / n).sum()


def _seasons(words, weight):
    budgets = np.arange(0, MOST + 1, STEP)
    errors = np.zeros((len(WAYS), budgets.size, 2))
    for seed in range(LAKES):
        errors += _errors(np.random.default_rng(seed), budgets, weight)
    # Shares and lengths have units of their own: each as a part of what it was before.
    parts = errors / errors[0, 0]
    left = (1 - weight) * parts[..., 0] + weight * parts[..., 1]
    for way, others in zip(WAYS[1:], left[1:], strict=True):
        aim = others[OTHERS // STEP]
        needed = float(np.interp(-aim, -np.minimum.accumulate(left[0]), budgets))
        fewer = 100 * (1 - needed / OTHERS)
        yield BenchmarkResult(
            f"{NAME}: fish by worth that leave as little error of {words} as {OTHERS} {way}; "
            f"{fewer:.0f}% fewer in {LAKES} simulated seasons, error down by "
            f"{100 * (1 - aim**0.5):.0f}%",
            needed,
            OTHERS,
            "fish",
            f"at least {FEWER_PERCENT}% fewer",
            met=fewer >= FEWER_PERCENT,
        )


def _errors(rng, budgets, weight):
    """Return squared errors of shares and of mean lengths, by way and budget."""
    lake, measured, counts = _season(rng)
    begun = counts.sum(axis=2)
    limits = measured - begun
    worth = worth_of_cells(survey_of_counts(counts, measured), ages_planned=PLANNED)
    plans = (
        plan_by_worth(worth, budget=MOST, can_be_had=limits, lengths_weight=weight),
        divide_equally(begun, budget=MOST, can_be_had=limits),
        divide_by_length_shares(begun, measured / MEASURED, budget=MOST, can_be_had=limits),
    )
    truth = _means(lake)
    found = np.zeros((len(WAYS), budgets.size, 2))
    # Fish of a cell come in one order, whichever plan asks for them.
    stream = [[rng.choice(AGES.size, MOST, p=one) for one in arm] for arm in lake.shares]
    for which, plan in enumerate(plans):
        for place, budget in enumerate(budgets):
            more = plan.first(int(budget))
            read = counts + [
                [np.bincount(cell[:n], minlength=AGES.size) for cell, n in zip(*row, strict=True)]
                for row in zip(stream, more, strict=True)
            ]
            known = arm_precision(survey_of_counts(read, measured), ages_planned=PLANNED)
            shares = (known.shares - lake.age_shares) ** 2
            lengths = known.length_weights * (known.mean_length - truth) ** 2
            found[which, place] = shares.sum(), lengths.sum()
    return found


def _means(lake):
    of_all = lake.length_shares[:, :, None] * lake.shares
    return (of_all * (EDGES + BIN_MM / 2)[None, :, None]).sum(axis=1) / lake.age_shares
