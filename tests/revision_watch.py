"""What findings read, counted over its history: a slow way to know that it changed.

The revision of a lake must move whenever this does. In the tests of services every one that runs
is watched, whatever the test is about; on SQLite alone, where it costs the least.
"""

import sys
from typing import Any

import pytest
from django.db import connection
from django.db.models import Count, Max

from samples.models import (
    Age,
    AgeAsGiven,
    Arm,
    CreelFigures,
    Fish,
    Lake,
    LakeSpecies,
    NaturalDeath,
    Party,
    Radius,
    Reading,
    Regulation,
    ReleaseDeath,
    Season,
    Species,
    TagReturns,
    User,
    read_revision,
    revision,
)

WATCHED = {
    "exchange": {"test_import", "test_rings_table"},
    "lab": {"test_services", "test_radii", "test_take_back"},
    "ramp": {
        "test_corrections",
        "test_decisions",
        "test_reopening",
        "test_resolving",
        "test_services",
        "test_trips",
    },
    "vials": {"test_services"},
    "waters": {"test_catalogue", "test_elsewhere", "test_own_values", "test_services"},
}
OF_LAKE: list[Any] = [Fish, Party, Arm, Season, LakeSpecies, Regulation]
OF_LAKE += [NaturalDeath, ReleaseDeath, TagReturns, CreelFigures]
OF_FISH: list[Any] = [Age, AgeAsGiven]


def fingerprint(lake):
    """Return what tells the data that findings of a lake read from any earlier ones."""
    counts = {"last": Max("history_id"), "all": Count("pk")}
    histories = [
        Lake.history.filter(id=lake),
        Species.history.all(),
        Reading.history.filter(vial__fish__lake=lake),
        *[model.history.filter(lake=lake) for model in OF_LAKE],
        *[model.history.filter(fish__lake=lake) for model in OF_FISH],
    ]
    values = [
        Fish.objects.filter(lake=lake).values_list("pk", "progress", "vial"),
        Radius.objects.filter(reading__vial__fish__lake=lake).values_list("pk", "radius_um"),
        User.objects.filter(readings__vial__fish__lake=lake).values_list("pk", "display_name"),
    ]
    return [
        *[history.aggregate(**counts) for history in histories],
        *[sorted(map(str, rows)) for rows in values],
    ]


def state():
    """Return fingerprint and revision of every lake."""
    lakes = Lake.objects.values_list("pk", flat=True)
    return {lake: (fingerprint(lake), read_revision(lake)) for lake in lakes}


class Watched(revision._Changes):
    """Changes of a service's transaction, with the state of every lake before them."""

    def __init__(self):
        super().__init__()
        by_service = sys._getframe(1).f_code.co_name == "atomic_with_revision"
        self.before = state() if by_service else None

    def move(self):
        super().move()
        if self.before is None:
            return
        for lake, (data, moved) in state().items():
            data_before, moved_before = self.before.get(lake, ([], ""))
            if data != data_before:
                assert moved != moved_before, f"the revision of lake {lake} did not move"


@pytest.fixture(autouse=True)
def _watched(request, monkeypatch):
    """Fail where a service changes what findings of a lake read and its revision stays."""
    path = request.node.path
    if path.stem not in WATCHED.get(path.parent.name, ()) or connection.vendor != "sqlite":
        return
    counting = any("num_queries" in name for name in request.fixturenames)
    marked = request.node.get_closest_marker("django_db")
    in_threads = bool(marked and marked.kwargs)
    if "db" in request.fixturenames and not counting and not in_threads:
        monkeypatch.setattr(revision, "_Changes", Watched)
