"""What one more aged fish is worth: to an arm's age shares, mean lengths and length limit."""

from samples.science.worth.fish_of_a_trip import TripLikeness, effective_number, likeness_of_trips
from samples.science.worth.limit_answer import (
    LimitAnswer,
    LimitQuestion,
    limit_answer,
    limit_worth,
)
from samples.science.worth.plan import (
    MOST_FISH,
    Plan,
    divide_by_length_shares,
    divide_equally,
    plan_by_worth,
)
from samples.science.worth.precision import ArmPrecision, CellWorth, arm_precision, worth_of_cells
from samples.science.worth.survey import Survey, fit_prior_weight, prior_shares, survey_of

__all__ = [
    "MOST_FISH",
    "ArmPrecision",
    "CellWorth",
    "LimitAnswer",
    "LimitQuestion",
    "Plan",
    "Survey",
    "TripLikeness",
    "arm_precision",
    "divide_by_length_shares",
    "divide_equally",
    "effective_number",
    "fit_prior_weight",
    "likeness_of_trips",
    "limit_answer",
    "limit_worth",
    "plan_by_worth",
    "prior_shares",
    "survey_of",
    "worth_of_cells",
]
