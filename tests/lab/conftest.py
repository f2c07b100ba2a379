"""A vial at the lab with its fish, for every test of the lab."""

import pytest

from tests.lab.making import put_in_lab


@pytest.fixture
def vial(vials):
    return vials[0]


@pytest.fixture
def fish(vial, party, white):
    """Return a white crappie of 10 in, caught on 6 May, inside the window of the annulus."""
    return put_in_lab(vial, party, white)
