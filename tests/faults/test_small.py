"""The small run, and that it fails on a site that is broken on purpose.

Each run has a PostgreSQL and a gunicorn of its own: the database of the tests is not touched.
"""

import json
import os
import subprocess
import sys

import pytest

from tests.faults.server import ROOT

pytestmark = pytest.mark.postgres

LONGEST = 240


def run(tmp_path, *arguments):
    """Run the harness in a process of its own and return its exit code and its outcome."""
    written = tmp_path / "outcome.json"
    harness = subprocess.Popen(
        [sys.executable, "-m", "tests.faults", "--small", "--json", str(written), *arguments],
        cwd=ROOT,
        env={name: value for name, value in os.environ.items() if name != "DATABASE_URL"},
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
    )
    try:
        said, _ = harness.communicate(timeout=LONGEST)
    finally:
        # Asked to end, it ends its servers too.
        harness.terminate()
        harness.wait(timeout=30)
    assert written.exists(), said
    return harness.returncode, json.loads(written.read_text())


def test_nothing_that_a_phone_believes_saved_is_lost_or_doubled(tmp_path):
    code, outcome = run(tmp_path)

    assert outcome["faults"] == {}
    assert code == 0
    figures = outcome["figures"]
    assert len(figures["by kind"]) == 8
    assert figures["ruin"] == {
        "workers killed": 1,
        "whole sites killed": 1,
        "databases stopped": 1,
    }
    for fate in ("answer dropped", "body cut", "answer cut", "doubled", "delayed", "replayed late"):
        assert figures["link"][fate] > 0
    assert figures["held"]["vial_taken"] > 0


def test_it_catches_a_fish_that_may_be_there_twice(tmp_path):
    code, outcome = run(tmp_path, "--broken", "unique")

    assert code == 1
    assert any("is there 2 times" in fault for fault in outcome["faults"]["a belief fails"])
    assert any("holds 2 fish" in fault for fault in outcome["faults"]["vials and fish disagree"])


def test_it_catches_a_vial_that_is_not_locked(tmp_path):
    code, outcome = run(tmp_path, "--broken", "lock")

    assert code == 1
    assert any("held as 'not_foreseen'" in fault for fault in outcome["faults"]["a belief fails"])


def test_it_catches_the_servers_time_in_place_of_the_phones(tmp_path):
    code, outcome = run(tmp_path, "--broken", "clock")

    assert code == 1
    assert any("by the phone's clock" in fault for fault in outcome["faults"]["a belief fails"])
