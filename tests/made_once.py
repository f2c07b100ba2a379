"""Make once a worker what a site makes once a process, and every test's client would make again.

Each client of a test starts the site's middleware anew: WhiteNoise looks for every file that it may
serve, which takes longer than most pages.
"""

import functools
from typing import Any

from django.conf import settings
from django.db.models.manager import BaseManager
from simple_history.manager import HistoryManager
from whitenoise.middleware import WhiteNoiseMiddleware

# What decides which files are found, and how they are served.
DECIDES = ("INSTALLED_APPS", "STATICFILES_DIRS", "STATICFILES_FINDERS", "STATIC_URL", "STORAGES")


def keep_files_found() -> None:
    """Let WhiteNoise look for the files of the apps once for the same settings."""
    find: Any = WhiteNoiseMiddleware.add_files_from_finders
    kept: dict[str, dict[str, Any]] = {}

    def add_kept(self: Any) -> None:
        key = repr([getattr(settings, name) for name in DECIDES])
        key += repr([self.static_prefix, self.max_age, self.allow_all_origins, self.charset])
        if key not in kept:
            before, self.files = self.files, {}
            find(self)
            kept[key], self.files = self.files, before
        self.files.update(kept[key])

    WhiteNoiseMiddleware.add_files_from_finders = add_kept


def keep_managers_of_history() -> None:
    """Let the class of a model's history manager, made at each look at it, be made once."""
    make: Any = BaseManager.from_queryset
    make_once: Any = functools.cache(make.__func__)
    HistoryManager.from_queryset = classmethod(make_once)


def pytest_configure(config: Any) -> None:
    keep_files_found()
    keep_managers_of_history()
