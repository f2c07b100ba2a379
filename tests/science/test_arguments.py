"""Every public estimator, given what is no sample: ValueError, CannotEstimate or sound numbers.

The estimators are found in the package itself: one that is added and has no example here fails.
"""

import importlib
import inspect
import pkgutil
from collections.abc import Mapping
from dataclasses import fields, is_dataclass

import numpy as np
import pytest

import samples.science
from samples.science.errors import CannotEstimate
from samples.science.growth.resample import _alone
from samples.science.length_limit.per_recruit import Rule
from tests.science.estimators import EXAMPLES, NUMBERS, TIMES, WORDS, rng

# Infinite by their meaning: years to a length that is never reached.
MAY_BE_INFINITE = {"Axes.years", "Axes.age"}
EVERY = sorted(EXAMPLES)
NAN, INF, HUGE = float("nan"), float("inf"), 1e300
# Words, checks and parts of others: no estimators.
NOT_ESTIMATORS = {
    "samples.science.annuli.growth",
    "samples.science.annuli.paths",
    "samples.science.annuli.rings",
    "samples.science.annuli.supposing",
    "samples.science.arguments",
    "samples.science.age_length_key.inputs",
    "samples.science.growth.profile",
    "samples.science.growth.year_model",
    "samples.science.quadrature",
}


def estimators():
    """Find every public function of the package."""
    found = {}
    for module in pkgutil.walk_packages(samples.science.__path__, "samples.science."):
        if module.name in NOT_ESTIMATORS:
            continue
        for name, one in inspect.getmembers(importlib.import_module(module.name)):
            own = getattr(one, "__module__", "") == module.name
            if inspect.isfunction(inspect.unwrap(one)) and own and not name.startswith("_"):
                found[f"{module.name.removeprefix('samples.science.')}.{name}"] = one
    return found


ESTIMATORS = estimators()


def test_every_estimator_has_an_example():
    assert set(EXAMPLES) | WORDS == set(ESTIMATORS)


def numbers_in(result, at=""):
    """Return every number of a result, with the place it stands at."""
    if is_dataclass(result):
        for field in fields(result):
            here = f"{type(result).__name__}.{field.name}"
            yield from numbers_in(getattr(result, field.name), here)
    elif isinstance(result, Mapping):
        for one in result.values():
            yield from numbers_in(one, at)
    elif isinstance(result, (tuple, list)):
        for one in result:
            yield from numbers_in(one, at)
    elif isinstance(result, (float, int, np.ndarray, np.generic)):
        yield at, np.asarray(result, dtype=np.float64)


def sound(result):
    for at, numbers in numbers_in(result):
        assert not np.isnan(numbers).any(), f"{at} is not a number"
        if at not in MAY_BE_INFINITE:
            assert np.isfinite(numbers).all(), f"{at} is infinite"


def is_numeric(value):
    """Return whether a value is a number or an array of numbers, and no table of other things."""
    if isinstance(value, np.ndarray):
        return bool(np.issubdtype(value.dtype, np.number))
    if isinstance(value, (list, tuple)):
        rows = all(isinstance(one, list) for one in value)
        return all(isinstance(one, list) == rows and is_numeric(one) for one in value)
    return isinstance(value, (int, float)) and not isinstance(value, bool)


def spoiled(value, how):
    """Return a number or an array with a spoiled one in it, or None where it cannot be so."""
    if not is_numeric(value):
        return None
    plain = np.asarray(value, dtype=np.float64)
    if isinstance(how, float):
        plain = plain.copy()
        plain.flat[-1] = how
        return float(plain) if plain.ndim == 0 else plain
    if plain.ndim == 0:
        return None
    return {
        "empty": plain[:0],
        "one value": plain[:1],
        "all alike": np.full_like(plain, plain.flat[0]),
        "longer": np.concatenate([plain, plain[-1:]]),
        "two dimensions": plain[None, :],
    }[how]


def cases(how):
    for name in EVERY:
        for argument, value in EXAMPLES[name].items():
            found = spoiled(value, how)
            if found is not None:
                yield name, argument, found


def call(name, **changed):
    words = EXAMPLES[name] | changed
    if "rng" in words:
        words["rng"] = rng()
    return ESTIMATORS[name](**words)


def answer(name, **changed):
    """Return what an estimator answers, or nothing where it refuses."""
    try:
        return call(name, **changed)
    except (ValueError, CannotEstimate):
        return None


@pytest.mark.parametrize("name", EVERY)
def test_the_examples_themselves_give_sound_numbers(name):
    sound(call(name))


@pytest.mark.parametrize("how", [NAN, INF, -INF])
def test_what_is_no_number_is_a_bad_argument(how):
    let_by = []
    for name, argument, value in cases(how):
        try:
            call(name, **{argument: value})
            let_by.append(f"{name}({argument})")
        except ValueError:
            continue
    assert not let_by, let_by


@pytest.mark.parametrize(
    "how", [HUGE, -HUGE, "empty", "one value", "all alike", "longer", "two dimensions"]
)
def test_what_is_no_sample_is_refused_or_gives_sound_numbers(how):
    for name, argument, value in cases(how):
        sound(answer(name, **{argument: value}))


@pytest.mark.parametrize("name", EVERY)
def test_all_arrays_empty_are_poor_data_and_no_crash(name):
    changed = {
        argument: value[:0]
        for argument, value in EXAMPLES[name].items()
        if isinstance(value, np.ndarray) or (isinstance(value, list) and argument != "at")
    }
    if not changed:
        return
    sound(answer(name, **changed))


# Argument pairs that must be of one shape: each is made longer, and must be refused.
MISMATCHED = [
    ("agreement.agreement", "reader_b"),
    ("back_calculation.estimated_intercept", "radii"),
    ("mortality.chapman_robson", "numbers"),
    ("mortality.weighted_regression", "numbers"),
    ("rates.fishing_left", "m"),
    ("rates.rates_of", "m"),
    ("size_structure.relative_weight", "weights_g"),
    ("weighted_mean.weighted_mean", "weights"),
    ("year_class.shares_of_classes", "numbers"),
    ("year_class.class_strengths", "numbers"),
    ("age_length_key.observed.observed_key", "ages"),
    ("age_length_key.resampled.resample_parties", "parties"),
    ("growth.fit.fit_curve", "weights"),
    ("growth.resample.resample_curves", "parties"),
    ("growth.straight.fit_line", "lengths_mm"),
    ("growth.summaries.spread_about", "lengths_mm"),
    ("length_limit.axes.axes", "f"),
    ("length_limit.inputs.deaths_by_tags", "u"),
]


@pytest.mark.parametrize(("name", "argument"), MISMATCHED)
def test_shapes_that_differ_are_a_bad_argument(name, argument):
    longer = spoiled(EXAMPLES[name][argument], "longer")

    with pytest.raises(ValueError, match=r"."):
        call(name, **{argument: longer})


class TestOnceCrashed:
    def test_more_fish_than_sixteen_bits_count(self):
        fish = np.array([65_000, 1_000, 10])

        drawn = _alone(np.random.default_rng(1), fish, 3)

        assert drawn.sum(axis=1) == pytest.approx(np.full(3, 66_010))
        assert drawn[:, 1] == pytest.approx(np.full(3, 1_000), rel=0.2)

    def test_calendar_years_move_the_start_of_the_curve_alone(self):
        ages = call("growth.fit.fit_curve").curve
        years = call("growth.fit.fit_curve", times=2020 + TIMES).curve
        drawn = call("growth.resample.resample_curves", times=2020 + TIMES, draws=50)

        assert (years.linf_mm, years.k) == pytest.approx((ages.linf_mm, ages.k))
        assert years.t0 == pytest.approx(ages.t0 + 2020)
        assert abs(drawn.t0.mean() - years.t0) < 1

    @pytest.mark.parametrize(
        "name",
        [
            "growth.resample.resample_curves",
            "age_length_key.resampled.resample_fish",
            "age_length_key.resampled.resample_parties",
            "length_limit.inputs.natural_by_thumb",
        ],
    )
    def test_no_draws_at_all(self, name):
        with pytest.raises(ValueError, match="draws"):
            call(name, draws=0)

    def test_an_age_of_a_hundred_thousand_years(self):
        with pytest.raises(ValueError, match="at most 300"):
            call("agreement.agreement", reader_a=[1, 2, 100_000], reader_b=[1, 2, 3])

    def test_a_ring_inside_the_start(self):
        with pytest.raises(CannotEstimate) as refused:
            call("back_calculation.from_hatching", at=[0.01, 1.2])

        assert refused.value.code == "inside_start"

    def test_numbers_that_rise_with_age_have_no_death_rate(self):
        with pytest.raises(CannotEstimate) as refused:
            call("mortality.weighted_regression", numbers=NUMBERS[::-1], first_age=2)

        assert refused.value.code == "no_decline"

    @pytest.mark.parametrize(
        "broken", [{"kept_from_mm": NAN}, {"limit_mm": NAN}, {"release_death": NAN}]
    )
    def test_a_rule_of_no_numbers(self, broken):
        with pytest.raises(ValueError, match=r"finite|least"):
            Rule(**({"kept_from_mm": 200.0} | broken))
