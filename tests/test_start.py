"""What a worker brings in when it starts: those that serve phones stay small."""

import subprocess
import sys
from pathlib import Path

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


def test_starts_without_the_libraries_of_findings():
    done = subprocess.run(
        [sys.executable, "-W", "ignore", "-c", START],
        capture_output=True,
        text=True,
        cwd=ROOT,
        check=True,
    )

    assert done.stdout.strip() == "[]"
