"""The checks of .ci/run: the README's own commands, in order, and a stop at the first failure."""

import os
import pathlib
import re
import shutil
import subprocess

import pytest

ROOT = pathlib.Path(__file__).resolve().parent.parent
TOOLS = ("ruff", "mypy", "lint-imports", "python")
MACHINE = (
    *("python3", "chromium", "node", "apt-get"),
    *("nginx", "caddy", "systemd-analyze", "openssl"),
)
README = """
Something else first:

```
make tea
```

```
python3 -m venv .venv && .venv/bin/python -m pip install -r dev.txt && .venv/bin/python -m tests
```
"""


def write_tool(path, log, name, code=0):
    path.write_text(f'#!/bin/sh\necho "{name} $*" >> "{log}"\nexit {code}\n', encoding="utf-8")
    path.chmod(0o755)


@pytest.fixture
def machine(tmp_path):
    """Return a tree with the real .ci/run, in which every tool only notes that it was called."""
    (tmp_path / ".ci").mkdir()
    shutil.copy(ROOT / ".ci/run", tmp_path / ".ci/run")
    (tmp_path / "README.md").write_text(README, encoding="utf-8")
    (tmp_path / "tests/ramp").mkdir(parents=True)
    (tmp_path / "tests/ramp/outbox.test.mjs").touch()
    (tmp_path / ".venv/bin").mkdir(parents=True)
    for name in TOOLS:
        write_tool(tmp_path / ".venv/bin" / name, tmp_path / "log", name)
    (tmp_path / "path").mkdir()
    for name in MACHINE:
        write_tool(tmp_path / "path" / name, tmp_path / "log", name)
    return tmp_path


def run_checks(machine, **environment):
    done = subprocess.run(
        ["bash", ".ci/run"],
        cwd=machine,
        env={**os.environ, "PATH": f"{machine / 'path'}:{os.environ['PATH']}", **environment},
        capture_output=True,
        text=True,
        check=False,
    )
    return done, (machine / "log").read_text(encoding="utf-8").splitlines()


INSTALL = "python -m pip install -r dev.txt"
FIND_TESTS = "python -m pytest --collect-only -qq"
MIGRATIONS = "python -W error manage.py makemigrations --check --dry-run"


def test_runs_everything_in_order(machine):
    done, log = run_checks(machine)

    assert done.returncode == 0, done.stderr
    # Types are checked beside the others, and before the tests begin.
    assert "mypy " in log[log.index("ruff check .") : log.index("python -m tests")]
    assert [line for line in log if "token_urlsafe" not in line and line != "mypy "] == [
        "python3 -m venv .venv",
        INSTALL,
        "ruff format --check .",
        "ruff check .",
        "lint-imports --no-cache",
        FIND_TESTS,
        MIGRATIONS,
        "python manage.py check --deploy --fail-level WARNING",
        "node --test tests/ramp/outbox.test.mjs",
        "python -m tests",
    ]


@pytest.mark.parametrize("tool", ["ruff", "lint-imports"])
def test_stops_where_a_check_fails(machine, tool):
    write_tool(machine / ".venv/bin" / tool, machine / "log", tool, code=3)

    done, log = run_checks(machine)

    assert done.returncode == 3
    assert [line for line in log if line != "mypy "][-1].startswith(tool)


def test_stops_where_a_test_cannot_be_found_and_says_why(machine):
    found = "tests/a.py: 7"
    python = machine / ".venv/bin/python"
    python.write_text(
        f"""#!/bin/sh
echo "python $*" >> "{machine / "log"}"
case "$*" in *--collect-only*) echo "{found}"; echo "ERROR tests/b.py"; exit 2;; esac
""",
        encoding="utf-8",
    )

    done, log = run_checks(machine)

    assert done.returncode == 2
    assert "ERROR tests/b.py" in done.stdout
    assert found not in done.stdout
    assert log[-1] == FIND_TESTS


def test_stops_before_the_tests_where_types_fail_and_says_why(machine):
    mypy = machine / ".venv/bin/mypy"
    mypy.write_text('#!/bin/sh\necho "lake.py:3:error"\nexit 3\n', encoding="utf-8")

    done, log = run_checks(machine)

    assert done.returncode == 3
    assert "lake.py:3:error" in done.stdout
    assert log[-1].startswith("node")


def test_says_how_long_each_check_took(machine):
    done, _ = run_checks(machine)

    took = re.findall(r"^ *\d+ s  (.+)$", done.stdout, re.MULTILINE)
    tools = [line.split()[0].rpartition("/")[2] for line in took]
    assert tools[:4] == ["env", "ruff", "ruff", "lint-imports"]
    assert "mypy" in tools
    assert took[-1] == "in all"


def test_fails_where_all_of_it_takes_too_long(machine):
    """However fast these are, they do not end before they began."""
    done, log = run_checks(machine, EARSTONE_CI_LONGEST_S="-1")

    assert done.returncode == 1
    assert "-1 s " in done.stderr
    assert log[-1] == "python -m tests"


def test_goes_without_script_tests_when_there_are_none(machine):
    (machine / "tests/ramp/outbox.test.mjs").unlink()

    done, log = run_checks(machine)

    assert done.returncode == 0
    assert log[-1] == "python -m tests"


def test_says_so_when_the_readme_has_no_test_command(machine):
    (machine / "README.md").write_text("Nothing here.\n", encoding="utf-8")
    (machine / "log").touch()

    done, log = run_checks(machine)

    assert done.returncode == 1
    assert "README.md" in done.stderr
    assert log == []


def test_the_readme_sets_up_and_tests_in_one_line():
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    blocks = re.findall(r"^```\n(.*?)^```", text, re.MULTILINE | re.DOTALL)
    [line] = [block.strip() for block in blocks if "-m tests" in block]

    parts = line.split(" && ")
    assert parts[0] == "python3 -m venv .venv"
    assert parts[1].endswith("pip install --require-hashes -r requirements-dev.txt")
    assert parts[2:] == [".venv/bin/python -m tests"]
