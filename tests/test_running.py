"""How the tests themselves are run: what runs once, what on each database, and how long."""

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest
from _pytest.mark.expression import Expression

from tests import __main__ as runs
from tests.conftest import fail_if_left_out
from tests.left_out import LEFT_OUT_ON, ON_SQLITE, RunsNowhere, why_left_out

ROOT = Path(__file__).parents[1]


def is_marked(request):
    return request.node.get_closest_marker("database") is not None


class TestWhatUsesTheDatabase:
    def test_nothing_asked_for(self, request):
        assert not is_marked(request)

    def test_a_lake_is_in_it(self, request, lake):
        assert is_marked(request)

    @pytest.mark.django_db
    def test_a_mark_lets_it_in(self, request):
        assert is_marked(request)

    def test_what_a_fixture_of_a_fixture_asks_for(self, request, party):
        assert is_marked(request)


def databases_of(ran, *marks):
    """Return the databases on which a test with these marks runs, in order."""
    return [
        database
        for _, arguments, database in ran
        if Expression.compile(re.findall(r"-m (.*?) -n", arguments)[0]).evaluate(
            lambda name, /, **_: name in marks
        )
    ]


class TestRuns:
    @pytest.fixture
    def ran(self, monkeypatch):
        """Return the runs, in order, each with its database; every one of them ends well."""
        calls = []

        def run(heading, arguments, database, template=""):
            calls.append((heading, " ".join(arguments), database.partition(":")[0]))
            return runs.Stage(heading, 0, 12.3)

        monkeypatch.setattr(runs, "run", run)
        monkeypatch.setattr(runs, "start_postgresql", lambda: "postgresql://postgres@/postgres")
        monkeypatch.setattr(runs, "make_sqlite_template", lambda: "earstone_template.sqlite3")
        return calls

    def test_everything_runs_on_its_databases_and_what_needs_none_once(self, ran):
        runs.main(["tests/lab"])

        assert databases_of(ran) == ["sqlite"]
        assert databases_of(ran, "database") == ["sqlite", "postgresql"]
        assert databases_of(ran, "database", "browser") == ["postgresql"]
        assert all(call[1].endswith("tests/lab") for call in ran)

    def test_what_waits_leaves_its_core_to_another(self, ran):
        runs.main([])

        workers = [re.findall(r"-n (\d+)", call[1])[0] for call in ran]
        assert workers == ["3", "3", "3"]

    def test_says_how_long_each_took(self, ran, capsys):
        assert runs.main([]) == 0

        said = capsys.readouterr().out
        assert said.count("12 s  Tests") == len(ran)
        assert f"{round(12.3 * len(ran))} s  in all" in said

    def test_fails_where_any_of_them_failed(self, ran, monkeypatch):
        def run(heading, *_):
            return runs.Stage(heading, 1 if "browser" in heading else 0, 1.0)

        monkeypatch.setattr(runs, "run", run)

        assert runs.main([]) == 1

    def test_nothing_found_anywhere_is_no_success(self, ran, monkeypatch):
        monkeypatch.setattr(
            runs, "run", lambda heading, *_: runs.Stage(heading, runs.NOTHING_FOUND, 1.0)
        )

        assert runs.main(["tests/nosuch"]) == runs.NOTHING_FOUND

    @pytest.mark.parametrize(("asked", "code"), [([], runs.NOTHING_FOUND), (["tests/rules"], 0)])
    def test_a_run_of_nothing_is_fine_only_where_a_part_was_asked_for(
        self, ran, monkeypatch, asked, code
    ):
        def run(heading, *_):
            found = runs.NOTHING_FOUND if "Tests on PostgreSQL" in heading else 0
            return runs.Stage(heading, found, 1.0)

        monkeypatch.setattr(runs, "run", run)

        assert runs.main(asked) == code


class TestWhyLeftOut:
    @pytest.mark.parametrize(
        ("marker", "left_out_on"),
        [("postgres", ["sqlite"]), ("once", ["sqlite"]), ("sqlite", ["postgresql"]), ("long", [])],
    )
    def test_what_is_left_out_on_one_database_runs_on_the_other(self, marker, left_out_on):
        assert [on for on in LEFT_OUT_ON if why_left_out({marker}, on)] == left_out_on

    def test_nothing_is_left_out_on_both(self):
        with pytest.raises(RunsNowhere):
            why_left_out({"once", "sqlite"}, "sqlite")

    @pytest.mark.parametrize("kind", [pytest.CollectReport, pytest.TestReport])
    @pytest.mark.parametrize(
        ("ci", "reason", "outcome"),
        [
            ("true", "of a module that is not here", "failed"),
            ("true", ON_SQLITE, "skipped"),
            ("", "of a module that is not here", "skipped"),
        ],
    )
    def test_any_other_reason_fails_under_ci_for_a_test_as_for_a_module(
        self, monkeypatch, kind, ci, reason, outcome
    ):
        monkeypatch.setenv("CI", ci)
        place = ("tests/x.py", 1, f"Skipped: {reason}")
        facts = {
            pytest.CollectReport: {"result": []},
            pytest.TestReport: {"location": place, "keywords": {}, "when": "setup"},
        }[kind]

        report = kind(nodeid="tests/x.py", outcome="skipped", longrepr=place, **facts)

        assert fail_if_left_out(report).outcome == outcome


RUN = {
    "browser": ["tests/vials/test_browser.py", "-k", "scan_after_scan"],
    "systemd": ["tests/operations/test_systemd.py"],
}


@pytest.mark.parametrize("missing", RUN)
class TestLeftOut:
    """What a test needs is missing: it is left out on one's own machine, and fails under CI."""

    @pytest.fixture
    def run(self, missing):
        def run(**environment):
            named = {name: value for name, value in os.environ.items() if name != "CI"}
            return subprocess.run(
                [sys.executable, "-m", "pytest", *RUN[missing], "-p", "no:cacheprovider", "-q"],
                capture_output=True,
                text=True,
                cwd=ROOT,
                env=named | {"PATH": "", "EARSTONE_BROWSER": ""} | environment,
            )

        return run

    def test_is_said_on_a_machine_of_ones_own(self, run):
        done = run()

        assert done.returncode == 0, done.stdout
        assert " skipped" in done.stdout.splitlines()[-1]

    def test_fails_under_ci(self, run):
        done = run(CI="true")

        assert done.returncode == 1, done.stdout
        assert " skipped" not in done.stdout.splitlines()[-1]
