"""The releases that are in the field, as CHANGELOG.md tells them."""

import re
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
HEAD = re.compile(r"^## (.*)$", re.MULTILINE)
RELEASE = re.compile(r"(\d+\.\d+\.\d+) - (\d{4}-\d{2}-\d{2})")


def heads():
    """Return the second-level heads of the changelog, from the top."""
    return HEAD.findall((ROOT / "CHANGELOG.md").read_text(encoding="utf-8"))


def released():
    """Return the versions that have a date, newest first."""
    return [found[1] for head in heads() if (found := RELEASE.fullmatch(head))]


def days():
    """Return the days of the releases, newest first."""
    return [found[2] for head in heads() if (found := RELEASE.fullmatch(head))]


def in_order(version):
    """Return what versions are sorted by."""
    return tuple(int(part) for part in version.split("."))
