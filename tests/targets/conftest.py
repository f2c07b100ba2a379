"""Pages of targets, opened by the biologist."""

import pytest
from django.urls import reverse


@pytest.fixture
def page(client, lake, biologist):
    """Open a page of the stage as the biologist."""
    client.force_login(biologist, backend="django.contrib.auth.backends.ModelBackend")

    def open_page(name, **query):
        return client.get(reverse(f"targets:{name}", args=[lake.slug]), query)

    return open_page
