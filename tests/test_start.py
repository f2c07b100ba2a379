"""What a worker brings in when it starts: those that serve phones stay small."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
START = """
import os, sys
os.environ["DJANGO_SETTINGS_MODULE"] = "fisheries.settings"
from fisheries.wsgi import application
from django.urls import reverse
reverse("ramp:shell")
print([name for name in ("numpy", "pandas", "scipy", "statsmodels", "matplotlib")
       if name in sys.modules])
"""


# What gunicorn's processes do before their first request, so that loading holds nobody up.
WARM = "from fisheries.warm import load_pages; load_pages(); "


@pytest.mark.parametrize(
    ("before", "loaded"),
    [
        pytest.param("", "[]", id="the application"),
        pytest.param(WARM, "['numpy']", id="a process of the web server"),
    ],
)
def test_starts_without_the_libraries_that_only_a_worker_needs(before, loaded):
    done = subprocess.run(
        [sys.executable, "-W", "ignore", "-c", START.replace("print(", before + "print(")],
        capture_output=True,
        text=True,
        cwd=ROOT,
        check=True,
    )

    assert done.stdout.strip() == loaded


# The libraries start their pools of threads when they load, one thread for each core.
BESIDE_THIS_ONE = """
import os
import numpy, scipy.linalg
numpy.ones((600, 600)) @ numpy.ones((600, 600))
print(len(os.listdir("/proc/self/task")))
"""
WAYS_IN = {
    "a web server": [
        sys.executable,
        "-W",
        "ignore",
        "-c",
        "import fisheries.wsgi" + BESIDE_THIS_ONE,
    ],
    "a command": [
        sys.executable,
        "-W",
        "ignore",
        "manage.py",
        "shell",
        "--command",
        BESIDE_THIS_ONE,
    ],
}


@pytest.mark.skipif(sys.platform != "linux", reason="threads are counted as Linux lists them")
@pytest.mark.parametrize("way", WAYS_IN)
def test_findings_are_computed_in_one_thread(way):
    environment = {
        name: value for name, value in os.environ.items() if not name.endswith("_NUM_THREADS")
    }

    done = subprocess.run(
        WAYS_IN[way], capture_output=True, text=True, cwd=ROOT, env=environment, check=True
    )

    assert done.stdout.splitlines()[-1] == "1"
