"""Begin with the tests that take longest, so that no worker is left alone with one at the end."""

import pytest


# Last, when the order of the day is drawn: it stays so among the others.
@pytest.hookimpl(trylast=True)
def pytest_collection_modifyitems(items):
    items.sort(key=lambda item: item.get_closest_marker("long") is None)
