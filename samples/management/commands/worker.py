"""Work on what takes longer than a page may, in processes that give way to the site's own."""

import os
import signal
import threading
import time
from argparse import ArgumentParser
from collections.abc import Callable
from typing import Any

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError
from django.db import connection
from django.utils import timezone

from fisheries.work import NONE
from samples.computations.supervisor import Supervisor
from samples.management.tables import require_tables
from samples.models import Computation

TASKS_EACH = 50
NICE = 10
TABLES_EVERY_S = 5


class Command(BaseCommand):
    help = "Calculate findings that take too long for a page, until stopped. Run one per machine."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "--slots", type=int, help="calculations at once; default: cores minus one"
        )
        parser.add_argument(
            "--embedded", action="store_true", help="one slot, and end with the site that began it"
        )
        parser.add_argument("--child", metavar="NAME", help="used by the command itself")
        parser.add_argument("--queues", help="used by the command itself")

    def handle(self, *args: Any, **options: Any) -> None:
        if settings.WORKER == NONE:
            raise CommandError("EARSTONE_WORKER is none: pages do all calculations themselves.")
        if options["child"]:
            work(options["child"], options["queues"])
            return
        slots = options["slots"] or max(1, (os.cpu_count() or 1) - 1)
        slots = 1 if options["embedded"] else slots
        supervisor = Supervisor(slots, timezone.now)
        for number in (signal.SIGTERM, signal.SIGINT):
            signal.signal(number, lambda *_: supervisor.stopping.set())
        if options["embedded"]:
            end_with_parent(supervisor.stopping.set)
            wait_for_tables(supervisor.stopping)
        else:
            require_tables()
        supervisor.run()


def wait_for_tables(stopping: threading.Event) -> None:
    """Wait for the first migration of a site that was just set up."""
    while Computation._meta.db_table not in connection.introspection.table_names():
        connection.close()
        if stopping.wait(TABLES_EVERY_S):
            return


def work(name: str, queues: str) -> None:
    """Take tasks from the queue, one after another, and end after some: memory does not grow."""
    os.nice(NICE)
    end_with_parent(lambda: os._exit(1))
    call_command(
        "db_worker",
        queue_name=queues,
        interval=settings.WORKER_INTERVAL_S,
        max_tasks=TASKS_EACH,
        worker_id=name,
        startup_delay=False,
        reload=False,
        verbosity=0,
    )


def end_with_parent(end: Callable[[], None]) -> None:
    """Watch whoever started this process, and end when it is gone: nobody would stop it then."""
    parent = os.getppid()

    def watch() -> None:
        while os.getppid() == parent:
            time.sleep(1)
        end()

    threading.Thread(target=watch, daemon=True).start()
