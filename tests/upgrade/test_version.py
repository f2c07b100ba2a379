"""A release has one number, said in one place, and the changelog knows it."""

import tomllib
from datetime import date

import fisheries
from tests.upgrade.releases import RELEASE, ROOT, days, heads, in_order, released


def test_the_changelog_begins_with_what_is_not_released_and_dates_everything_else():
    first, *rest = heads()

    assert first == "Unreleased"
    assert [head for head in rest if not RELEASE.fullmatch(head)] == []
    dated = [date.fromisoformat(day) for day in days()]
    assert dated == sorted(dated, reverse=True)


def test_the_newest_release_is_the_version_of_the_program():
    versions = released()

    assert versions[0] == fisheries.__version__
    assert versions == sorted(versions, key=in_order, reverse=True)
    assert len(versions) == len(set(versions))


def test_the_package_takes_its_version_from_the_program():
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))

    assert "version" in project["project"]["dynamic"]
    assert "version" not in project["project"]
    assert project["tool"]["setuptools"]["dynamic"]["version"] == {"attr": "fisheries.__version__"}
