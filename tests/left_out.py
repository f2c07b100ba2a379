"""Why a test may be left out: the only reasons, each run or said elsewhere.

Those of one database run on that one, and what runs once does so on PostgreSQL. The open data lie
beside the project, are never part of it, and need not be there: what they check is also checked on
published sets that the tests hold.
"""

from pathlib import Path

import pytest

ON_POSTGRESQL = "holds on PostgreSQL only"
ONCE = "runs once, on PostgreSQL"
ON_SQLITE = "asks SQLite for its plan"
KEPT_BY_SQLITE = "only SQLite ever kept half a sign"
NOT_HERE = "the open data are not beside the project"
REASONS = (ON_POSTGRESQL, ONCE, ON_SQLITE, KEPT_BY_SQLITE, NOT_HERE)

REAL_FISH = Path(__file__).parents[2] / "shared" / "data" / "west_bearskin_smallmouth.csv"
needs_real_fish = pytest.mark.skipif(not REAL_FISH.exists(), reason=NOT_HERE)
