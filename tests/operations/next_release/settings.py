"""This release's settings, with the tables of a release after it."""

from fisheries.settings import *  # noqa: F403

MIGRATION_MODULES = {"samples": "tests.operations.next_release.migrations"}
