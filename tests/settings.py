"""The site's own settings for tests: what takes long is done at once, by the page that asks."""

import os

os.environ.setdefault("EARSTONE_WORKER", "none")

from fisheries.settings import *  # noqa: F403
