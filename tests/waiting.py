"""Waiting for another connection to stand before a lock, so that a race is played and not luck."""

import time

import pytest
from django.db import connection

# Only a failure takes so long. A busy machine is no reason to fail.
LONGEST_S = 60
# Other tests run beside this one on the same server, each in a database of its own.
WAITING = """
    SELECT count(*) FROM pg_locks JOIN pg_stat_activity USING (pid)
    WHERE NOT granted AND datname = current_database()
"""


def wait_until_somebody_waits_for_a_lock():
    deadline = time.monotonic() + LONGEST_S
    while time.monotonic() < deadline:
        with connection.cursor() as cursor:
            # What is told of activity stays as it was first asked for in a transaction: whoever
            # connected later would never be seen.
            cursor.execute("SELECT pg_stat_clear_snapshot()")
            cursor.execute(WAITING)
            if cursor.fetchone()[0]:
                return
        time.sleep(0.01)
    pytest.fail("nobody waited for the lock")
