"""Remove what has ended by itself: sessions, lock-outs, and work that nobody asks for any more."""

from datetime import timedelta
from typing import Any

from axes.models import AccessAttempt
from django.core.management import call_command
from django.core.management.base import BaseCommand
from django.utils import timezone

from samples.computations.upkeep import prune

# A lock lasts a quarter of an hour; a day later nobody asks about it any more.
LOCK_OUTS_KEPT = timedelta(days=1)


class Command(BaseCommand):
    help = "Remove ended sessions and old lockouts. Runs every night; safe at any time."

    def handle(self, *args: Any, **options: Any) -> None:
        call_command("clearsessions")
        before = timezone.now() - LOCK_OUTS_KEPT
        removed, _ = AccessAttempt.objects.filter(attempt_time__lt=before).delete()
        prune(now=timezone.now())
        self.stdout.write(f"Ended sessions and {removed} old lockouts removed.")
