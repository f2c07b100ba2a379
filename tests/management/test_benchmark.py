"""The benchmark command: what it runs, in which database, and what it prints."""

import io
import json
import os
import subprocess
from types import SimpleNamespace

import pytest
from django.core.management import CommandError, call_command
from django.db import connection

from samples.management.commands import benchmark
from samples.management.timing import BenchmarkResult, in_turn

FOUND = BenchmarkResult("one thing", 3.0, 2.0, "ms", "at most 1.5 x", met=True)


class TestResult:
    def test_says_how_far_ours_is_from_the_floor(self):
        assert FOUND.as_dict() == {
            "name": "one thing",
            "ours": 3.0,
            "floor": 2.0,
            "unit": "ms",
            "ratio": 1.5,
            "goal": "at most 1.5 x",
            "met": True,
        }


class TestTiming:
    def test_both_run_in_turn_and_the_first_rounds_do_not_count(self):
        ran = []

        ours, floor = in_turn(lambda: ran.append("a"), lambda: ran.append("b"), rounds=4, warm=1)

        assert "".join(ran) == "ab" * 5
        assert ours >= 0
        assert floor >= 0


class TestChoosing:
    def test_finds_each_benchmark_by_its_name(self):
        found = benchmark.modules([])

        assert "coverage" in [module.NAME for module in found]
        assert all(callable(module.run) for module in found)

    def test_an_unknown_name_is_refused_with_those_there_are(self):
        with pytest.raises(CommandError, match=r"called nosuch\. There are: .*coverage"):
            call_command("benchmark", "nosuch")

    def test_starts_again_with_the_database_that_was_named(self, monkeypatch):
        started = []
        monkeypatch.delenv(benchmark.CHOSEN, raising=False)

        def run(command, **how):
            started.append((command, how))
            return SimpleNamespace(returncode=0)

        monkeypatch.setattr(subprocess, "run", run)

        call_command("benchmark", "coverage", database="postgresql://somebody@/somewhere")

        ((command, how),) = started
        assert command[-2:] == ["benchmark", "coverage"]
        assert how["env"]["DATABASE_URL"] == "postgresql://somebody@/somewhere"
        assert how["env"][benchmark.CHOSEN] == "1"

    def test_a_run_that_broke_off_is_an_error(self, monkeypatch):
        monkeypatch.delenv(benchmark.CHOSEN, raising=False)
        monkeypatch.setattr(subprocess, "run", lambda *_, **how: SimpleNamespace(returncode=3))

        with pytest.raises(CommandError) as caught:
            call_command("benchmark", database="sqlite:///x.sqlite3")
        assert caught.value.returncode == 3


class TestMeasuring:
    def test_prints_one_object_a_line_from_a_database_of_its_own(self, monkeypatch):
        seen = []
        creation = type(connection.creation)
        monkeypatch.setattr(creation, "create_test_db", lambda self, **how: seen.append("made"))
        monkeypatch.setattr(creation, "destroy_test_db", lambda *_, **how: seen.append("gone"))

        def run():
            seen.append("ran")
            return [FOUND, FOUND]

        monkeypatch.setattr(
            benchmark, "modules", lambda names: [SimpleNamespace(NAME="it", run=run)]
        )
        monkeypatch.setitem(os.environ, benchmark.CHOSEN, "1")
        out = io.StringIO()

        call_command("benchmark", stdout=out)

        assert seen == ["made", "ran", "gone"]
        assert [json.loads(line) for line in out.getvalue().splitlines()] == [FOUND.as_dict()] * 2
