"""How a cohort grows and dies, as draws: what every question about a limit starts from."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from samples.science.arguments import alike, finite, not_negative, positive
from samples.science.quadrature import gauss_legendre

Floats = npt.NDArray[np.float64]

# Gauss-Legendre points in each part of a cohort, and how far its tails are followed, in standard
# deviations; no fish is shorter than a twentieth of the mean of its age.
POINTS, TAIL, SHORTEST = 12, 5.0, 0.05


@dataclass(frozen=True, slots=True)
class Lives:
    """Draws of growth and natural death of one arm's fish.

    Attributes
    ----------
    linf_mm, k, t0 : ndarray, shape (draws,)
        Linf in mm, K per year and t0 in years of the von Bertalanffy curve, drawn jointly.
    m : ndarray, shape (draws,)
        Instantaneous rate of natural death M, per year.
    cv : float
        Coefficient of variation of length at age: a fish that is long for its age stays so.
    weight_log10_a, weight_b : float
        log10 weight in g = a + b log10 length in mm.

    Raises
    ------
    ValueError
        If draws differ in number or there are none, one is not finite, Linf, K or M not above
        zero, or the CV not between 0 and 0.5.
    """

    linf_mm: Floats
    k: Floats
    t0: Floats
    m: Floats
    cv: float
    weight_log10_a: float = 0.0
    weight_b: float = 3.0

    def __post_init__(self) -> None:
        alike(
            linf_mm=positive(self.linf_mm, "linf_mm"),
            k=positive(self.k, "k"),
            t0=finite(self.t0, "t0"),
            m=positive(self.m, "m"),
        )
        if not self.m.size:
            raise ValueError("at least one draw is needed")
        if not 0 <= self.cv < 0.5:
            raise ValueError("cv must lie between 0 and 0.5")
        finite([self.weight_log10_a, self.weight_b], "weight_log10_a and weight_b")

    @property
    def draws(self) -> int:
        return int(self.m.size)

    def cohort(self, *lengths_mm: float) -> tuple[Floats, Floats]:
        """Return points and weights to average over the fish of one cohort, slow to fast.

        Parameters
        ----------
        *lengths_mm : float
            Lengths in mm at which something begins or ends. A cohort is cut where its fish just
            reach one in the end, so that nothing is averaged across it.

        Returns
        -------
        scale, weight : ndarray, shape (points, draws)
            How long the fish are for their age, in units of the mean, and their share of the
            cohort; the shares of each draw sum to 1.

        Notes
        -----
        Gauss-Legendre quadrature of the normal density between the cuts.
        """
        positive(list(lengths_mm), "lengths_mm")
        if self.cv == 0:
            return np.ones((1, self.draws)), np.ones((1, self.draws))
        least = max(-TAIL, (SHORTEST - 1) / self.cv)
        wanted = np.array(sorted(set(lengths_mm)))[:, None]
        cuts = np.clip((wanted / self.linf_mm - 1) / self.cv, least, TAIL)
        ends = np.vstack([np.full(self.draws, least), cuts, np.full(self.draws, TAIL)])
        points, weights = gauss_legendre(POINTS)
        half, middle = np.diff(ends, axis=0) / 2, (ends[1:] + ends[:-1]) / 2
        normal = (middle[:, None] + half[:, None] * points[:, None]).reshape(-1, self.draws)
        share = (half[:, None] * weights[:, None]).reshape(-1, self.draws)
        share = share * np.exp(-(normal**2) / 2)
        return 1 + self.cv * normal, share / share.sum(axis=0)

    def age_at(self, length_mm: Floats | float, scale: Floats | float = 1.0) -> Floats:
        """Return the age at which fish are this long; infinity for those that never are.

        Parameters
        ----------
        length_mm, scale : array_like
            Length in mm, and how long the fish are for their age; broadcast against the draws
            on the last axis.

        Returns
        -------
        ndarray
            t0 - ln(1 - L / (scale Linf)) / K, in years.
        """
        share = np.asarray(length_mm) / (np.asarray(scale) * self.linf_mm)
        with np.errstate(divide="ignore", invalid="ignore"):
            age = self.t0 - np.log1p(-share) / self.k
        return np.where(share < 1, age, np.inf)


def fishing_rate(u: Floats | float, m: Floats | float) -> Floats:
    """Find F from the share taken in a year and M, both working through the year [1]_.

    Parameters
    ----------
    u : array_like
        The share of the fish alive at the start of a year that is taken in it, 0 to below 1.
    m : array_like
        M, per year; broadcast against ``u``.

    Returns
    -------
    ndarray
        F with ``u = F / (F + M) (1 - exp(-(F + M)))``, to 1e-12.

    Raises
    ------
    ValueError
        If u is not between 0 and below 1, or M not above zero.

    References
    ----------
    .. [1] Ricker (1975), Bull. Fish. Res. Board Can. 191, ch. 1 (fishing and natural death at
       once).

    Examples
    --------
    >>> from samples.science.length_limit.fish_lives import fishing_rate
    >>> fishing_rate([0.3, 0.4], 0.4).round(3)
    array([0.444, 0.645])
    """
    wanted, dying = np.broadcast_arrays(
        not_negative(u, "u", ndim=None),
        positive(m, "m", ndim=None),
    )
    if (wanted >= 1).any():
        raise ValueError("u must be below 1")
    # From below, Newton on a concave function climbs to the root and never passes it.
    f = np.array(wanted, dtype=np.float64)
    for _ in range(60):
        z = f + dying
        died = -np.expm1(-z)
        gap = wanted - f / z * died
        slope = dying / z**2 * died + f / z * np.exp(-z)
        step = gap / slope
        f = f + step
        if np.max(np.abs(step), initial=0.0) < 1e-13:
            break
    return f
