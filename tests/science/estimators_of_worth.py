"""Examples that work of what one more fish is worth, for tests that spoil them."""

from typing import Any

import numpy as np

from samples.science.worth import LimitQuestion, survey_of, worth_of_cells

AGED_CELLS = np.array([[[3.0, 1], [1, 4]], [[0, 0], [2, 2]]])
MEASURED_CELLS = np.array([[8.0, 12], [5, 15]])
PRIOR_CELLS = np.full((2, 2, 2), 0.5)
SURVEY = survey_of(
    AGED_CELLS,
    MEASURED_CELLS,
    PRIOR_CELLS,
    mid_lengths=[212, 237],
    ages=[2, 3],
    prior_weight=2.0,
)
OF_A_CURVE = np.array([[9.0, 1, 0, 0], [2, 8, 1, 0], [0, 2, 5, 2], [0, 0, 2, 4]])
SURVEY_OF_A_CURVE = survey_of(
    OF_A_CURVE[None],
    [[90, 60, 30, 12]],
    (OF_A_CURVE / OF_A_CURVE.sum(axis=1, keepdims=True))[None],
    mid_lengths=[150, 210, 250, 280],
    ages=[1, 2, 3, 4],
    prior_weight=1.0,
)
EXAMPLES_OF_WORTH: dict[str, dict[str, Any]] = {
    "worth.fish_of_a_trip.likeness_of_trips": {
        "values": np.floor(np.tile([1.2, 2.2, 3.2, 4.2, 5.2, 6.2], 5)),
        "cells": np.arange(30) // 15,
        "trips": np.arange(30) // 5,
    },
    "worth.fish_of_a_trip.effective_number": {"fish_per_trip": [3.0, 1, 2], "rho": 0.2},
    "worth.survey.prior_shares": {"others": np.array([[4.0, 0], [1, 3]]), "from_next_bin": 0.1},
    "worth.survey.fit_prior_weight": {
        "counts": np.tile([[9.0, 1], [4, 6]], (6, 1)),
        "prior": np.full((12, 2), 0.5),
    },
    "worth.survey.survey_of": {
        "counts": AGED_CELLS,
        "measured": MEASURED_CELLS,
        "prior": PRIOR_CELLS,
        "mid_lengths": [212.0, 237],
        "ages": [2, 3],
        "prior_weight": 2.0,
        "effective": AGED_CELLS.sum(axis=2),
        "measured_effective": np.array([15.0, 18]),
    },
    "worth.precision.arm_precision": {
        "survey": SURVEY,
        "ages_planned": [2, 3],
        "more": np.ones((2, 2)),
    },
    "worth.precision.worth_of_cells": {"survey": SURVEY, "ages_planned": [2, 3]},
    "worth.limit_answer.limit_answer": {
        "survey": SURVEY_OF_A_CURVE,
        "arm": 0,
        "question": LimitQuestion(limit_mm=254, kept_from_mm=200, m=0.4, m_sd=0.05),
    },
    "worth.limit_answer.limit_worth": {
        "worth": worth_of_cells(SURVEY, ages_planned=[2, 3]),
        "answers": [None, None],
    },
    "worth.plan.plan_by_worth": {
        "worth": worth_of_cells(SURVEY, ages_planned=[2, 3]),
        "budget": 6,
        "can_be_had": MEASURED_CELLS,
        "lengths_weight": 0.5,
        "limit_weight": 0.0,
        "effective_each": 0.8,
    },
    "worth.plan.divide_equally": {
        "in_hand": AGED_CELLS.sum(axis=2),
        "budget": 6,
        "can_be_had": MEASURED_CELLS,
    },
    "worth.plan.divide_by_length_shares": {
        "in_hand": AGED_CELLS.sum(axis=2),
        "length_shares": MEASURED_CELLS / 20,
        "budget": 6,
        "can_be_had": MEASURED_CELLS,
    },
}
