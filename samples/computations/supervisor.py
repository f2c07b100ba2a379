"""Keeps the processes that work: starts them, replaces those that end, stops what is unwanted.

A child process works, never a thread of the site: a page that waits for the interpreter beside a
busy thread takes three times as long as beside a busy process that gives way.
"""

import logging
import subprocess
import sys
import time
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from secrets import token_hex
from threading import Event

from django.conf import settings
from django.db import Error, close_old_connections, connection

from samples.computations import upkeep
from samples.computations.results import report_alive
from samples.computations.tasks import LONG, SHORT

log = logging.getLogger(__name__)
Clock = Callable[[], datetime]
# A child that ended badly is started again after 1, 2, 4 ... seconds.
LONGEST_REST_S = 60.0
# Having lived for so long, it is no longer one that fails at its start.
LIVED_S = 60.0
ENDS_WITHIN_S = 5.0
RENEWED_A_LEASE = 4


@dataclass(slots=True)
class Slot:
    """A place for one child: what it works on, and how often in a row it ended badly."""

    queues: str
    process: "subprocess.Popen[bytes] | None" = None
    worker: str = ""
    started: float = 0.0
    not_before: float = 0.0
    failures: int = 0

    def start(self) -> None:
        self.worker = f"{token_hex(8)}"
        manage = str(Path(settings.BASE_DIR) / "manage.py")
        command = [sys.executable, manage, "worker", "--child", self.worker]
        self.process = subprocess.Popen([*command, "--queues", self.queues])  # noqa: S603 - ours
        self.started = time.monotonic()

    def has_ended(self) -> bool:
        return self.process is not None and self.process.poll() is not None

    def note_end(self) -> None:
        """Decide when the next one starts: at once after its share of tasks, later after a fall."""
        assert self.process is not None  # noqa: S101 - asked only of one that ended
        now = time.monotonic()
        fell = self.process.returncode != 0
        lived = now - self.started > LIVED_S
        self.failures = (0 if lived else self.failures) + 1 if fell else 0
        rest = min(2.0 ** (self.failures - 1), LONGEST_REST_S) if fell else 0.0
        self.not_before = now + rest
        self.process = None

    def kill(self) -> None:
        if self.process is not None:
            self.process.kill()
            self.process.wait()
            # It did nothing wrong: the next one starts at once.
            self.process, self.failures, self.not_before = None, 0, 0.0


def slots_for(count: int) -> list[Slot]:
    """Return the places: the first of several takes short work alone, so that it waits less."""
    both = f"{SHORT},{LONG}"
    return [Slot(SHORT if count > 1 and place == 0 else both) for place in range(count)]


class Supervisor:
    """Looks after its children and after computations that other ones lost."""

    def __init__(self, count: int, clock: Clock) -> None:
        self.slots = slots_for(count)
        self.clock = clock
        self.stopping = Event()
        self.looked_after = 0.0

    def run(self) -> None:
        """Work until told to stop; whatever the database does, children are kept."""
        while not self.stopping.wait(settings.WORKER_INTERVAL_S):
            try:
                self.look_after()
            except (Error, OSError) as problem:
                log.warning("Work cannot be looked after now: %s", problem)
                connection.close()
        self.end()

    def look_after(self) -> None:
        """Do one round."""
        close_old_connections()
        for slot in self.slots:
            if slot.has_ended():
                upkeep.give_back_of(slot.worker, now=self.clock())
                slot.note_end()
            if slot.process is None and time.monotonic() >= slot.not_before:
                slot.start()
        self.stop_unwanted()
        if time.monotonic() - self.looked_after > settings.COMPUTATION_LEASE_S / RENEWED_A_LEASE:
            upkeep.renew_leases(self.workers(), now=self.clock())
            upkeep.begin_lost_again(now=self.clock())
            report_alive(self.clock())
            self.looked_after = time.monotonic()

    def workers(self) -> list[str]:
        return [slot.worker for slot in self.slots if slot.process is not None]

    def stop_unwanted(self) -> None:
        """Stop children whose work was called off or takes too long."""
        unwanted = upkeep.find_unwanted(self.workers(), now=self.clock())
        for slot in self.slots:
            if slot.worker in unwanted:
                slot.kill()
                upkeep.close_of(slot.worker, unwanted[slot.worker], now=self.clock())

    def end(self) -> None:
        """Stop the children; what they were at goes back into the queue for the next start."""
        for slot in self.slots:
            if slot.process is not None:
                slot.process.terminate()
        deadline = time.monotonic() + ENDS_WITHIN_S
        for slot in self.slots:
            if slot.process is None:
                continue
            try:
                slot.process.wait(max(0.0, deadline - time.monotonic()))
            except subprocess.TimeoutExpired:
                slot.kill()
            try:
                upkeep.give_back_of(slot.worker, now=self.clock(), was_stopped=True)
            except Error as problem:
                log.warning("What was at work is begun again when its lease ends: %s", problem)
