"""An example of every public estimator that works, for tests that spoil it."""

from typing import Any

import numpy as np

from samples.science import age_length_key as alk
from samples.science import back_calculation as rings
from samples.science.catch_at_age import CatchAtAge
from samples.science.growth.cells import MeanLengths
from samples.science.growth.compare import Group
from samples.science.growth.fit import Curve
from samples.science.growth.likelihood import FormFit, GrowthForm
from samples.science.growth.resample import Draws
from samples.science.growth.summaries import Spread, SpreadModel
from samples.science.growth.year_effects import DrawnCurve
from samples.science.length_limit.axes import axes
from samples.science.length_limit.fish_lives import Lives
from samples.science.length_limit.inputs import Tags
from samples.science.length_limit.per_recruit import Rule
from samples.science.length_limit.verdict import Change, Lines
from tests.science.estimators_of_nets import EXAMPLES_OF_NETS
from tests.science.estimators_of_seasons import EXAMPLES_OF_SEASONS
from tests.science.estimators_of_worth import EXAMPLES_OF_WORTH

TIMES = np.tile([1.2, 2.2, 3.2, 4.2, 5.2, 6.2], 5)
NOISE = np.random.default_rng(1).normal(1, 0.05, 30)
MANY = np.tile(np.arange(1, 4), 50)
MIXED = 100.0 + 40 * MANY + np.random.default_rng(2).normal(0, 25, 150)
LENGTHS = 350 * (1 - np.exp(-0.4 * TIMES)) * NOISE
AGES, NUMBERS = np.arange(2, 9), np.array([200.0, 120, 70, 40, 26, 15, 8])
DRAWN = np.tile(NUMBERS, (5, 1))
READINGS = np.tile([1, 2, 3, 2, 4], 4)
OTHERS = np.tile([1, 2, 3, 3, 4], 4)
EDGES = np.arange(50.0, 400.0, 25.0)
YEARS = np.floor(TIMES).astype(int)
KEY = alk.observed_key(LENGTHS, YEARS, LENGTHS, lower_edges=EDGES)
LIVES = Lives(np.full(4, 350.0), np.full(4, 0.4), np.zeros(4), np.full(4, 0.4), 0.1)
NOW = Rule(kept_from_mm=200.0)
LIMIT = Rule(kept_from_mm=200.0, limit_mm=254.0, release_death=0.1)
CURVE = Curve(350.0, 0.4, 0.0)
CURVES = Draws(np.array([340.0, 360]), np.array([0.42, 0.38]), np.zeros(2), 2)
FIRST = FormFit(GrowthForm.VON_BERTALANFFY, 350.0, 0.4, 0.0, 0.08, 0.0, 30, 30.0)
CELLS = MeanLengths(
    group=np.zeros(6, dtype=int),
    year=np.full(6, 2026),
    age=np.arange(1, 7),
    part=np.full(6, 0.2),
    mean_mm=CURVE.length_at(np.arange(1, 7) + 0.2),
    se_mm=np.full(6, 5.0),
    kept_from_mm=np.zeros(6),
    cv=np.full(6, 0.08),
)
FISHING = np.full(4, 0.5)
AXES = axes(LIVES, FISHING, kept_from_mm=200.0, limit_mm=254.0)
CHANGED = Change(np.full(4, 0.1), np.full(4, -0.2), np.full(4, 0.3))
GROWN = rings.increments_of([(2015 + k % 5, [80.0 + k, 130.0, 160.0]) for k in range(12)])
# Light along a radius with three annuli.
ALONG = np.linspace(0, 1, 300)
RINGED = 0.7 - sum(0.2 * np.exp(-(((ALONG - at) / 0.015) ** 2)) for at in (0.5, 0.74, 0.9))


def rng():
    return np.random.default_rng(1)


CATCH = [CatchAtAge(year, AGES, NUMBERS, np.ones(AGES.size), 80) for year in (2025, 2026)]

# Examples that work. Numbers and arrays of numbers in them are spoiled in turn; objects (keys,
# curves, lives) refuse such numbers when they are made.
EXAMPLES: dict[str, dict[str, Any]] = {
    "annuli.profile.brightness_profile": {
        "picture": np.tile(RINGED, (9, 1)),
        "core": [5.0, 4.0],
        "edge": [295.0, 4.0],
        "width": 0.02,
        "beyond": 0.02,
    },
    "annuli.suggest.suggest_annuli": {"brightness": RINGED, "beyond": 0},
    **EXAMPLES_OF_WORTH,
    **EXAMPLES_OF_NETS,
    **EXAMPLES_OF_SEASONS,
    "agreement.precision": {"readings": np.column_stack([READINGS, OTHERS])},
    "agreement.agreement": {"reader_a": READINGS, "reader_b": OTHERS},
    "agreement_trend.agreement_by_day": {
        "days": np.arange(READINGS.size),
        "first": READINGS,
        "second": OTHERS,
    },
    "agreement_trend.agreement_trend": {
        "days": np.repeat([0, 10, 20], 10),
        "same": np.tile([1, 1, 0, 1, 0], 6),
    },
    "agreement.symmetry": {"table": np.array([[5, 2], [1, 6]])},
    "back_calculation.proportional": {"length_mm": 270.0, "radius": 1.5, "at": [0.6, 1.2]},
    "back_calculation.with_intercept": {
        "length_mm": 270.0,
        "radius": 1.5,
        "at": [0.6, 1.2],
        "intercept_mm": 20.0,
    },
    "back_calculation.from_hatching": {
        "length_mm": 270.0,
        "radius": 1.5,
        "at": [0.6, 1.2],
        "length_at_start_mm": 5.0,
        "radius_at_start": 0.05,
    },
    "back_calculation.estimated_intercept": {"lengths_mm": LENGTHS, "radii": LENGTHS / 200 + 0.1},
    "back_calculation.increments_of": {"rows": [(2020, [80.0, 130.0])]},
    "growth_years.year_effects": {"increments": GROWN},
    "length_at_age.length_at_age": {"lengths": {25_400: 2, 26_000: 3}},
    "length_at_age.t_quantile": {"df": 7},
    "length_at_age.t_within": {"t": 2.0, "df": 7},
    "mortality.chapman_robson": {"ages": AGES, "numbers": NUMBERS},
    "mortality.weighted_regression": {"ages": AGES, "numbers": NUMBERS},
    "mortality.overdispersion": {"numbers": NUMBERS, "survival": 0.6},
    "mortality.drawn_rates": {"ages": AGES, "drawn": DRAWN, "first_age": 2},
    "rates.rates_of": {"f": [0.3, 0.2], "m": [0.4, 0.5]},
    "rates.rates_from_shares": {"a": [0.5, 0.6], "u": [0.3, 0.2]},
    "rates.natural_from_oldest": {"oldest_years": 12.0},
    "rates.natural_from_growth": {"linf_mm": 350.0, "k": 0.4},
    "rates.exploitation_from_tags": {
        "tags_out": 200,
        "returned": 24,
        "reporting": (0.5, 0.7),
        "tags_kept": 0.9,
        "survived": 0.95,
    },
    "rates.fishing_left": {"z": [0.8, 0.9], "m": [0.4, 0.5]},
    "sample_size.hardest_shares": {"confidence": 0.95},
    "sample_size.fish_to_age": {"within": 0.05, "confidence": 0.95},
    "sample_size.shares_within": {"fish": 200, "confidence": 0.95},
    "sample_size.fish_to_measure": {"length_bins": 20},
    "size_structure.size_structure": {
        "species": "white-crappie",
        "lengths": np.array([150.0, 210, 260]),
        "sets": np.array([1, 1, 2]),
    },
    "size_structure.wilson": {"fish": 3, "of": 10},
    "size_structure.standard_weight": {"species": "white-crappie", "lengths_mm": [150.0, 210]},
    "size_structure.relative_weight": {
        "species": "white-crappie",
        "lengths_mm": [150.0, 210],
        "weights_g": [40.0, 120],
    },
    "size_structure.relative_weight_by_length": {
        "species": "white-crappie",
        "lengths_mm": [150.0, 210],
        "weights_g": [40.0, 120],
    },
    "tags.draw_reporting_rate": {
        "rng": rng(),
        "draws": 4,
        "standard_out": 200,
        "standard_returned": 40,
        "high_out": 50,
        "high_returned": 20,
    },
    "tags.compare_fishing": {
        "z": np.full(4, 0.9),
        "m": np.full(4, 0.4),
        "u": np.full(4, 0.3),
    },
    "weighted_mean.weighted_mean": {"values": [9.0, 10, 11], "weights": [1.0, 2, 2]},
    "year_class_model.fit_catch_curve": {"series": CATCH, "rng": rng(), "draws": 5},
    "year_class_model.effective_number": {
        "shares": [0.5, 0.5],
        "drawn": np.array([[0.4, 0.6], [0.6, 0.4]]),
    },
    "year_class.shares_of_classes": {
        "ages": AGES,
        "numbers": NUMBERS,
        "drawn": DRAWN,
        "season_year": 2026,
    },
    "year_class.class_strengths": {"ages": AGES, "numbers": NUMBERS, "season_year": 2026},
    "reader_gate.exact_interval": {"right": 9, "n": 10},
    "reader_gate.chance_of_passing": {"n": 50, "true_share": 0.85, "least": 0.9},
    "reader_gate.judge_reader": {"reference": READINGS, "read": OTHERS},
    "reader_gate.drift_since_gate": {
        "reference_before": READINGS,
        "read_before": READINGS,
        "reference_since": READINGS,
        "read_since": OTHERS,
    },
    "reader_gate.difference_interval": {"right_1": 9, "n_1": 10, "right_2": 3, "n_2": 10},
    "age_length_key.observed.observed_key": {
        "lengths": LENGTHS,
        "ages": YEARS,
        "measured_lengths": LENGTHS,
        "lower_edges": EDGES,
    },
    "age_length_key.observed.key_from_counts": {
        "counts": [[3, 1], [1, 4]],
        "measured": [8, 9],
        "lower_edges": [100.0, 150],
        "ages": [1, 2],
    },
    "age_length_key.observed.softened_shares": {"key": KEY, "prior_weight": 0.5},
    "age_length_key.drawn.draw_ages": {"lengths": LENGTHS, "key": KEY, "rng": rng()},
    "age_length_key.drawn.whole_numbers": {"expected": [1.5, 2.5], "rng": rng()},
    "age_length_key.structure.age_structure": {
        "key": KEY,
        "confidence": 0.95,
        "prior_weight": 0.5,
    },
    "age_length_key.structure.numbers_at_age": {"key": KEY, "measured": KEY.measured},
    "age_length_key.structure.log_odds_interval": {
        "shares": np.array([0.2, 0.8]),
        "errors": np.array([0.05, 0.05]),
        "confidence": 0.95,
    },
    "age_length_key.resampled.resample_fish": {"key": KEY, "rng": rng(), "draws": 3},
    "age_length_key.resampled.resample_parties": {
        "key": KEY,
        "rng": rng(),
        "lengths": LENGTHS,
        "ages": YEARS,
        "parties": np.arange(30) // 3,
        "draws": 3,
    },
    "age_length_key.smoothed.multinomial_logit": {"categories": MANY, "measures": MIXED},
    "age_length_key.smoothed.smoothed_key": {
        "lengths": MIXED,
        "ages": MANY,
        "lower_edges": EDGES,
        "bin_width": 25.0,
    },
    "growth.fit.fit_curve": {"times": TIMES, "lengths_mm": LENGTHS, "weights": np.ones(30)},
    "growth.fit.find_curve": {"times": TIMES, "lengths_mm": LENGTHS, "weights": np.ones(30)},
    "growth.fit.checked": {"times": TIMES, "lengths_mm": LENGTHS, "weights": np.ones(30)},
    "growth.likelihood.fit_form": {
        "times": TIMES,
        "lengths_mm": LENGTHS,
        "weights": np.ones(30),
        "kept_from_mm": np.zeros(30),
    },
    "growth.survivors.fit_survivors": {
        "times": TIMES,
        "lengths_mm": LENGTHS,
        "f": 0.5,
        "fished_from_mm": 220.0,
        "weights": np.ones(30),
        "kept_from_mm": np.zeros(30),
    },
    "growth.survivors.born_fish": {
        "left": DrawnCurve(CURVE, CURVES),
        "f": np.array([0.3, 0.5]),
        "times": TIMES,
        "lengths_mm": LENGTHS,
        "fished_from_mm": 220.0,
        "weights": np.ones(30),
        "kept_from_mm": np.zeros(30),
    },
    "growth.likelihood.hazard": {"z": np.array([-1.0, 0.0, 2.0])},
    "growth.cells.mean_lengths": {
        "curves": [FIRST],
        "group": np.zeros(30, dtype=int),
        "year": np.full(30, 2026),
        "age": YEARS,
        "part": TIMES - YEARS,
        "lengths_mm": LENGTHS,
        "trips": np.arange(30) // 3,
        "weights": np.ones(30),
        "kept_from_mm": np.zeros(30),
    },
    "growth.year_effects.fit_year_effects": {
        "cells": CELLS,
        "start": CURVE,
        "rng": rng(),
        "draws": 5,
    },
    "growth.resample.resample_curves": {
        "times": TIMES,
        "lengths_mm": LENGTHS,
        "rng": rng(),
        "draws": 5,
        "parties": np.arange(30) // 3,
        "weights": np.ones(30),
    },
    "growth.compare.compare_curves": {
        "groups": [Group("one", TIMES, LENGTHS), Group("other", TIMES, 0.9 * LENGTHS)],
    },
    "growth.straight.fit_line": {"times": TIMES, "lengths_mm": LENGTHS, "weights": np.ones(30)},
    "growth.summaries.lengths_at": {"curve": CURVE, "draws": CURVES, "times": [1.0, 2.0]},
    "growth.summaries.years_to": {"curve": CURVE, "draws": CURVES, "length_mm": 254.0},
    "growth.summaries.spread_about": {"curve": CURVE, "times": TIMES, "lengths_mm": LENGTHS},
    "growth.summaries.first_fully_kept": {
        "curve": CURVE,
        "spread": Spread(SpreadModel.IN_PROPORTION, 20.0, 0.08),
        "kept_from_mm": 200.0,
        "oldest": 8,
    },
    "ageing_error.reading_shares": {"cv": 0.1, "oldest": 6},
    "ageing_error.agreed_shares": {"cv": 0.1, "oldest": 6},
    "ageing_error.fit_reading_error": {
        "first": np.tile([1, 2, 3, 2, 4, 5], 10),
        "second": np.tile([1, 2, 3, 3, 4, 4], 10),
    },
    "ageing_error.true_age_shares": {
        "numbers": np.array([0.0, 5, 8, 3]),
        "read_by_true": np.eye(4) * 0.9 + 0.025,
    },
    "swapped_vials.fit_otolith_model": {
        "lengths_mm": LENGTHS,
        "ages": YEARS,
        "parts": np.full(30, 0.2),
        "radii_um": LENGTHS * 4,
        "groups": np.tile([1, 2], 15),
    },
    "shifted_runs.find_shift": {
        "later": np.array([0.5, -1.0, 4.0, 3.5, 5.0, 2.0]),
        "earlier": np.array([-3.0, -2, -4, -3, -5, 0]),
    },
    "true_ages.true_age_chances": {
        "read_given_true": np.eye(5)[YEARS % 5] * 0.8 + 0.04,
        "lengths_mm": LENGTHS,
    },
    "true_ages.draw_true_ages": {"chances": np.tile([0.0, 0.25, 0.75], (8, 1)), "rng": rng()},
    "edge.edge_by_month": {"months": [4, 4, 5, 6, 7], "codes": [4, 1, 1, 2, 3]},
    "length_limit.axes.axes": {
        "lives": LIVES,
        "f": FISHING,
        "kept_from_mm": 200.0,
        "limit_mm": 254.0,
    },
    "length_limit.cases.crowded": {"lives": LIVES, "share": 0.9},
    "length_limit.cases.change": {"lives": LIVES, "f": FISHING, "now": NOW, "then": LIMIT},
    "length_limit.cases.break_even": {
        "lives": LIVES,
        "f": FISHING,
        "now": NOW,
        "then": LIMIT,
        "steps": 4,
    },
    "length_limit.cases.given_up": {
        "lives": LIVES,
        "f": FISHING,
        "now": NOW,
        "then": LIMIT,
    },
    "length_limit.cases.judge_limit": {
        "lives": LIVES,
        "f": FISHING,
        "now": NOW,
        "then": LIMIT,
        "lines": Lines(),
    },
    "length_limit.cases.what_would_settle": {
        "lives": LIVES,
        "f": FISHING,
        "now": NOW,
        "then": LIMIT,
        "lines": Lines(),
    },
    "length_limit.rules.creel_share": {"kept_a_trip": 4.0, "limit": 5, "in_force": 30},
    "length_limit.rules.one_over_share": {"kept_a_trip": 4.0, "share_over": np.full(4, 0.3)},
    "length_limit.fish_lives.fishing_rate": {"u": [0.3, 0.4], "m": [0.4, 0.5]},
    "length_limit.inputs.natural_from_shares": {
        "rng": rng(),
        "draws": 4,
        "least": 0.2,
        "middle": 0.3,
        "most": 0.4,
    },
    "length_limit.inputs.natural_by_thumb": {"rng": rng(), "draws": 4, "m": 0.4},
    "length_limit.inputs.taken_by_tags": {
        "rng": rng(),
        "draws": 4,
        "tags": [Tags(200, 24, 0.5, 0.7)],
    },
    "length_limit.inputs.deaths_by_tags": {
        "rng": rng(),
        "m": np.full(4, 0.4),
        "u": np.full(4, 0.3),
    },
    "length_limit.inputs.deaths_by_total": {
        "rng": rng(),
        "m": np.full(4, 0.4),
        "z": np.full(4, 0.9),
    },
    "length_limit.per_recruit.per_recruit": {"lives": LIVES, "f": FISHING, "rule": LIMIT},
    "length_limit.per_recruit.kept_of_each": {"lives": LIVES, "f": FISHING, "rule": LIMIT},
    "length_limit.surface.yield_surface": {
        "lives": LIVES,
        "limits_mm": np.array([200.0, 250]),
        "f": np.array([0.1, 0.5]),
    },
    "length_limit.surface.quantiles": {"surface": np.ones((2, 3, 2)), "shares": (0.1, 0.9)},
    "length_limit.verdict.answers_of": {"found": AXES, "changed": CHANGED, "lines": Lines()},
    "length_limit.verdict.judge": {"found": AXES, "changed": CHANGED, "lines": Lines()},
}
# Sentences and groupings of results.
WORDS = {
    "edge.formation_window",
    "edge.month_of_formation",
    "year_class.finding",
    "year_class.followed",
}
