"""The site's own settings for tests: what takes long is done at once, by the page that asks."""

import os

os.environ.setdefault("EARSTONE_WORKER", "none")

from fisheries.settings import *  # noqa: F403
from fisheries.settings import CACHES, DATABASES, STORAGES

# No test leaves a photo behind; one about files names a folder of its own.
MEDIA_ROOT = ""
STORAGES["default"] = {"BACKEND": "django.core.files.storage.InMemoryStorage"}
STORAGES["tiles"] = {"BACKEND": "django.core.files.storage.InMemoryStorage"}

# The database of tests is in memory, whatever file is named; so are the results.
if "sqlite" in DATABASES["default"]["ENGINE"]:
    CACHES["results"] = {
        "BACKEND": "django.core.cache.backends.locmem.LocMemCache",
        "LOCATION": "results",
    }
elif template := os.environ.get("EARSTONE_TESTS_TEMPLATE"):
    # Where all tests run (tests/__main__.py), one database is migrated and each worker's copied.
    DATABASES["default"]["TEST"] = {"TEMPLATE": template}

# A password is slow to check by intent, and tests type hundreds; those kept before stay readable.
# tests/accounts/test_sign_in.py signs in with the site's own.
PASSWORD_HASHERS = [
    "django.contrib.auth.hashers.MD5PasswordHasher",
    "django.contrib.auth.hashers.PBKDF2PasswordHasher",
]
