"""The site as an installation runs it: gunicorn by its own file, in a process of its own."""

import contextlib
import http.client
import os
import pathlib
import signal
import socket
import subprocess
import sys
import time

ROOT = pathlib.Path(__file__).resolve().parent.parent.parent
HOST = "127.0.0.1"
LONGEST_S = 60
KEY = "a key of tests alone, long enough for every check that there is"


def free_port():
    with socket.socket() as probe:
        probe.bind((HOST, 0))
        return probe.getsockname()[1]


class Process:
    """A server in a process of its own, with all that it says in a file."""

    def __init__(self, command, *, folder, port, environment=None):
        self.command, self.port = command, port
        self.log_path = folder / f"{pathlib.Path(command[0]).name}-{port}.log"
        self.environment = {**os.environ, **(environment or {})}
        self.process = None

    def start(self, is_up):
        with self.log_path.open("ab") as log:
            self.process = subprocess.Popen(
                self.command,
                cwd=ROOT,
                env=self.environment,
                stdout=log,
                stderr=log,
                start_new_session=True,
            )
        deadline = time.monotonic() + LONGEST_S
        while time.monotonic() < deadline and self.process.poll() is None:
            with contextlib.suppress(OSError, http.client.HTTPException):
                if is_up():
                    return self
            time.sleep(0.05)
        raise RuntimeError(f"{self.command[0]} did not start:\n{self.log()}")

    def stop(self):
        """Ask it to stop, as an administrator does, and wait until it has."""
        if self.process is not None and self.process.poll() is None:
            os.killpg(self.process.pid, signal.SIGTERM)
            self.process.wait(timeout=LONGEST_S)
        self.process = None

    def log(self):
        return self.log_path.read_text(errors="replace")


def ask(port, path, *, method="GET", body=None, headers=None, timeout=10):
    """Ask a server of this machine and return status, headers and text."""
    link = http.client.HTTPConnection(HOST, port, timeout=timeout)
    try:
        link.request(method, path, body=body, headers=headers or {})
        answer = link.getresponse()
        return answer.status, answer.headers, answer.read().decode()
    finally:
        link.close()


def gunicorn(folder, port, environment):
    """Make the site, not started yet, on a port of this machine."""
    return Process(
        [
            *(sys.executable, "-m", "gunicorn"),
            *("--config", "docker/gunicorn.conf.py", "fisheries.wsgi:application"),
        ],
        folder=folder,
        port=port,
        environment={
            "DJANGO_SETTINGS_MODULE": "fisheries.settings",
            "EARSTONE_SECRET_KEY": KEY,
            "EARSTONE_BIND": f"{HOST}:{port}",
            "EARSTONE_WORKERS": "1",
            **environment,
        },
    )


def start_site(site):
    return site.start(lambda: ask(site.port, "/healthy/")[0] == 200)
