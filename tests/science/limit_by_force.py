"""The answer about a length limit by plain loops: fit again, work the harvest out again."""

import numpy as np
from scipy.optimize import curve_fit

from samples.science.length_limit.cases import change
from samples.science.length_limit.fish_lives import Lives
from samples.science.length_limit.rules import Rule
from samples.science.worth import LimitQuestion

QUESTION = LimitQuestion(limit_mm=254, kept_from_mm=200, m=0.35, m_sd=0.05)
STEP = 1e-4


def small_survey(rng, each=10):
    """Return shares of five bins and five ages, so many fish behind each bin, and lengths."""
    ages, middles = np.arange(1, 6), np.array([150.0, 200, 235, 260, 285])
    mean = 330 * (1 - np.exp(-0.4 * (ages + 0.5)))
    joint = np.exp(-0.5 * ((middles[:, None] - mean) / (0.09 * mean)) ** 2) * np.exp(-0.75 * ages)
    of_bin = joint.sum(axis=1) / joint.sum()
    truth = joint / joint.sum(axis=1, keepdims=True)
    counts = np.array([rng.multinomial(each, one) for one in truth])
    return counts, of_bin, truth, middles, ages


def answer_of(r, of_bin, middles, ages):
    """Return the change in weight harvested that shares of a key come to."""
    p = of_bin @ r
    mean = (of_bin * middles) @ r / p
    used = p >= 0.01
    (linf, k, t0), _ = curve_fit(
        lambda t, linf, k, t0: linf * (1 - np.exp(-k * (t - t0))),
        ages[used] + QUESTION.clock,
        mean[used],
        p0=[330, 0.4, 0],
        sigma=1 / np.sqrt(p[used]),
        maxfev=5_000,
        ftol=1e-14,
        xtol=1e-14,
    )
    past = ages >= 2
    t = (p * (ages - 2))[past].sum() / p[past].sum()
    z = np.log(1 + 1 / t)
    columns = np.array([[linf], [k], [t0], [QUESTION.m]])
    lives = Lives(columns[0], columns[1], columns[2], columns[3], 0.1)
    then = Rule(kept_from_mm=200, limit_mm=254, release_death=QUESTION.release_death)
    return float(change(lives, np.array([z - QUESTION.m]), Rule(kept_from_mm=200), then).weight[0])


def variance_of_answer(alpha, of_bin, middles, ages):
    """Return the variance by ages of the answer: slopes by moving each share, bin by bin."""
    behind = alpha.sum(axis=1)
    r = alpha / behind[:, None]
    total = 0.0
    for i in range(len(of_bin)):
        slopes = np.zeros(len(ages))
        for j in range(len(ages)):
            up, down = r.copy(), r.copy()
            up[i, j] += STEP
            down[i, j] -= STEP
            gap = answer_of(up, of_bin, middles, ages) - answer_of(down, of_bin, middles, ages)
            slopes[j] = gap / (2 * STEP)
        cov = (np.diag(r[i]) - np.outer(r[i], r[i])) / (behind[i] + 1)
        total += slopes @ cov @ slopes
    return total


def drops_by_adding(alpha, of_bin, middles, ages):
    """Return what one more fish of each bin takes off, over the ages it may turn out to be."""
    now = variance_of_answer(alpha, of_bin, middles, ages)
    drops = np.zeros(len(of_bin))
    for i in range(len(of_bin)):
        for j in range(len(ages)):
            chance = alpha[i, j] / alpha[i].sum()
            if chance < 0.005:
                continue
            more = alpha.copy()
            more[i, j] += 1
            drops[i] += chance * (now - variance_of_answer(more, of_bin, middles, ages))
    return now, drops
