"""How wide the answer about a length limit is for an arm, and what one more aged fish takes off."""

from dataclasses import dataclass, replace

import numpy as np
from scipy.optimize import least_squares

from samples.science.arguments import Floats, not_negative, positive
from samples.science.errors import CannotEstimate
from samples.science.length_limit.axes import axes
from samples.science.length_limit.cases import change
from samples.science.length_limit.fish_lives import Lives
from samples.science.length_limit.inputs import THUMB_SD
from samples.science.length_limit.rules import Rule
from samples.science.length_limit.verdict import Lines, Verdict, judge
from samples.science.rates import natural_from_growth
from samples.science.worth.precision import LEAST_SHARE, CellWorth
from samples.science.worth.survey import Survey

FEWEST_AGES = 4
# Fish of one age differ in length by about so much of the mean: common practice, no source.
USUAL_CV = 0.1
# Steps of the numerical slope, as parts of each of Linf, K, Z and M, and in years for t0.
STEP, STEP_YEARS = 0.005, 0.01
DRAWS, SEED = 300, 22
PARAMETERS = 4


@dataclass(frozen=True, slots=True, kw_only=True)
class LimitQuestion:
    """What is asked of a limit, and what of the answer does not come from ages.

    Attributes
    ----------
    limit_mm, kept_from_mm : float
        The limit, and the length from which anglers keep fish now.
    m, m_sd : float
        M, per year, and its standard deviation; with an M of 0 the rule of thumb by growth [1]_
        and what such rules err by.
    clock : float
        Part of a year by which fish are older than their whole age.
    release_death : float
        Share of released fish that die.

    References
    ----------
    .. [1] Then et al. (2015), ICES J. Mar. Sci. 72:82-92.
    """

    limit_mm: float
    kept_from_mm: float
    m: float = 0.0
    m_sd: float = 0.0
    clock: float = 0.5
    release_death: float = 0.1

    def __post_init__(self) -> None:
        positive([self.limit_mm, self.kept_from_mm], "limit_mm and kept_from_mm")
        rest = [self.m, self.m_sd, self.clock, self.release_death]
        not_negative(rest, "m, m_sd, clock and release_death")

    def with_m_by(self, linf_mm: float, k: float) -> "LimitQuestion":
        """Return the same with M by growth where none was given."""
        if self.m:
            return self
        m = natural_from_growth(linf_mm, k)
        return replace(self, m=m, m_sd=THUMB_SD * m)


@dataclass(frozen=True, slots=True, eq=False)
class LimitAnswer:
    """Change in weight harvested of one arm, and what makes it uncertain.

    Attributes
    ----------
    change : float
        Change in weight harvested under the limit, 0.1 a tenth more.
    from_cells : (bins,) float array
        Variance that each length bin's ages add, of ``information`` fish each.
    from_lengths, from_m : float
        Variance by the arm's length sample, and by M.
    is_open : bool
        Whether the verdict is that it cannot be told, by the lines of `judge`.
    """

    change: float
    from_cells: Floats
    from_lengths: float
    from_m: float
    information: Floats
    is_open: bool

    @property
    def variance(self) -> float:
        return float(self.from_cells.sum()) + self.from_lengths + self.from_m

    def half_width(self, more: Floats | None = None) -> float:
        """Return half of the 95% interval, with so many more independent fish of each bin."""
        fish = np.zeros_like(self.information) if more is None else more
        left = self.from_cells * self.information / (self.information + fish)
        return float(1.96 * np.sqrt(left.sum() + self.from_lengths + self.from_m))

    @property
    def half_width_at_best(self) -> float:
        """Return half of the interval if nothing were left to learn from ages."""
        return float(1.96 * np.sqrt(self.from_lengths + self.from_m))


def limit_answer(survey: Survey, arm: int, question: LimitQuestion) -> LimitAnswer:
    """Return what an arm's ages tell of a limit, and how surely, by the delta method [1]_.

    The answer is g, the change in weight harvested for each recruit [2]_. Ages of a bin come in
    by two ways, each linear near what is known: mean lengths at age, to which a von Bertalanffy
    curve is fitted by least squares weighted by share, and age shares from the age after the
    commonest on, whose mean gives Z [3]_. With h_ij the slope of g by r_ij,

        Var(g) = sum_i [ sum_j r_ij h_ij^2 - (sum_j r_ij h_ij)^2 ] / (A_i + 1)
                 + sum_i l_i (b_i - b)^2 / N + (dg/dM)^2 Var(M).

    F is Z - M. Approximated: slopes are those at the estimate; the curve is through mean lengths,
    so that lengths within a bin, survivors of the harvest and year classes do not bend it; fish
    of one age vary in length by a tenth.

    Parameters
    ----------
    survey : Survey
    arm : int
        Place of the arm in the survey.
    question : LimitQuestion

    Returns
    -------
    LimitAnswer

    Raises
    ------
    ValueError
        If the survey has no such arm.
    CannotEstimate
        too_few_ages: fewer than 4 with 1% of the arm's fish, or fewer than two past the
        commonest; no_fishing: Z is no more than M; limit_below_kept; no_curve: mean lengths do
        not level off to a curve.

    References
    ----------
    .. [1] Seber (1982), The Estimation of Animal Abundance, section 1.3.3.
    .. [2] Beverton & Holt (1957), On the dynamics of exploited fish populations.
    .. [3] Chapman & Robson (1960), Biometrics 16:354-368.

    Examples
    --------
    >>> from samples.science.worth.limit_answer import LimitQuestion, limit_answer
    >>> from samples.science.worth.survey import survey_of
    >>> found = survey_of(
    ...     [[[9, 1, 0, 0], [2, 8, 1, 0], [0, 2, 5, 2], [0, 0, 2, 4]]], [[90, 60, 30, 12]],
    ...     [[[0.7, 0.2, 0.1, 0], [0.2, 0.6, 0.2, 0], [0, 0.3, 0.5, 0.2], [0, 0.1, 0.4, 0.5]]],
    ...     mid_lengths=[150, 210, 250, 280], ages=[1, 2, 3, 4], prior_weight=1,
    ... )
    >>> question = LimitQuestion(limit_mm=254, kept_from_mm=200, m=0.4, m_sd=0.05)
    >>> answer = limit_answer(found, 0, question)
    >>> round(answer.change, 2), answer.half_width() > answer.half_width(answer.information)
    (-0.22, True)
    """
    if not 0 <= arm < len(survey.aged):
        raise ValueError("arm must be one of the survey's")
    if question.limit_mm <= question.kept_from_mm:
        raise CannotEstimate("limit_below_kept", "Anglers keep no fish under this length now.")
    told = _Told(survey, arm, question)
    question = told.question
    slope = _slopes_of_change(told.parameters, question)
    of_cells = told.slopes_by_share()
    h = np.tensordot(slope[:PARAMETERS], of_cells, axes=1)
    b = np.tensordot(slope[:PARAMETERS], told.slopes_by_length_share(), axes=1)
    cells = _dirichlet(told.r, h[None], told.information)[0, 0]
    lengths = float(told.of_bin @ (b - told.of_bin @ b) ** 2) / told.n
    return LimitAnswer(
        change=float(_change(told.parameters[:, None], question.m, question)[0]),
        from_cells=cells,
        from_lengths=lengths,
        from_m=float((slope[PARAMETERS] * question.m_sd) ** 2),
        information=told.information,
        is_open=_is_open(told),
    )


def limit_worth(worth: CellWorth, answers: list[LimitAnswer | None]) -> CellWorth:
    """Return the same with what the cells of open arms add to the width of the answer.

    Each cell's part is of the variance of all open arms' answers together, M's included. Arms
    that are not open, or have no answer, owe nothing.

    Parameters
    ----------
    worth : CellWorth
    answers : list of LimitAnswer or None
        Of each arm, in order; None where there is none.

    Returns
    -------
    CellWorth

    Raises
    ------
    ValueError
        If there is not one answer for each arm.

    Examples
    --------
    >>> from samples.science.worth import survey_of, worth_of_cells
    >>> from samples.science.worth.limit_answer import limit_worth
    >>> found = survey_of(
    ...     [[[3, 1], [1, 4]]], [[8, 12]], [[[0.5, 0.5], [0.1, 0.9]]],
    ...     mid_lengths=[212, 237], ages=[2, 3], prior_weight=2,
    ... )
    >>> worth = worth_of_cells(found, ages_planned=[2, 3])
    >>> limit_worth(worth, [None]).from_limit
    array([[0., 0.]])
    """
    if len(answers) != len(worth.information):
        raise ValueError("answers must have one for each arm")
    found = np.zeros_like(worth.information)
    is_open = [one if one is not None and one.is_open else None for one in answers]
    whole = sum(one.variance for one in is_open if one is not None)
    for row, one in enumerate(is_open):
        if one is not None and whole > 0:
            found[row] = one.from_cells / whole
    return replace(worth, from_limit=found)


class _Told:
    """What the ages of one arm tell: Linf, K, t0 and Z, and how each moves with the shares."""

    def __init__(self, survey: Survey, arm: int, question: LimitQuestion) -> None:
        self.r, self.of_bin = survey.shares[arm], survey.length_shares[arm]
        self.n, self.information = float(survey.measured_effective[arm]), survey.information[arm]
        self.p = self.of_bin @ self.r
        used = self.p >= LEAST_SHARE
        if used.sum() < FEWEST_AGES:
            raise CannotEstimate("too_few_ages", "Too few ages for a growth curve.")
        mean = (self.of_bin * survey.mid_lengths) @ self.r / np.maximum(self.p, 1e-12)
        self.away = survey.mid_lengths[:, None] - mean
        self.weights = np.where(used, self.p, 0.0)
        years = survey.ages + question.clock
        curve = _curve(years[used], mean[used], self.weights[used])
        self.question = question = question.with_m_by(curve[0], curve[1])
        self.recruited = np.arange(self.p.size) > int(np.argmax(self.p))
        if self.p[self.recruited].sum() <= 0 or self.recruited.sum() < 2:
            raise CannotEstimate("too_few_ages", "Too few ages past the commonest.")
        first = int(np.argmax(self.recruited))
        self.past = np.where(self.recruited, np.arange(self.p.size) - first, 0)
        self.alive = float(self.p[self.recruited].sum())
        self.mean_past = float((self.past * self.p)[self.recruited].sum()) / self.alive
        if self.mean_past <= 0:
            raise CannotEstimate("too_few_ages", "Too few ages past the commonest.")
        z = float(np.log1p(1 / self.mean_past))
        if z <= question.m:
            raise CannotEstimate("no_fishing", "Total mortality is no more than M.")
        self.parameters = np.array([*curve, z])
        self.by_mean, self.by_weight = _moves_of_curve(years, curve, mean, self.weights)

    def _by_share_and_mean(self, of_p: Floats, of_mean: Floats) -> Floats:
        """Return slopes of the parameters where p_j and mu_j move so; (4, bins, ages)."""
        growth = self.by_mean[:, None, :] * of_mean[None] + self.by_weight[:, None, :] * of_p[None]
        of_t = np.where(self.recruited, (self.past - self.mean_past) / self.alive, 0.0)
        of_z = -of_t / (self.mean_past * (1 + self.mean_past))
        return np.concatenate([growth, (of_z * of_p)[None]])

    def slopes_by_share(self) -> Floats:
        """Return d parameter / d r_ij, (4, bins, ages)."""
        of_p = np.broadcast_to(self.of_bin[:, None], self.r.shape)
        return self._by_share_and_mean(of_p, of_p * self.away / np.maximum(self.p, LEAST_SHARE))

    def slopes_by_length_share(self) -> Floats:
        """Return d parameter / d l_i, (4, bins)."""
        of_mean = self.r * self.away / np.maximum(self.p, LEAST_SHARE)
        return np.asarray(self._by_share_and_mean(self.r, of_mean).sum(axis=2))

    def covariance(self) -> Floats:
        """Return the covariance of Linf, K, t0 and Z by both stages, (4, 4)."""
        ages = _dirichlet(self.r, self.slopes_by_share(), self.information).sum(axis=2)
        b = self.slopes_by_length_share()
        away = b - (b @ self.of_bin)[:, None]
        return np.asarray(ages + (away * self.of_bin) @ away.T / self.n)


def _dirichlet(r: Floats, slopes: Floats, information: Floats) -> Floats:
    """Return covariances of linear functions of a bin's shares, (functions, functions, bins)."""
    mean = (slopes * r).sum(axis=2)
    both = np.einsum("aij,bij,ij->abi", slopes, slopes, r)
    return np.asarray((both - mean[:, None] * mean[None]) / (information + 1))


def _curve(years: Floats, mean_mm: Floats, weights: Floats) -> Floats:
    """Return Linf, K and t0 of the curve through mean lengths at age."""

    def residuals(values: Floats) -> Floats:
        linf, k, t0 = values
        return np.asarray(np.sqrt(weights) * (linf * -np.expm1(-k * (years - t0)) - mean_mm))

    fit = least_squares(
        residuals,
        [1.15 * mean_mm.max(), 0.35, 0.0],
        bounds=([0.8 * mean_mm.max(), 0.02, -5.0], [4 * mean_mm.max(), 3.0, 3.0]),
        x_scale=[100.0, 0.1, 0.5],
        xtol=1e-12,
        ftol=1e-12,
        gtol=1e-12,
    )
    if not fit.success or (fit.active_mask != 0).any():
        raise CannotEstimate("no_curve", "Mean lengths at age do not level off to a curve.")
    return np.asarray(fit.x, dtype=np.float64)


def _moves_of_curve(
    years: Floats, curve: Floats, mean_mm: Floats, weights: Floats
) -> tuple[Floats, Floats]:
    """Return how Linf, K and t0 move with each mean length and each weight, (3, ages) both.

    At the best fit sum_j w_j e_j df_j = 0, with e_j what the curve misses; how its root moves is
    that sum's own slopes, second derivatives of the curve among them.
    """
    linf, k, t0 = curve
    since = years - t0
    left = np.exp(-k * since)
    missed = weights * (mean_mm - linf * (1 - left))
    slopes = np.array([1 - left, linf * since * left, -linf * k * left])
    nothing = np.zeros_like(left)
    by_k, by_t0 = since * left, -k * left
    both = linf * left * (k * since - 1)
    second = np.array(
        [
            [nothing, by_k, by_t0],
            [by_k, -linf * since**2 * left, both],
            [by_t0, both, -linf * k**2 * left],
        ]
    )
    stiff = (slopes * weights) @ slopes.T - second @ missed
    used = weights > 0
    by_mean = np.linalg.solve(stiff, slopes * weights)
    by_weight = np.linalg.solve(
        stiff, slopes * np.where(used, missed / np.maximum(weights, LEAST_SHARE), 0)
    )
    return by_mean, by_weight


def _change(parameters: Floats, m: Floats | float, question: LimitQuestion) -> Floats:
    """Return the change in weight harvested for Linf, K, t0 and Z in columns."""
    linf, k, t0, z = parameters
    natural = np.broadcast_to(np.asarray(m, dtype=np.float64), z.shape)
    found = change(Lives(linf, k, t0, natural, USUAL_CV), z - natural, *_rules(question))
    return found.weight


def _rules(question: LimitQuestion) -> tuple[Rule, Rule]:
    now = Rule(kept_from_mm=question.kept_from_mm)
    then = replace(now, limit_mm=question.limit_mm, release_death=question.release_death)
    return now, then


def _slopes_of_change(parameters: Floats, question: LimitQuestion) -> Floats:
    """Return slopes of the answer by Linf, K, t0, Z and M, (5,), by central differences."""
    here = np.array([*parameters, question.m])
    steps = STEP * here
    steps[2] = STEP_YEARS
    # F must stay above 0 on both sides of Z and M.
    steps[3:] = np.minimum(steps[3:], 0.4 * (parameters[3] - question.m))
    moved = here + np.concatenate([np.diag(steps), -np.diag(steps)])
    found = _change(moved[:, :PARAMETERS].T, moved[:, PARAMETERS], question)
    up, down = np.split(found, 2)
    return np.asarray((up - down) / (2 * steps))


def _is_open(told: _Told) -> bool:
    """Return whether draws of growth and mortality leave the verdict open."""
    question = told.question
    rng = np.random.default_rng(SEED)
    drawn = rng.multivariate_normal(told.parameters, told.covariance(), DRAWS, method="eigh").T
    m = question.m * np.exp(rng.normal(0, question.m_sd / question.m, DRAWS))
    sound = (drawn[0] > 0) & (drawn[1] > 0) & (drawn[3] > m)
    if sound.mean() < 0.5:
        return True
    linf, k, t0, z = drawn[:, sound]
    m = m[sound]
    lives = Lives(linf, k, t0, m, USUAL_CV)
    found = axes(lives, z - m, kept_from_mm=question.kept_from_mm, limit_mm=question.limit_mm)
    judged = judge(found, change(lives, z - m, *_rules(question)), Lines())
    return judged.verdict is Verdict.CANNOT_TELL
