"""Built struts shared by all tests: building takes seconds, so each is built once a session."""

from __future__ import annotations

import os
import signal
from collections.abc import Iterator

import pytest
from hypothesis import settings

# Each core has its process; threads of the linear algebra would only wait for one another. Before numpy is imported.
os.environ |= {"OMP_NUM_THREADS": "1", "OPENBLAS_NUM_THREADS": "1"}
from support import THOROUGH, built_of, example_strut

from strutwright.models.solids import Built

# The same examples at every everyday run, so that a change is to blame for what fails; new ones when asked for more.
settings.register_profile("everyday", derandomize=True)
settings.register_profile("thorough", print_blob=True)
settings.load_profile("thorough" if THOROUGH else "everyday")


TOGETHER = (
    (
        "test_sheets_parts",
        "test_sheets_welded",
        "test_sheets",
        "test_sheets_said",
        "test_sheets_layout",
        "test_projection",
        "test_builders",
        "test_clearances",
    ),
    ("test_lettering", "test_template_words", "test_names", "test_arm_cuts"),
)
"""Files about the same solids, or the same templates: one process of a run takes them, so that each is made once."""
LONG = (
    *TOGETHER[0],
    "test_remeasure",
    "test_kernel_guard",
    "test_sizing",
    "test_command_line",
    "test_foundry_build",
    "test_stress",
    "test_examples",
    "test_built_sets",
    *TOGETHER[1],
)
"""Files that take longest: they come first, so that the processes of a run end together."""


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Put the longest files first, and say which files one process takes."""
    place = {name: k for k, name in enumerate(LONG)}
    group = {name: files[0] for files in TOGETHER for name in files}
    items.sort(key=lambda item: place.get(item.path.stem, len(LONG)))
    for item in items:
        item.add_marker(pytest.mark.xdist_group(group.get(item.path.stem, item.path.stem)))


@pytest.fixture
def heard() -> Iterator[None]:
    """Take the signals that ask for a stop as a terminal would give them: a shell's background jobs, and `nohup`, have
    them ignored, and so would every child have."""
    numbers = {signal.SIGINT: signal.default_int_handler, signal.SIGTERM: signal.SIG_DFL, signal.SIGHUP: signal.SIG_DFL}
    before = {number: signal.signal(number, handler) for number, handler in numbers.items()}
    yield
    for number, handler in before.items():
        signal.signal(number, handler)


@pytest.fixture(scope="session")
def built_single() -> Built:
    """A cast single-arm port strut on a V bottom."""
    return built_of(example_strut("single"))


@pytest.fixture(scope="session")
def built_vee() -> Built:
    """A welded vee strut on the centre line with skeg and heel."""
    return built_of(example_strut("vee", skeg=True))
