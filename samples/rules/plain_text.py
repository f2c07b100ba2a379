"""Characters that can be kept and shown everywhere: no half signs, no null."""

import re
from typing import Any

# A sign beyond the first 65,536 is sent as two halves; a text cut between them ends in one half,
# which no page can be made of. PostgreSQL keeps neither that nor a null.
UNKEEPABLE = re.compile("[\ud800-\udfff\x00]")


def is_keepable(text: str) -> bool:
    """Return whether both databases keep this text and a page can show it."""
    return UNKEEPABLE.search(text) is None


def keepable(text: str) -> str:
    """Return the text with the sign for a lost character wherever one cannot be kept."""
    return UNKEEPABLE.sub("\ufffd", text)


def keepable_text(value: Any) -> Any:
    """Return words as they came by JSON with every text in them made keepable."""
    if isinstance(value, str):
        return keepable(value)
    if isinstance(value, list):
        return [keepable_text(one) for one in value]
    if isinstance(value, dict):
        return {keepable(name): keepable_text(one) for name, one in value.items()}
    return value
