"""Who may import whom: the contracts hold, and each of them is seen to break.

The contracts stand in pyproject.toml; here each is broken on purpose in a copy of the tree.
"""

import os
import pathlib
import shutil
import subprocess
import sys

import pytest

ROOT = pathlib.Path(__file__).resolve().parent.parent
LAYERS = "Layers of samples"
INSIDE = "Layers inside a stage"
PURE = "Pure code knows neither Django nor the database"
ANALYSED = "What a topic analyses knows neither Django nor the database"
WORDLESS = "What a topic analyses writes no words and draws nothing"
BELOW = "Below the doors nobody knows the phone's interface"

PLANTED = {
    "a stage knows another stage": (LAYERS, "samples.ramp", "import samples.lab"),
    "a stage knows the file exchange": (LAYERS, "samples.ramp", "import samples.exchange"),
    "a stage knows the keeping of backups": (
        LAYERS,
        "samples.ramp",
        "import samples.maintenance",
    ),
    "accounts know a stage": (LAYERS, "samples.accounts", "import samples.ramp"),
    "models know accounts": (LAYERS, "samples.models", "import samples.accounts"),
    "units know science": (LAYERS, "samples.units", "import samples.science"),
    "a module without a place": (LAYERS, "samples.utils", ""),
    "a service knows a form": (INSIDE, "samples.ramp.services", "import samples.ramp.forms"),
    "a query knows a service": (INSIDE, "samples.ramp.queries", "import samples.ramp.services"),
    "a file without a place": (INSIDE, "samples.ramp.helpers", ""),
    "science knows Django": (PURE, "samples.science", "import django.db"),
    "a rule knows the tables": (PURE, "samples.rules", "import samples.models"),
    "what topics analyse with reads the tables": (
        ANALYSED,
        "samples.findings.topics.catch",
        "import samples.findings.queries",
    ),
    "what topics analyse with writes words": (
        WORDLESS,
        "samples.findings.topics.study",
        "import samples.findings.page_model",
    ),
    "a service knows serializers": (BELOW, "samples.ramp.services", "import rest_framework"),
}


@pytest.fixture
def copy(tmp_path):
    unwanted = shutil.ignore_patterns("__pycache__", "static", "locale")
    for name in ("samples", "fisheries"):
        shutil.copytree(ROOT / name, tmp_path / name, ignore=unwanted)
    shutil.copy(ROOT / "pyproject.toml", tmp_path)
    return tmp_path


def lint_imports(folder):
    return subprocess.run(
        [pathlib.Path(sys.executable).with_name("lint-imports"), "--no-cache"],
        cwd=folder,
        env={**os.environ, "COLUMNS": "200", "PYTHONPATH": str(folder)},
        capture_output=True,
        text=True,
        check=False,
    )


def file_of(module, folder):
    path = folder.joinpath(*module.split("."))
    return path / "__init__.py" if path.is_dir() else path.with_suffix(".py")


def test_the_contracts_hold(copy):
    done = lint_imports(copy)

    assert done.returncode == 0, done.stdout + done.stderr
    for contract in (LAYERS, INSIDE, PURE, ANALYSED, WORDLESS, BELOW):
        assert f"{contract} KEPT" in done.stdout


@pytest.mark.parametrize("violation", PLANTED)
def test_a_violation_breaks_its_contract(copy, violation):
    contract, module, line = PLANTED[violation]
    with file_of(module, copy).open("a", encoding="utf-8") as planted:
        planted.write(f"\n{line}\n")

    done = lint_imports(copy)

    assert done.returncode == 1
    assert f"{contract} BROKEN" in done.stdout


BANNED = [
    "from django.http import Http404",
    "from django.shortcuts import redirect",
    "from django.utils.timezone import now",
    "from . import views",
]


def lint(line, name):
    command = [sys.executable, "-m", "ruff", "check", "--select", "TID", "--stdin-filename", name]
    return subprocess.run(
        [*command, "-"], cwd=ROOT, input=line + "\n", capture_output=True, text=True, check=False
    )


@pytest.mark.parametrize("line", BANNED)
def test_below_the_doors_nobody_knows_http_or_the_clock(line):
    done = lint(line, "samples/ramp/services.py")

    assert done.returncode == 1
    assert "TID25" in done.stdout


@pytest.mark.parametrize("name", ["samples/ramp/views.py", "samples/ramp/api.py"])
def test_a_door_may(name):
    assert lint(BANNED[0], name).returncode == 0
