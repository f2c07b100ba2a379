"""Work that tests can see and hold: it notes each time it begins, and waits if told to."""

import time
from pathlib import Path

LONGEST_S = 60


def compute(arguments, progress):
    """Note that it began, wait for the file "go" if told to, and return what it was given."""
    folder = Path(arguments["folder"])
    count = len(list(folder.glob("began-*")))
    (folder / f"began-{count}").touch()
    progress(40, "Counting")
    deadline = time.monotonic() + LONGEST_S
    while arguments.get("waits") and not (folder / "go").exists():
        if time.monotonic() > deadline:
            raise TimeoutError
        time.sleep(0.01)
    return arguments["revision"], f"result of {arguments['revision']}"


def times_begun(folder):
    return len(list(folder.glob("began-*")))
