"""Look for garbage seldom: what a run of the tests holds on to is most of what it makes.

Python looks each time that 700 more objects are held. Finding seven thousand tests makes millions
that stay until the end, and looking through them takes a third of the time of finding them.
"""

import gc

# So many more objects between two looks, and so many looks between two at what is older.
ONLY_ADDING = (100_000, 50, 100)
# What tests leave behind goes in time for the next to have room.
RUNNING = (50_000, 10, 10)


def look_seldom():
    """Let this process, in which little is let go, look for garbage seldom."""
    gc.set_threshold(*ONLY_ADDING)


def pytest_configure(config):
    look_seldom()


def pytest_collection_finish(session):
    """Let what was found, and is held to the end, not be looked through for each test again."""
    gc.collect()
    gc.freeze()
    gc.set_threshold(*RUNNING)
