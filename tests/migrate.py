"""Migrate the database named in the environment, as `manage.py migrate` does, in half the time.

It makes every table of every migration in memory, and would look through them for garbage.
"""

import os

from django.core.management import execute_from_command_line

from tests.seldom_swept import look_seldom

if __name__ == "__main__":
    look_seldom()
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "fisheries.settings")
    execute_from_command_line(["manage.py", "migrate", "--verbosity", "0"])
