"""The door for a web server in front of Earstone."""

import os

from django.core.wsgi import get_wsgi_application

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "fisheries.settings")

application = get_wsgi_application()
