"""Brightness along a radius, and annuli suggested on it, on pictures drawn from known annuli."""

import numpy as np
import pytest

from samples.science.annuli import BEYOND, brightness_profile, suggest_annuli
from samples.science.errors import CannotEstimate
from tests.benchmarks import annuli as benchmark
from tests.benchmarks._annuli_outcomes import outcomes_of
from tests.benchmarks._drawn_otoliths import DIFFICULTIES, draw_otolith

RINGS = [0.4, 0.62, 0.78, 0.9]


def light_of(rings, *, samples=400, depth=0.2):
    along = np.linspace(0, 1, samples)
    return 0.7 - sum(depth * np.exp(-(((along - at) / 0.012) ** 2)) for at in rings)


def rings_about(core, radii, *, size=(240, 320), slant=0.0):
    """Draw dark circles; with a slant they lie askew to a radius that runs to the right."""
    y, x = np.mgrid[0 : size[0], 0 : size[1]].astype(float)
    away = np.hypot(x - core[0], y - core[1])
    away = away * (1 + slant * np.arctan2(y - core[1], x - core[0]))
    return 180 - sum(90 * np.exp(-(((away - one) / 3) ** 2)) for one in radii)


def assert_no_suggestion(picture):
    """Assert that a radius across the picture, but for its margins, is refused."""
    rows, columns = picture.shape
    core, edge = (30.0, 30.0), (columns - 31.0, rows - 31.0)

    with pytest.raises(CannotEstimate) as refused:
        suggest_annuli(brightness_profile(picture, core, edge, beyond=BEYOND), beyond=BEYOND)

    assert refused.value.code == "unclear_annuli"


class TestProfile:
    def test_a_slope_is_read_between_pixels(self):
        picture = np.add.outer(2.0 * np.arange(30), 3.0 * np.arange(40))

        found = brightness_profile(picture, (4.5, 3.0), (24.5, 18.0), width=0)

        assert found[0] == pytest.approx(3 * 4.5 + 2 * 3)
        assert found[-1] == pytest.approx(3 * 24.5 + 2 * 18)
        assert found.size == 26

    @pytest.mark.parametrize("slant", [0.0, 0.2])
    def test_a_band_along_the_rings_keeps_them_as_dark_as_a_line_does(self, slant):
        picture = rings_about((20, 120), [110, 190], slant=slant)

        line = brightness_profile(picture, (20, 120), (290, 120), width=0)
        band = brightness_profile(picture, (20, 120), (290, 120))

        for ring in (slice(95, 125), slice(175, 205)):
            assert int(np.argmin(band[ring])) == pytest.approx(int(np.argmin(line[ring])), abs=2)
            assert np.ptp(band[ring]) > 0.8 * np.ptp(line[ring])

    def test_grain_is_averaged_away(self):
        picture = 100 + np.random.default_rng(5).normal(0, 10, (240, 320))

        line = brightness_profile(picture, (20, 120), (290, 120), width=0)

        assert brightness_profile(picture, (20, 120), (290, 120)).std() < 0.4 * line.std()


class TestSuggestion:
    def test_dark_annuli_are_found_where_they_are(self):
        found = suggest_annuli(light_of(RINGS))

        assert found.positions == pytest.approx(RINGS, abs=0.004)
        assert found.probability > 0.65

    def test_bright_annuli_are_found_where_annuli_are_bright(self):
        found = suggest_annuli(1 - light_of(RINGS), dark=False)

        assert found.positions == pytest.approx(RINGS, abs=0.004)

    def test_a_shallow_check_between_annuli_is_no_annulus(self):
        check = 0.06 * np.exp(-(((np.linspace(0, 1, 400) - 0.51) / 0.012) ** 2))

        found = suggest_annuli(light_of(RINGS) - check)

        assert found.positions == pytest.approx(RINGS, abs=0.01)

    def test_noise_alone_is_no_suggestion(self):
        noise = np.random.default_rng(3).normal(0, 1, 400)

        with pytest.raises(CannotEstimate) as refused:
            suggest_annuli(noise)

        assert refused.value.code == "unclear_annuli"

    @pytest.mark.parametrize("seed", [700_301, 700_302])
    def test_a_picture_without_annuli_is_no_suggestion(self, seed):
        assert_no_suggestion(draw_otolith(0, np.random.default_rng(seed)).picture)

    def test_a_picture_of_noise_alone_is_no_suggestion(self):
        assert_no_suggestion(np.random.default_rng(11).normal(120, 30, (200, 400)))

    def test_two_annuli_are_measured_within_1_percent(self):
        picture = rings_about((20, 120), [150, 230])
        picture += np.random.default_rng(6).normal(0, 12, picture.shape)

        found = suggest_annuli(brightness_profile(picture, (20, 120), (290, 120)))

        assert np.array(found.positions) * 270 == pytest.approx([150, 230], rel=0.01)

    def test_an_even_radius_is_no_suggestion(self):
        with pytest.raises(CannotEstimate) as refused:
            suggest_annuli(np.full(400, 0.5))

        assert refused.value.code == "even_radius"

    def test_an_edge_set_a_little_outside_is_found(self):
        drawn = draw_otolith(3, np.random.default_rng(700_003), DIFFICULTIES["low"])
        outside = tuple(
            start + 1.015 * (end - start) for start, end in zip(drawn.core, drawn.edge, strict=True)
        )

        profile = brightness_profile(drawn.picture, drawn.core, outside, beyond=BEYOND)

        assert suggest_annuli(profile, beyond=BEYOND).positions == pytest.approx(
            drawn.annuli / 1.015, abs=0.02
        )


def test_a_few_of_the_benchmarks_otoliths():
    """Far below what the benchmark finds on more of them, so that a break of it shows."""
    young = [
        one
        for one in outcomes_of(30, DIFFICULTIES["low"], first_seed=700_000)
        if one.age in benchmark.YOUNG
    ]

    assert benchmark.exact_of_all(young) >= 60
    assert benchmark.within_1(young) >= 90
