"""Collect style sheets and scripts, and keep those of the last versions for a while."""

import json
import os
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand

DAY_S = 24 * 60 * 60
MANIFEST = "staticfiles.json"


class Command(BaseCommand):
    help = (
        "Collect style sheets and scripts for the web server. Replaced versions stay for 30 "
        "days, for pages that are still open."
    )

    def add_arguments(self, parser: Any) -> None:
        parser.add_argument("--keep-days", type=int, default=30, metavar="N")

    def handle(self, *args: Any, **options: Any) -> None:
        root, now = Path(settings.STATIC_ROOT), time.time()
        # Their time is when they were last in use, from which the days are counted.
        for file in published(root):
            os.utime(file, (now, now))
        call_command("collectstatic", interactive=False, verbosity=0)
        current = set(published(root))
        removed = [
            file
            for file in root.rglob("*")
            if file.is_file()
            and file not in current
            and file.stat().st_mtime < now - options["keep_days"] * DAY_S
        ]
        for file in removed:
            file.unlink()
        kept = len(current)
        self.stdout.write(f"{kept} files published; {len(removed)} of earlier versions removed.")


def published(root: Path) -> Iterator[Path]:
    """Return every file that the manifest names, under both its names and packed."""
    manifest = root / MANIFEST
    if not manifest.exists():
        return
    yield manifest
    paths: dict[str, str] = json.loads(manifest.read_text(encoding="utf-8"))["paths"]
    for pair in paths.items():
        for name in pair:
            for ending in ("", ".gz", ".br"):
                file = root / f"{name}{ending}"
                if file.exists():
                    yield file
