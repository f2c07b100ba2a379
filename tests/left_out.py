"""Why a test may be left out: the only reasons. What is left out on one database runs on the other.

Anything else that leaves a test out, at its start or with its whole module, fails under CI.
"""

ON_POSTGRESQL = "holds on PostgreSQL only"
ONCE = "runs once, on PostgreSQL"
ON_SQLITE = "holds on SQLite only"
# On each database, the markers of what is left out there, and why.
LEFT_OUT_ON = {
    "sqlite": {"postgres": ON_POSTGRESQL, "once": ONCE},
    "postgresql": {"sqlite": ON_SQLITE},
}
REASONS = {reason for marked in LEFT_OUT_ON.values() for reason in marked.values()}


class RunsNowhere(Exception):
    """A test is left out on every database."""


def why_left_out(markers: set[str], database: str) -> str:
    """Return why a test with these markers is left out on a database; empty if it runs.

    :raises RunsNowhere: if no database is left for it
    """
    reasons = {
        on: next((why for marker, why in marked.items() if marker in markers), "")
        for on, marked in LEFT_OUT_ON.items()
    }
    if all(reasons.values()):
        raise RunsNowhere(markers)
    return reasons[database]
