"""Length limits: the whole surface of limits, rates of fishing and draws.

Ours is one product of matrices. It is measured against the closed form with the incomplete beta
function over the same surface, itself whole arrays at a time; the answers must be equal.
"""

import numpy as np
from scipy import special

from samples.management.timing import BenchmarkResult, in_turn
from samples.science.length_limit.fish_lives import Lives
from samples.science.length_limit.surface import yield_surface

NAME = "limit"
DRAWS = 1_000
LIMITS = np.linspace(150, 300, 40)
FISHING = np.linspace(0.02, 3.0, 60)
YEARS, RECRUITED = 25.0, 1.0
LOG10_A, B = -5.642, 3.332
GOAL = 30
EQUAL = 1e-6
ROUNDS = 7


def run():
    lives = _draws()
    ours = yield_surface(lives, LIMITS, FISHING, recruited=RECRUITED, years=YEARS)
    apart = np.max(np.abs(ours / _closed_form(lives) - 1))
    if apart > EQUAL:
        raise RuntimeError(f"the answers differ by {apart:.1e}: this measured something else")
    mine, floor = in_turn(
        lambda: yield_surface(lives, LIMITS, FISHING, recruited=RECRUITED, years=YEARS),
        lambda: _closed_form(lives),
        rounds=ROUNDS,
        warm=1,
    )
    name = f"{NAME}: {len(LIMITS)} limits x {len(FISHING)} rates x {DRAWS} draws, equal to {EQUAL}"
    goal = f"at most 1/{GOAL} of the incomplete-beta closed form"
    return [BenchmarkResult(name, mine, floor, "ms", goal, met=mine * GOAL <= floor)]


def _draws():
    rng = np.random.default_rng(1)
    return Lives(
        rng.normal(340, 10, DRAWS),
        rng.normal(0.45, 0.03, DRAWS),
        rng.normal(-0.1, 0.05, DRAWS),
        rng.normal(0.5, 0.05, DRAWS),
        0.0,
        LOG10_A,
        B,
    )


def _closed_form(lives):
    """Jones (1957), over limits, draws and rates of fishing at once."""
    entry = np.maximum(lives.age_at(LIMITS[:, None]), RECRUITED)[..., None]
    rate, natural = lives.k[:, None], lives.m[:, None]
    zero, largest = lives.t0[:, None], lives.linf_mm[:, None]
    total = FISHING + natural
    p, q = total / rate, B + 1
    first, last = np.exp(-rate * (entry - zero)), np.exp(-rate * (entry + YEARS - zero))
    whole = special.beta(p, q) * (special.betainc(p, q, first) - special.betainc(p, q, last))
    alive = np.exp(-natural * (entry - RECRUITED) + total * (entry - zero))
    return FISHING * alive * 10**LOG10_A * largest**B / rate * whole
