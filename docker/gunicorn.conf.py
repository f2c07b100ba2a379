"""How the web server runs: gunicorn --config docker/gunicorn.conf.py fisheries.wsgi:application"""

import logging
import os
import subprocess

from fisheries import __version__
from fisheries.logs import logging_config
from fisheries.work import EMBEDDED, start_embedded_worker

bind = os.environ.get("EARSTONE_BIND") or "127.0.0.1:8000"
workers = int(os.environ.get("EARSTONE_WORKERS") or "2")
# Threads, for a page waits on the database most of its time.
threads = int(os.environ.get("EARSTONE_THREADS") or "4")
# A worker's heartbeat stays off disk.
worker_tmp_dir = "/dev/shm"  # noqa: S108 - memory, of this machine alone
control_socket_disable = True
timeout = 60
# What is being answered when the site is stopped may end; compose and systemd wait longer.
graceful_timeout = 30
# No list of addresses: personal links are among them.
accesslog = None
logconfig_dict = logging_config(
    os.environ.get("EARSTONE_LOG_LEVEL") or "WARNING",
    os.environ.get("EARSTONE_LOG_FORMAT") or "plain",
)


def on_starting(server: object) -> None:
    """Name the version in the first line of the log."""
    log = logging.getLogger("fisheries.start")
    log.info("Earstone %s starts on %s with %d workers", __version__, bind, workers)


embedded: list["subprocess.Popen[bytes]"] = []


def when_ready(server: object) -> None:
    """Start the worker of a site that has none of its own, as one on SQLite."""
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "fisheries.settings")
    from django.conf import settings

    if settings.WORKER == EMBEDDED:
        embedded.append(start_embedded_worker())


def post_worker_init(worker: object) -> None:
    """Load what pages need before anybody asks for one."""
    from fisheries.warm import load_pages

    load_pages()


def on_exit(server: object) -> None:
    """Stop it with the site."""
    for process in embedded:
        process.terminate()
