"""Fish of an open data set, and fish built like them.

The open data are never part of the project. Whoever has them names their folder in
EARSTONE_OPEN_DATA: then they are tested too, and a file that is missing there is a failure. The
built fish are tested everywhere, so that nothing is left out without them.

Data set `wblake`, S. Weisberg, Applied Linear Regression (4th ed., Wiley 2014): 439 smallmouth bass
of one lake. Least squares gives 65.527 + 30.324 age.
"""

import os
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import numpy.typing as npt
import pytest

HEAD = "age,length_mm,scale_radius"
OF_WBLAKE = (65.527, 30.324)
FISH = 439


@dataclass(frozen=True)
class BassFile:
    """A file of bass, and the line of least squares through their lengths: at age 0, a year."""

    path: Path
    line: tuple[float, float]

    def read(self) -> npt.NDArray[np.float64]:
        """Return age and length of each fish: (fish, 2)."""
        return np.genfromtxt(self.path, delimiter=",", skip_header=1)[:, :2]


def built(folder: Path) -> BassFile:
    """Write as many fish that lie in pairs as far above a line as below it: it goes through all."""
    at_zero, per_year = 66.0, 30.0
    pairs = [(1 + place % 8, 1 + place % 29) for place in range(FISH // 2)]
    fish = [(4, 0), *((age, side * apart) for age, apart in pairs for side in (1, -1))]
    rows = [f"{age},{at_zero + per_year * age + apart:.0f}," for age, apart in fish]
    path = folder / "built.csv"
    path.write_text("\n".join([HEAD, *rows]) + "\n", encoding="utf-8")
    return BassFile(path, (at_zero, per_year))


def of_wblake(_: Path) -> BassFile:
    folder = Path(os.environ["EARSTONE_OPEN_DATA"])
    return BassFile(folder / "west_bearskin_smallmouth.csv", OF_WBLAKE)


SETS = [built, *([of_wblake] if os.environ.get("EARSTONE_OPEN_DATA") else [])]
each_set_of_bass = pytest.mark.parametrize("make_file", SETS)
