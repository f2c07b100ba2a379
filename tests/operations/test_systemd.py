"""The units for a site without Docker, as systemd itself reads them."""

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from tests.operations.site import ROOT

UNITS = sorted((ROOT / "systemd").glob("earstone*"))


@pytest.fixture
def analyzer():
    found = shutil.which("systemd-analyze")
    if found is None:
        pytest.skip("systemd-analyze is not on this machine")
    return found


def verify(analyzer, folder):
    """Have systemd read every unit, as of a machine on which the program is installed."""
    programs = Path(sys.executable).parent
    for unit in UNITS:
        words = unit.read_text().replace("/opt/earstone/.venv/bin", str(programs))
        (folder / unit.name).write_text(words.replace("/opt/earstone", str(ROOT)))
    shutil.copy(folder / "earstone-command@.service", folder / "earstone-command@clean_up.service")
    names = [str(folder / unit.name) for unit in UNITS if "@" not in unit.name]
    return subprocess.run(
        [analyzer, "verify", "--man=no", *names, str(folder / "earstone-command@clean_up.service")],
        env={**os.environ, "SYSTEMD_UNIT_PATH": f"{folder}:"},
        capture_output=True,
        text=True,
        check=False,
    )


def complaints(done, folder):
    """Return what it says about our units; other units of this machine are not ours."""
    said = (done.stdout + done.stderr).splitlines()
    return [line for line in said if str(folder) in line or "earstone" in line]


def test_systemd_has_nothing_to_object(analyzer, tmp_path):
    assert complaints(verify(analyzer, tmp_path), tmp_path) == []


def test_it_would_object(analyzer, tmp_path, monkeypatch):
    broken = tmp_path / "broken" / "earstone.service"
    broken.parent.mkdir()
    words = (ROOT / "systemd/earstone.service").read_text()
    broken.write_text(words.replace("TimeoutStopSec=40", "TimeoutStopSec=soon"))
    others = [unit for unit in UNITS if unit.name != broken.name]
    monkeypatch.setattr("tests.operations.test_systemd.UNITS", [broken, *others])
    (tmp_path / "units").mkdir()
    said = complaints(verify(analyzer, tmp_path / "units"), tmp_path / "units")

    assert any(line.endswith("soon") for line in said)
