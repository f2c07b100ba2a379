"""The site's settings for a worker in tests: work that can be watched, and short patience."""

from fisheries.settings import *  # noqa: F403
from fisheries.settings import DATABASES

COMPUTATIONS = {"test": "tests.computations.work.compute"}
COMPUTATION_LEASE_S = 2.0
WORKER_INTERVAL_S = 0.05
_options = DATABASES["default"]["OPTIONS"]
if "sqlite" in DATABASES["default"]["ENGINE"]:
    _options["timeout"] = 0.5
else:
    _options["options"] = "-c lock_timeout=500"
