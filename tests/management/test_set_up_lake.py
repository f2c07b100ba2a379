"""The first lake and its biologist on a fresh installation."""

import io
import sys

import pytest
from django.core.management import CommandError, call_command

from samples.models import Lake, Membership, Species, User

PASSWORD = "lantern and whisper"
ASKED = {
    "lake": "Lake Orrinbeck",
    "biologist": "aubrey",
    "name": "N. Aubrey",
    "unit": "in",
    "time_zone": "America/Chicago",
}


class Terminal(io.StringIO):
    """A terminal at which somebody types what was prepared."""

    def isatty(self):
        return True


def set_up(**options):
    said = io.StringIO()
    call_command("set_up_lake", stdout=said, **{**ASKED, **options})
    return said.getvalue()


@pytest.fixture
def password(monkeypatch):
    monkeypatch.setenv("EARSTONE_PASSWORD", PASSWORD)


@pytest.mark.django_db
class TestSetUpLake:
    def test_makes_all_that_a_first_day_needs(self, client, password):
        said = set_up()

        lake = Lake.objects.get()
        person = User.objects.get()
        assert (lake.slug, lake.arms.get().name) == ("lake-orrinbeck", "Whole lake")
        assert lake.seasons.count() == 1
        assert (person.display_name, person.is_staff) == ("N. Aubrey", False)
        assert Membership.objects.get().role == "biologist"
        assert Species.objects.filter(code="white-crappie").exists()
        assert "/lakes/lake-orrinbeck/set-up/species/" in said
        signed_in = client.post(
            "/sign-in/", {"username": "aubrey", "password": PASSWORD}, follow=True
        )
        assert signed_in.request["PATH_INFO"] == "/lakes/lake-orrinbeck/"

    def test_may_be_repeated(self, password, monkeypatch):
        set_up()
        monkeypatch.delenv("EARSTONE_PASSWORD")

        set_up()

        assert User.objects.get().check_password(PASSWORD)
        assert (Lake.objects.count(), Membership.objects.count()) == (1, 1)

    def test_a_second_lake_for_the_same_person(self, password):
        set_up()
        set_up(lake="Tamsin Reservoir", unit="mm", time_zone="America/Denver")

        assert Lake.objects.get(name="Tamsin Reservoir").length_unit == "mm"
        assert Membership.objects.filter(person=User.objects.get()).count() == 2

    def test_a_lake_may_start_from_another_and_from_the_list(self, password):
        set_up(species=["walleye"])
        set_up(lake="Tamsin Reservoir", copy_from="lake orrinbeck", species=["sauger"])

        species = Lake.objects.get(name="Tamsin Reservoir").lake_species.order_by("position")
        assert [row.species.code for row in species] == ["walleye", "sauger"]

    @pytest.mark.parametrize("wrong", [{"copy_from": "Nowhere"}, {"species": ["no-such-fish"]}])
    def test_what_it_starts_from_must_be_known(self, password, wrong):
        with pytest.raises(CommandError, match=r"no-such-fish|Nowhere"):
            set_up(**wrong)

        assert not Lake.objects.exists()

    @pytest.mark.parametrize("given", ["short", "password123"])
    def test_a_weak_password_sets_nothing_up(self, monkeypatch, given):
        monkeypatch.setenv("EARSTONE_PASSWORD", given)

        with pytest.raises(CommandError):
            set_up()

        assert not Lake.objects.exists()
        assert not User.objects.exists()

    def test_without_a_terminal_it_says_where_to_put_the_password(self, monkeypatch):
        monkeypatch.delenv("EARSTONE_PASSWORD", raising=False)
        monkeypatch.setattr(sys, "stdin", io.StringIO())

        with pytest.raises(CommandError, match="EARSTONE_PASSWORD"):
            set_up()

    def test_an_unknown_time_zone(self, password):
        with pytest.raises(CommandError, match="--time-zone Central"):
            set_up(time_zone="Central")

    @pytest.mark.parametrize("missing", ["unit", "time_zone"])
    def test_unit_and_time_zone_are_never_guessed(self, password, monkeypatch, missing):
        monkeypatch.setattr(sys, "stdin", io.StringIO())

        with pytest.raises(CommandError, match=f"Add --{missing.replace('_', '-')}, for example"):
            set_up(**{missing: ""})

        assert not Lake.objects.exists()

    def test_they_are_asked_for_at_a_terminal(self, password, monkeypatch):
        monkeypatch.setattr(sys, "stdin", Terminal("mm\nAmerica/Denver\n"))

        set_up(unit="", time_zone="")

        lake = Lake.objects.get()
        assert (lake.length_unit, lake.time_zone) == ("mm", "America/Denver")

    def test_a_lake_that_is_there_needs_neither(self, password, monkeypatch):
        set_up()
        lake = Lake.objects.get()
        before = (lake.length_unit, lake.time_zone)
        monkeypatch.setattr(sys, "stdin", io.StringIO())

        set_up(unit="", time_zone="")

        lake = Lake.objects.get()
        assert (lake.length_unit, lake.time_zone) == before
