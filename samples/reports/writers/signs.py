"""Signs that a file of XML cannot hold."""

import re

_CONTROL = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ud800-\udfff\ufffe\uffff]")


def printable(text: str) -> str:
    """Return a text without the control signs that come in by copying."""
    return _CONTROL.sub("", text)
