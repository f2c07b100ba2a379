"""The migrations of this release and one more."""

from samples import migrations

__path__ = [*migrations.__path__, *__path__]
