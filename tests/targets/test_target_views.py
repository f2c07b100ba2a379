"""The page on which targets are set."""

import re
from datetime import date

import pytest
from django.urls import reverse

from samples.models import LakeSpecies, Season, Target
from tests.people import make_lake
from tests.shown import error_codes
from tests.targets.fish import INCH, make_fish
from tests.targets.pages import text, want


@pytest.mark.django_db
class TestTargets:
    def fields(self, arm, *, lake_wide="", floor=""):
        return {f"wanted-{10 * INCH}-lake": lake_wide, f"wanted-{10 * INCH}-{arm.pk}": floor}

    def send(self, client, lake, typed, **query):
        address = reverse("targets:targets", args=[lake.slug])
        words = "&".join(f"{name}={value}" for name, value in query.items())
        return client.post(f"{address}?from=10.0&below=12.0&{words}", typed)

    def test_are_saved_and_lead_back_to_coverage(self, page, client, lake, brindle, white, season):
        page("targets")

        answer = self.send(client, lake, self.fields(brindle, lake_wide="10", floor=" 2 "))

        assert answer.status_code == 302
        assert answer.url.endswith("/coverage/?season=2026&species=white-crappie")
        assert set(Target.objects.values_list("arm__name", "wanted")) == {
            (None, 10),
            ("Brindle", 2),
        }

    @pytest.mark.parametrize(
        ("typed", "code"),
        [("many", "invalid"), ("-1", "min_value"), ("1000", "max_value"), ("2.5", "invalid")],
    )
    def test_keep_what_was_typed_and_say_what_is_wrong(
        self, page, client, lake, brindle, typed, code
    ):
        page("targets")

        answer = self.send(client, lake, self.fields(brindle, floor=typed))

        assert answer.status_code == 422
        [(name, codes)] = error_codes(answer).items()
        assert (name, codes) == (f"wanted-{10 * INCH}-{brindle.pk}", [code])
        assert f'value="{typed}"' in answer.content.decode()
        assert Target.objects.count() == 0

    def test_floors_that_add_up_to_more_than_the_lake_are_asked_about(
        self, page, client, lake, brindle
    ):
        page("targets")

        answer = self.send(client, lake, self.fields(brindle, lake_wide="3", floor="4"))

        assert answer.status_code == 422
        assert error_codes(answer) == {f"wanted-{10 * INCH}-lake": ["floors_above_lake"]}

    def test_the_usual_numbers_are_filled_in_and_not_saved(self, page, lake):
        answer = page("targets", start="rule", **{"from": "10.0", "below": "11.0"})

        assert answer.context["start"].description in text(answer)
        assert re.findall(r'value="(\d+)"[^>]*id="id_wanted', answer.content.decode()) == [
            "10", "2", "2", "2",
        ]  # fmt: skip
        assert Target.objects.count() == 0

    def test_can_start_from_an_earlier_season(self, page, lake, white):
        earlier = Season.objects.create(
            lake=lake,
            name="2025",
            number_year=2025,
            starts_on=date(2025, 1, 1),
            ends_on=date(2025, 12, 31),
        )
        want(earlier, white, 10, 8)

        answer = page("targets", start=str(earlier.pk), **{"from": "10.0", "below": "11.0"})

        assert "2025" in answer.context["start"].description
        assert answer.context["start"].description in text(answer)
        assert 'value="8"' in answer.content.decode()

    def test_open_with_the_lengths_of_targets_and_fish(self, page, party, white, season):
        want(season, white, 8, 5)
        make_fish(party, white, 11.9)

        columns = page("targets").context["edited"].columns

        assert [columns[0].from_text, columns[-1].below_text] == ["8.0", "12.0"]

    def test_say_that_some_were_set_for_other_bins(self, page, season, white):
        Target.objects.create(
            season=season,
            species=white,
            from_hundredths_mm=10 * INCH,
            below_hundredths_mm=12 * INCH,
            wanted=4,
        )

        assert page("targets").context["edited"].saved.for_other_bins == 1

    def test_of_another_lake_stay_out_of_reach(self, page, client, lake, brindle, stranger):
        far = make_lake("Far Water", arms=["East"])
        LakeSpecies.objects.create(lake=far, species=LakeSpecies.objects.all()[0].species)
        page("targets")

        typed = {f"wanted-{10 * INCH}-{far.arms.get().pk}": "5"}
        self.send(client, lake, typed)

        assert Target.objects.count() == 0
