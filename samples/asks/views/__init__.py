"""Pages that ask guides for fish, and what the public reads of it."""

from samples.asks.views.everybody import AskFeed, public
from samples.asks.views.office import asks, poster, stop

__all__ = ["AskFeed", "asks", "poster", "public", "stop"]
