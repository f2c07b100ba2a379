"""What a fresh installation starts with: the list of species, and a first lake."""

from typing import Any

import pytest

from samples.models import Species, SpeciesGroup
from samples.waters import services
from tests.people import NOW


@pytest.mark.django_db
class TestCatalogue:
    def test_fills_an_empty_installation(self):
        loaded = services.load_catalogue()

        assert len(loaded) == Species.objects.count() == 17
        saugeye = loaded["saugeye"]
        assert (saugeye.parent_a, saugeye.parent_b) == (loaded["walleye"], loaded["sauger"])
        assert (loaded["black-crappie"].spines_min, loaded["black-crappie"].spines_max) == (7, 8)
        assert SpeciesGroup.objects.count() == 3

    def test_every_entry_is_a_species_that_the_pages_accept(self):
        for species in services.load_catalogue().values():
            species.full_clean()

    def test_writes_over_nothing(self, white):
        white.name, white.plausible_max_age_years = "Our crappie", 9
        white.save()

        first = services.load_catalogue()
        count = Species.objects.count()
        services.load_catalogue()

        white.refresh_from_db()
        assert first["white-crappie"] == white
        assert (white.name, white.plausible_max_age_years) == ("Our crappie", 9)
        assert Species.objects.count() == count

    def test_a_species_added_by_hand_stands_for_its_entry(self):
        mine = Species.objects.create(
            code="my-sauger",
            name="SAUGER",
            short_name="Sauger",
            plausible_min_hundredths_mm=1,
            plausible_max_hundredths_mm=2,
            plausible_max_age_years=1,
        )

        assert services.load_catalogue()["saugeye"].parent_b == mine


def test_a_lake_is_set_up_once(db):
    facts: dict[str, Any] = {
        "length_unit": "in",
        "time_zone": "America/Chicago",
        "now": NOW,
    }

    lake, made = services.set_up_lake(name="Lake Orrinbeck", **facts)
    again, made_again = services.set_up_lake(name="lake orrinbeck", **facts)

    assert (made, made_again) == (True, False)
    assert again == lake
    assert [(arm.name, arm.whole_lake) for arm in lake.arms.all()] == [("Whole lake", True)]
    assert lake.seasons.get().number_year == 2026
