"""What whoever sets a site up reads of it, word for word."""

import io

import pytest
from django.core.management import CommandError, call_command

from tests.management.test_set_up_lake import set_up


@pytest.mark.django_db
def test_a_lake_that_is_there(monkeypatch):
    monkeypatch.setenv("EARSTONE_PASSWORD", "lantern and whisper")

    first, again = set_up(), set_up()

    assert "Lake Orrinbeck is set up.\nN. Aubrey, biologist, is set up.\n" in first
    assert "2. Choose the species that are sampled: /lakes/lake-orrinbeck/" in first
    assert "Lake Orrinbeck already existed and is unchanged." in again
    assert "N. Aubrey, biologist, already existed; the password is unchanged." in again


@pytest.mark.django_db
def test_a_time_zone_that_is_not_known(monkeypatch):
    monkeypatch.setenv("EARSTONE_PASSWORD", "lantern and whisper")

    with pytest.raises(CommandError) as refused:
        set_up(time_zone="Central")

    assert str(refused.value) == "--time-zone Central is not known. Example: America/Chicago."


def test_a_benchmark_of_no_such_name():
    with pytest.raises(CommandError, match=r"^No benchmark called tides\. There are: "):
        call_command("benchmark", "tides", stdout=io.StringIO())
