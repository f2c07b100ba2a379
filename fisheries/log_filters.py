"""Keeps links that sign in out of the log: whoever reads one could use it."""

import logging
import re

TOKEN = re.compile(r"/(me|password)/[^/\s]+(/[^/\s]+)?")


class HideLinks(logging.Filter):
    """Writes ``/me/...`` where a message carries the address of a link that signs in."""

    def filter(self, record: logging.LogRecord) -> bool:
        words = record.getMessage()
        if TOKEN.search(words):
            record.msg, record.args = TOKEN.sub(r"/\1/...", words), ()
        return True
