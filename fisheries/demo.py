"""Whether this process serves the demo, and to this machine alone."""

from pathlib import Path
from urllib.parse import urlsplit

LOOPBACK_NAMES = {"localhost", "127.0.0.1", "::1"}


def is_local_demo(
    *, mark: str, database: str | Path, public_address: str, own_key: bool, proxies: int
) -> bool:
    """Return whether `manage.py demo` started this process for this machine alone.

    It names its own database as the mark, says that it is reached at a loopback name, and has
    no secret key and no proxy, which every site that others reach has.
    """
    return (
        bool(mark)
        and str(database) == mark
        and urlsplit(public_address).hostname in LOOPBACK_NAMES
        and not own_key
        and proxies == 0
    )
