"""Built struts shared by all tests: building takes seconds, so each is built once a session."""
from __future__ import annotations

import pytest
from support import example_strut

from strutwright.models.build import Built, build


@pytest.fixture(scope="session")
def built_single() -> Built:
    """A cast single-arm port strut on a V bottom."""
    return build(example_strut("single"))


@pytest.fixture(scope="session")
def built_vee() -> Built:
    """A welded vee strut on the centre line with skeg and heel."""
    return build(example_strut("vee", skeg=True))
