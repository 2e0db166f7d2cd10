"""A slip of the program is told as one and clears nothing; what odd sizes cause is `not checked`, with why and what to
do."""

from __future__ import annotations

from collections.abc import Iterator
from types import MappingProxyType, ModuleType
from typing import Any

import numpy as np
import pytest

from strutwright import show
from strutwright.cli import main
from strutwright.errors import Exit
from strutwright.exporters.web.report import Report, report_html, report_text
from strutwright.models.checks import GEOMETRY, geometry_checks
from strutwright.models.checks.engineering import MODULES, engineering_findings
from strutwright.models.checks.geometry import clearances
from strutwright.models.finding import Finding, Verdict, not_checked, without
from strutwright.models.frames import FrameError
from strutwright.models.geometry import bodies, members
from strutwright.models.outline import OUTLINES, Outline, OutlineError, fit_arcs, polygon
from strutwright.models.resolve import Resolved, palm, resolve
from strutwright.models.sizing.axes import axis
from strutwright.models.sizing.judge import Judged
from strutwright.models.sizing.study import study
from strutwright.params.loader import load, shipped
from strutwright.params.tables import NotInTable

OF_SIZES = (ZeroDivisionError("by nought"), FloatingPointError("odd"), ValueError("math domain error"))
OF_SIZES += (OutlineError("it crosses itself"), FrameError("no pitch"), np.linalg.LinAlgError("singular"))
SLIPS = (TypeError("no such word"), AttributeError("no part"), IndexError("out of range"), KeyError("palm"))
SLIPS += (NameError("who"), AssertionError("never"), RuntimeError("lost"))


def canal_tender() -> Resolved:
    return resolve(load(shipped()["canal-tender"]))


def raising(error: Exception) -> Any:
    def broken(*_: object, **__: object) -> None:
        raise error

    return broken


# --- resolving ------------------------------------------------------------------------------------------------------


@pytest.fixture
def undrawn() -> Iterator[None]:
    """Outlines are drawn anew, and those of a test are not kept."""
    palm._drawn.cache_clear()
    yield
    palm._drawn.cache_clear()


@pytest.mark.usefixtures("undrawn")
@pytest.mark.parametrize("corners", [[(0, 0, 0), (9, 0, 0), (0, 9, 0)], [0.0, 5.0, 9.0]], ids=["three", "one"])
def test_an_outline_from_no_points_is_a_fault_of_the_program(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], corners: Any
) -> None:
    """The file is not blamed for what the program does to it; one that cannot be drawn still is."""
    broken = {name: kind._replace(make=lambda _: polygon(corners)) for name, kind in OUTLINES.items()}
    monkeypatch.setattr("strutwright.models.outline.kinds.OUTLINES", MappingProxyType(broken))
    assert main(["check", "canal-tender"]) == Exit.INTERNAL
    assert "palm.outline" not in capsys.readouterr().err
    palm._drawn.cache_clear()
    odd = {name: kind._replace(make=raising(OutlineError("it crosses itself"))) for name, kind in OUTLINES.items()}
    monkeypatch.setattr("strutwright.models.outline.kinds.OUTLINES", MappingProxyType(odd))
    assert main(["check", "canal-tender"]) == Exit.UNUSABLE
    assert "it crosses itself" in capsys.readouterr().err


def test_wrong_arrays_are_told_as_slips() -> None:
    points = np.array([[0.0, 0.0], [1.0, 0.0], [2.0, 0.5]])
    for slip in (
        lambda: Outline(np.zeros((4, 2))),
        lambda: Outline(np.array([[0.0, 0.0, 0.0], [1.0, 0.0, 0.0]]), closed=False).area_mm2(),
        lambda: fit_arcs(points, points[:2]),
        lambda: fit_arcs(points[:, :1], points),
    ):
        with pytest.raises(TypeError):
            slip()
    with pytest.raises(OutlineError, match="1 was given"):
        Outline(np.zeros((1, 3)))


# --- checks ---------------------------------------------------------------------------------------------------------


def ended(error: Exception, monkeypatch: pytest.MonkeyPatch) -> list[Finding]:
    """What a strut is told when one module of the geometry and one of the engineering end in an error."""
    strut = canal_tender().strut
    broken: list[tuple[ModuleType, str]] = [(GEOMETRY[0], "check"), (MODULES["arms"], "numbers")]  # type: ignore[list-item]
    with monkeypatch.context() as patch:
        for module, name in broken:
            patch.setattr(module, name, raising(error))
        found = [*geometry_checks(strut), *engineering_findings(strut)]
    return [f for f in found if f.code in ("check_impossible", "engineering_impossible")]


@pytest.mark.parametrize("error", [*OF_SIZES, NotInTable("M9 is not there", "M8")], ids=lambda e: type(e).__name__)
def test_what_sizes_cause_is_not_checked(monkeypatch: pytest.MonkeyPatch, error: Exception) -> None:
    found = ended(error, monkeypatch)
    assert [(f.code, f.verdict) for f in found] == [
        ("check_impossible", Verdict.NOT_CHECKED),
        ("engineering_impossible", Verdict.NOT_CHECKED),
    ]
    for f in found:
        why, do = f.notes("mm")
        assert why.startswith("why: could not be worked out")
        assert "on sizes like these" in why
        assert do == f"do: change these sizes, or judge it by hand [{f.parameter}]"


@pytest.mark.parametrize("error", SLIPS, ids=lambda e: type(e).__name__)
def test_a_slip_is_a_failure_that_names_its_module(monkeypatch: pytest.MonkeyPatch, error: Exception) -> None:
    found = ended(error, monkeypatch)
    assert [(f.code, f.verdict) for f in found] == [
        ("check_impossible", Verdict.FAIL),
        ("engineering_impossible", Verdict.FAIL),
    ]
    for f in found:
        why, do = f.notes("mm")
        assert "a fault of the program in strutwright.models.checks" in why
        assert f"{type(error).__name__}: {error}" in why
        assert "please report it" in do


AXES = [axis("arms.section.chord=55..57:3", "mm")]


def judged(error: Exception | None, monkeypatch: pytest.MonkeyPatch, *where: Any) -> Judged:
    """How a study's candidates stand when what measures them ends in an error; no bound clears them beforehand."""
    never = dict.fromkeys(clearances.BOUNDS, lambda many, _: np.full(many.count, -np.inf))
    with monkeypatch.context() as patch:
        patch.setattr(clearances, "BOUNDS", never)
        if error is not None:
            patch.setattr(*where, raising(error))
        loaded = load(shipped()["canal-tender"])
        return study(loaded, resolve(loaded), AXES, workers=1).judged


MEASURES = pytest.mark.parametrize(
    "where", [(members, "arm_member"), (bodies, "strut_parts")], ids=["roots", "clearances"]
)


@MEASURES
def test_odd_sizes_leave_a_warning_in_a_study(monkeypatch: pytest.MonkeyPatch, where: tuple[ModuleType, str]) -> None:
    assert judged(None, monkeypatch).level.tolist() == [0, 0, 0]
    assert judged(OutlineError("odd"), monkeypatch, *where).level.tolist() == [1, 1, 1]


@MEASURES
@pytest.mark.parametrize("error", SLIPS, ids=lambda e: type(e).__name__)
def test_a_study_clears_nothing_after_a_slip(
    monkeypatch: pytest.MonkeyPatch, where: tuple[ModuleType, str], error: Exception
) -> None:
    """It fails all candidates, or ends the program."""
    try:
        level = judged(error, monkeypatch, *where).level.tolist()
    except type(error):
        level = [2, 2, 2]
    assert level == [2, 2, 2]


# --- in words -------------------------------------------------------------------------------------------------------


def test_command_line_and_report_say_why_and_what_to_do() -> None:
    wanting = without("hub", "gap to the hub", ["propeller.hub_gap"], group="propeller")
    said = {"parameter": "duty.boat_speed", "group": "arm"}
    found = (
        not_checked("load", "grounding load", "no speed was given", **said),
        not_checked("load", "tip load", "no blade was given", "give one", **said),
        wanting,
    )
    report = Report(
        name="Demo",
        drawing_number="D-1",
        revision="A",
        hand="port",
        units="mm",
        version="1.0",
        parameters_name="demo.yaml",
        parameters_sha256="ab" * 32,
        findings=found,
        values=(),
        weights=(),
        cautions=(),
    )
    texts = [
        "\n".join(line.strip() for f in found for line in show.finding_lines(f, "mm")),
        report_text(report),
        report_html(report),
    ]
    for text in texts:
        assert "why: no speed was given [duty.boat_speed]" in text
        assert "why: no blade was given" in text
        assert "do: give one [duty.boat_speed]" in text
        assert "do: give propeller.hub_gap to have it worked out [propeller.hub_gap]" in text
        assert "do: no" not in text
    assert found[0].as_dict()["why"] == "no speed was given"
