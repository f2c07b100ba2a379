"""Run the fault harness by hand: python -m tests.faults --small | --large [--seed N].

It starts a PostgreSQL and a gunicorn of its own, and ends both. The exit code is 1 if the
reckoning finds a fault. ``--broken`` serves a site that is broken on purpose: then faults
are what it should find.
"""

import argparse
import os
import pathlib
import signal
import sys
import warnings

from tests.faults import server


def main(arguments):
    asked = _parse(arguments)
    # What is asked to end still ends what it started.
    signal.signal(signal.SIGTERM, lambda *_: sys.exit(143))
    # Nothing has been collected for the pages that the reckoning looks at.
    warnings.filterwarnings("ignore", message="No directory at")
    folder = server.make_folder()
    outcome = _run(asked, folder, server.Database(folder))
    print(outcome.summary())
    if outcome.faults:
        print("the end of gunicorn's log:", *outcome.log_tail, sep="\n  ")
    if asked.json is not None:
        asked.json.write_text(outcome.as_json(), encoding="utf-8")
    return 1 if outcome.faults else 0


def _run(asked, folder, database):
    os.environ["DATABASE_URL"] = database.address
    os.environ["EARSTONE_MEDIA"] = str(folder / "media")
    os.environ["DJANGO_SETTINGS_MODULE"] = "fisheries.settings"
    import django

    django.setup()
    from django.core.management import call_command
    from django.db import connections

    from tests.faults.run import LARGE, SMALL, run

    if asked.like:
        database.copy_from(asked.like)
    call_command("migrate", verbosity=0)
    try:
        return run(
            LARGE if asked.large else SMALL,
            seed=asked.seed,
            database=database,
            folder=folder,
            broken_as=asked.broken,
        )
    finally:
        connections.close_all()


def _parse(arguments):
    parser = argparse.ArgumentParser(prog="python -m tests.faults", description=__doc__)
    size = parser.add_mutually_exclusive_group()
    size.add_argument("--small", action="store_true", help="20 phones x 10 fish, 2 kills")
    size.add_argument("--large", action="store_true", help="200 phones x 50 fish, 20 kills")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--broken", choices=["unique", "lock", "clock"], default="")
    parser.add_argument(
        "--like", default="", help="address of a migrated database: start as its copy"
    )
    parser.add_argument("--json", type=pathlib.Path, help="write figures and faults here too")
    return parser.parse_args(arguments)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
