"""How settings are taken from the environment, and secrets from files."""

import os
from pathlib import Path

from django.core.exceptions import ImproperlyConfigured


def listed(name: str, default: str = "") -> list[str]:
    """Read words with commas between."""
    return [word.strip() for word in os.environ.get(name, default).split(",") if word.strip()]


def secret(name: str) -> str | None:
    """Read a secret from NAME, or from the file that NAME_FILE names.

    :raises ImproperlyConfigured: if both are set, or the file cannot be read
    """
    value, file = os.environ.get(name), os.environ.get(f"{name}_FILE")
    if not file:
        return value
    if value:
        raise ImproperlyConfigured(f"Set {name} or {name}_FILE, not both.")
    try:
        return Path(file).read_text(encoding="utf-8").strip()
    except OSError as problem:
        raise ImproperlyConfigured(f"{name}_FILE: {file} cannot be read.") from problem
