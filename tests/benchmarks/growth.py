"""Growth: ten thousand resamples of a curve, whole ages and decimal ones.

Two floors, measured in turn with ours: a loop of SciPy's curve_fit over the same resamples,
started at the answer; and drawing the resamples alone. The answers must be equal.
"""

import numpy as np
from scipy.optimize import curve_fit

from samples.management.timing import BenchmarkResult, in_turn
from samples.science.growth.fit import fit_curve
from samples.science.growth.resample import AT_ONCE, _Cells

NAME = "growth"
FISH = 300
RESAMPLES = 10_000
# The loop is slow: a part of it is timed and scaled up.
LOOPED = 400
TIMES_FASTER, TIMES_DRAWING = 12, 4
EQUAL = 1e-5
ROUNDS = 9


def run():
    return [result for decimal in (False, True) for result in _measured(decimal)]


def _measured(decimal):
    rng = np.random.default_rng(1)
    times = rng.integers(1, 9, FISH) + rng.uniform(0, 1, FISH) * decimal
    lengths = np.round(
        320 * (1 - np.exp(-0.4 * (times + 0.1))) * (1 + 0.08 * rng.normal(size=FISH))
    )
    whole = fit_curve(times, lengths).curve
    cells = _Cells.of(times, lengths, np.ones(FISH), np.arange(FISH))
    start = (whole.linf_mm, whole.k, whole.t0)
    counts = cells.draw(np.random.default_rng(2), LOOPED).astype(int)
    exact = _loop(cells, counts, start, xtol=1e-14, ftol=1e-14, gtol=1e-14)
    _refuse_unless_equal(cells.fit(counts.astype(float), whole), exact)

    def draw():
        rng = np.random.default_rng(2)
        return [cells.draw(rng, AT_ONCE) for _ in range(RESAMPLES // AT_ONCE)]

    def ours():
        rng = np.random.default_rng(2)
        for _ in range(RESAMPLES // AT_ONCE):
            cells.fit(cells.draw(rng, AT_ONCE), whole)

    mine, drawing = in_turn(ours, draw, rounds=ROUNDS, warm=1)
    _, loop = in_turn(lambda: None, lambda: _loop(cells, counts, start), rounds=3, warm=0)
    loop *= RESAMPLES / LOOPED
    what = f"{NAME}: {RESAMPLES} resamples of {FISH} fish, {'decimal' if decimal else 'whole'} ages"
    return [
        BenchmarkResult(
            f"{what}, against a loop of curve_fit",
            mine,
            loop,
            "ms",
            f"at most 1/{TIMES_FASTER} of it",
            met=mine * TIMES_FASTER <= loop,
        ),
        BenchmarkResult(
            f"{what}, against drawing alone",
            mine,
            drawing,
            "ms",
            f"at most {TIMES_DRAWING} times it",
            met=mine <= TIMES_DRAWING * drawing,
        ),
    ]


def _curve(time, whole, rate, zero):
    return whole * (1 - np.exp(-rate * (time - zero)))


def _loop(cells, counts, start, **tight):
    found = []
    for row in counts:
        drawn = np.repeat(np.arange(row.size), row)
        values, _ = curve_fit(_curve, cells.time[drawn], cells.length[drawn], p0=start, **tight)
        found.append(values)
    return np.array(found).T


def _refuse_unless_equal(ours, loop):
    """Compare Linf and K relatively, t0 in years: near nought a ratio says nothing."""
    apart = max(np.max(np.abs(ours[:2] / loop[:2] - 1)), np.max(np.abs(ours[2] - loop[2])))
    if apart > EQUAL:
        raise RuntimeError(f"the answers differ by {apart:.1e}: this measured something else")
