"""What the tests of a lake's set-up share."""

import pytest

from tests.waters.figures import make_figures
from tests.waters.typed import typed_figures


@pytest.fixture
def signed_in(client, biologist):
    client.force_login(biologist, backend="django.contrib.auth.backends.ModelBackend")
    return client


@pytest.fixture
def figures(lake, white, biologist):
    return make_figures(lake, white, biologist)


@pytest.fixture
def typed(white, season, brindle):
    return typed_figures(white, season, brindle)
