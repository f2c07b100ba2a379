"""A guide at the ramp with an open party and vials in hand."""

import pytest


@pytest.fixture
def ramp(client, guide, party, vials):
    client.force_login(guide)
    return client
