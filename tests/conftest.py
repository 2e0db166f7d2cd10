"""What tests of several files share and what takes long to make, once a session; and which files one process takes."""

from __future__ import annotations

import os
import signal
from collections.abc import Iterator

import pytest
from hypothesis import settings

# Each core has its process; threads of the linear algebra would only wait for one another. Before numpy is imported.
os.environ |= {"OMP_NUM_THREADS": "1", "OPENBLAS_NUM_THREADS": "1", "STRUTWRIGHT_JOBS": "1"}
import ezdxf
from drawing_support import bracket, bracket_sheet
from ezdxf.document import Drawing
from stages import asked_for, put_into_stages
from strength_support import inputs_of
from support import THOROUGH, built_of, example_strut

from strutwright.exporters.drawing import dxfout
from strutwright.exporters.drawing.layout import lay_out
from strutwright.exporters.drawing.sheet import Drawn
from strutwright.models.inputs import Inputs
from strutwright.models.resolve import Resolved, resolve
from strutwright.models.solids import Built
from strutwright.params.loader import Loaded, load, shipped

# The same examples at every everyday run, so that a change is to blame for what fails; new ones when asked for more.
settings.register_profile("everyday", derandomize=True)
settings.register_profile("thorough", print_blob=True)
settings.load_profile("thorough" if THOROUGH else "everyday")


TOGETHER = (
    (
        "test_sheets_parts",
        "test_fabrication",
        "test_sheets_welded",
        "test_sheets",
        "test_sheets_said",
        "test_sheets_layout",
        "test_projection",
        "test_builders",
        "test_clearances",
    ),
    ("test_lettering", "test_template_words", "test_names", "test_arm_cuts"),
    ("test_drawing_engine", "test_drawing_files"),
)
"""Files about the same solids, or the same templates: one process of a run takes them, so that each is made once."""
LONG = (
    *TOGETHER[0],
    "test_remeasure",
    "test_installation",
    "test_study",
    "test_repair",
    "test_many",
    "test_no_room",
    "test_kernel_guard",
    "test_sizing",
    "test_checks",
    "test_limits_move_findings",
    "test_start_command",
    "test_foundry_build",
    "test_stress",
    "test_examples",
    "test_built_sets",
    "test_tiles",
    "test_inspection_record",
    *TOGETHER[1],
)
"""Files that take longest: they come first, so that the processes of a run end together."""


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Put the longest files first, say which files one process takes, and what is of the second stage."""
    place = {name: k for k, name in enumerate(LONG)}
    group = {name: files[0] for files in TOGETHER for name in files}
    items.sort(key=lambda item: place.get(item.path.stem, len(LONG)))
    for item in items:
        item.add_marker(pytest.mark.xdist_group(group.get(item.path.stem, item.path.stem)))
    put_into_stages(items, both=asked_for(config))


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


@pytest.fixture(scope="session")
def launch() -> Inputs:
    """A cast single-arm strut, as the checks of strength take it."""
    return inputs_of("harbour-launch")


@pytest.fixture(scope="session")
def launch_set() -> tuple[Loaded, Resolved]:
    """The same strut, loaded and resolved."""
    loaded = load(shipped()["harbour-launch"])
    return loaded, resolve(loaded)


@pytest.fixture(scope="session")
def bracket_part() -> object:
    """An invented part to draw."""
    return bracket()


@pytest.fixture(scope="session")
def bracket_drawn(bracket_part: object) -> Drawn:
    """A sheet of it."""
    return lay_out(bracket_sheet(bracket_part))


@pytest.fixture(scope="session")
def bracket_document(bracket_drawn: Drawn, tmp_path_factory: pytest.TempPathFactory) -> Drawing:
    """The sheet as another program reads it."""
    path = tmp_path_factory.mktemp("sheet") / "sheet.dxf"
    dxfout.save_sheet(bracket_drawn, path)
    return ezdxf.readfile(path)
