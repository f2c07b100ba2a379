"""An example of each estimator of how a season fills, for tests that spoil it."""

from typing import Any

import numpy as np

from samples.science.season_forecast import KnownWeeks, Wanted

NO_WEEKS = np.array([], dtype=int)
KNOWN_WEEKS = KnownWeeks(
    np.array([5, 0, 8, 3, 6, 4]), NO_WEEKS, NO_WEEKS, np.array([[15, 4], [6, 1]])
)
EXAMPLES_OF_SEASONS: dict[str, dict[str, Any]] = {
    "season_forecast.forecast_season": {
        "known": KNOWN_WEEKS,
        "so_far": np.array([[20.0, 3], [6, 0]]),
        "wanted": Wanted(np.array([32, 12]), np.array([[0, 2], [4, 0]])),
        "left": [1.0, 1.0, 0.4],
        "draws": 50,
        "seed": 1,
    },
}
