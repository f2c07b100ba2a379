"""Points and weights of Gauss-Legendre quadrature, worked out once."""

from functools import cache

import numpy as np

from samples.science.arguments import Floats


@cache
def gauss_legendre(points: int) -> tuple[Floats, Floats]:
    """Return points in -1 to 1, and their weights; neither can be written to."""
    found = np.polynomial.legendre.leggauss(points)
    for array in found:
        array.flags.writeable = False
    return found
