"""Look for garbage seldom: what a run of the tests holds on to is most of what it makes.

Python looks each time that 700 more objects are held. Finding seven thousand tests makes millions
that stay until the end, and looking through them takes a third of the time of finding them.
"""

import gc

# So many more objects between two looks, and so many looks between two at what is older.
SELDOM = (100_000, 50, 100)


def look_seldom():
    """Let this process look for garbage seldom."""
    gc.set_threshold(*SELDOM)


def pytest_configure(config):
    look_seldom()


def pytest_collection_finish(session):
    """Let what was found, and is held to the end, not be looked through for each test again."""
    gc.collect()
    gc.freeze()
