"""An example of each estimator of nets and length samples, for tests that spoil it."""

from typing import Any

import numpy as np

LENGTHS = np.linspace(150.0, 300.0, 30)

EXAMPLES_OF_NETS: dict[str, dict[str, Any]] = {
    "length_samples.compare_lengths": {"lengths_mm": LENGTHS, "other_mm": LENGTHS + 20},
    "net_catch.effort.catch_per_effort": {
        "catches": np.array([3, 0, 12, 5, 1, 8]),
        "efforts": np.array([1.0, 1, 2, 1, 1, 3]),
        "rng": None,
        "draws": 50,
    },
    "net_catch.plan.sets_needed": {
        "catches": np.array([[3, 1], [0, 0], [5, 2], [2, 4]]),
        "wanted": np.array([6, 4]),
        "rng": None,
        "most": 8,
        "draws": 50,
    },
    "net_catch.plan.clumping_likelihood": {
        "counts": np.array([3, 0, 12, 5]),
        "means": np.array([2.0, 5.0]),
        "sizes": np.array([0.5, 2.0]),
    },
}
