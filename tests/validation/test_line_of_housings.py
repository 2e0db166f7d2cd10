"""Housings on one shaft: bores, moves and loads against lines drawn here, a hanging rope, and sums of squares."""

from __future__ import annotations

import json
import math
from pathlib import Path

import numpy as np
import pytest
from command_line_support import run
from support import every, own_limits

from strutwright.errors import Exit
from strutwright.exporters.bench import line as paper
from strutwright.exporters.bench.paper import Imprint
from strutwright.exporters.drawing.layout import lay_out
from strutwright.exporters.drawing.sheet import overlaps
from strutwright.models.bench.installation import Stand
from strutwright.models.bench.line import Placed, agreement, axis_of, bores, placed, wire_sag_mm
from strutwright.models.bench.line_loads import as_found, borne, lies, shaft_of
from strutwright.models.bench.line_stack import WAYS, line_stack, sources
from strutwright.models.formulas.tolerance_stack import SPREAD
from strutwright.models.inputs import Inputs
from strutwright.models.resolve import resolve
from strutwright.models.spec import Strut
from strutwright.params.bench.line import LineBearing, ShaftLine, Wire
from strutwright.params.limits import standard
from strutwright.params.loader import load, shipped
from strutwright.params.measured import examples, read

EXAMPLE = read(examples()["tunnel-launch-shaft-line"], ShaftLine).said
ON_SHAFT = [
    name for name in shipped() if not name.startswith("failing/") and "creek" not in name and "ketch" not in name
]


def _strut(name: str | None) -> Strut | None:
    return None if name is None else resolve(load(shipped()[name])).strut


def _placed(said: ShaftLine = EXAMPLE) -> list[Placed]:
    return placed(said, [_strut(one.set) for one in said.bearings])


@pytest.mark.parametrize("at", [-500.0, 0.0, 700.0, 2500.0, 5500.0])
def test_a_wire_hangs_as_a_rope_of_even_weight(at: float) -> None:
    """The catenary solved here by bisection for its lowest point; supports at one height."""
    wire = Wire(diameter=0.7, pull=120.0, aft=-500.0, forward=5500.0)
    weight = 7850e-9 * math.pi / 4.0 * 0.7**2 * 9.80665
    a = wire.pull / weight  # of the catenary y = a cosh(x / a)
    half = (wire.forward - wire.aft) / 2.0
    x = at - (wire.aft + wire.forward) / 2.0
    assert wire_sag_mm(wire, at) == pytest.approx(a * (math.cosh(half / a) - math.cosh(x / a)), rel=1e-5, abs=1e-9)


@pytest.mark.parametrize("seed", range(6))
def test_how_the_sight_lies_does_not_count(seed: int) -> None:
    """Readings off another straight line give the same offsets, leans and loads: follows from geometry."""
    rng = np.random.default_rng(seed)
    ends = rng.normal(0.0, 1.0, (4, 4))
    stations = [0.0, *np.cumsum(rng.uniform(500.0, 2000.0, 3))]
    sets = [None, "tunnel-hanger", "tunnel-hanger", None]

    def line(at: np.ndarray, rise: np.ndarray) -> list[Placed]:  # type: ignore[type-arg]
        made = []
        for n, (x, name) in enumerate(zip(stations, sets, strict=True)):
            strut = _strut(name)
            low, high = Placed(
                called="", at_mm=x, held=False, strut=strut, inputs=None if strut is None else Inputs.from_strut(strut)
            ).ends_mm
            aft, fore = ends[n, :2] + at + rise * low, ends[n, 2:] + at + rise * high
            made.append(
                LineBearing(
                    called=f"{n}", set=name, station=x, place="fixed" if n == 3 and seed % 2 else "loose",
                    aft_up=aft[0], aft_port=aft[1], forward_up=fore[0], forward_port=fore[1],
                )
            )  # fmt: skip
        return _placed(ShaftLine(bearings=made))

    one = line(np.zeros(2), np.zeros(2))
    other = line(np.array([0.7, -1.1]), np.array([1.5e-3, -0.8e-3]))
    for a, b in zip(one, other, strict=True):
        first, second = axis_of(one), axis_of(other)
        assert first is not None and second is not None  # noqa: PT018
        assert first.off(a) == pytest.approx(second.off(b), abs=1e-9)
        if a.inputs is not None:
            assert first.leans(a) == pytest.approx(second.leans(b), abs=1e-9)


def test_the_line_of_all_is_that_of_least_squares() -> None:
    """numpy.polyfit through the middles, nothing held."""
    rng = np.random.default_rng(3)
    rows = [
        LineBearing(called=f"{n}", station=700.0 * n, aft_up=float(up), aft_port=float(port))
        for n, (up, port) in enumerate(rng.normal(0.0, 1.0, (6, 2)))
    ]
    line = _placed(ShaftLine(bearings=rows))
    axis = axis_of(line)
    assert axis is not None
    x = [p.at_mm for p in line]
    for k in (0, 1):
        fit = np.polyfit(x, [p.middle[k] for p in line if p.middle is not None], 1)
        assert (axis.rise[k], axis.at[k]) == pytest.approx(tuple(fit), abs=1e-9)


def test_one_that_is_held_is_on_the_line() -> None:
    rows = [
        LineBearing(called=n, station=x, place=held, aft_up=up, aft_port=0.0)
        for n, x, held, up in (("a", 0.0, "loose", 0.3), ("b", 800.0, "fixed", 1.0), ("c", 2000.0, "loose", 0.1))
    ]  # fmt: skip
    line = _placed(ShaftLine(bearings=rows))  # type: ignore[arg-type]
    axis = axis_of(line)
    assert axis is not None
    assert axis.off(line[1]) == pytest.approx((0.0, 0.0), abs=1e-9)


def test_moved_as_told_the_shaft_lies_straight() -> None:
    """The example again with its hanger moved and turned as the answer says: nothing is left to do."""
    line = _placed()
    axis = axis_of(line)
    assert axis is not None
    one, off, leans = line[1], axis.off(line[1]), axis.leans(line[1])
    assert off is not None and leans is not None  # noqa: PT018
    said = EXAMPLE.bearings[1]
    ends = {
        f"{end}_{way}": getattr(said, f"{end}_{way}") - off[k] - leans[k] * (at - one.at_mm)
        for end, at in zip(("aft", "forward"), one.ends_mm, strict=True)
        for k, way in enumerate(("up", "port"))
    }
    moved = EXAMPLE.model_copy(
        update={"bearings": [EXAMPLE.bearings[0], said.model_copy(update=ends), EXAMPLE.bearings[2]]}
    )
    again = _placed(moved)
    after = axis_of(again)
    assert after is not None
    assert after.off(again[1]) == pytest.approx((0.0, 0.0), abs=1e-9)
    assert after.leans(again[1]) == pytest.approx((0.0, 0.0), abs=1e-9)
    shaft = shaft_of(moved, again)
    assert shaft is not None
    straight, found = as_found(again, shaft, after)
    assert found is not None
    assert [b.up_n for b in found] == pytest.approx([b.up_n for b in straight], abs=0.1)


def test_loads_carry_the_whole_weight() -> None:
    """Statics: shaft, propeller and coupling; sideways nothing."""
    line = _placed()
    shaft = shaft_of(EXAMPLE, line)
    assert shaft is not None
    off = [(0.3, -0.4), (-1.0, 0.9), (0.2, 0.1)]
    bears = borne(shaft, off)
    long = 3000.0 + shaft.aft_mm
    assert sum(b.up_n for b in bears) == pytest.approx(shaft.weight_n_mm * long + (17.0 + 6.0) * 9.80665, rel=1e-9)
    assert sum(b.port_n for b in bears) == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize("way", WAYS)
def test_tolerances_against_the_sum_of_squares(way: str) -> None:
    """Variances of independent parts add (JCGM 100); what each does by moving its bearing alone through `borne`."""
    line = _placed()
    shaft, limits = shaft_of(EXAMPLE, line), standard()
    assert shaft is not None
    made = sources(line, way, limits)  # type: ignore[arg-type]
    straight = borne(shaft, [(0.0, 0.0)] * 3)
    variance, worst = np.zeros(3), np.zeros(3)
    for s in made:
        off = [(0.0, 0.0)] * 3
        off[s.bearing] = s.moves
        shares = np.array([b.share - a.share for a, b in zip(straight, borne(shaft, off), strict=True)])
        variance += (shares / SPREAD[s.tolerance.law]) ** 2
        worst += np.abs(shares)
    stack = line_stack(line, shaft, way, limits, 200_000)  # type: ignore[arg-type]
    for n, at in enumerate(stack.at):
        assert at.share_worst == pytest.approx(straight[n].share - worst[n], rel=1e-9)
        # nearly normal: 1.96 of sigma below; single even or triangular parts make it less
        assert straight[n].share - at.share == pytest.approx(1.96 * math.sqrt(variance[n]), rel=0.07)
        assert at.share > at.share_worst
        assert at.slope_mrad < at.slope_worst_mrad


def test_what_is_out_of_one_shaft_is_said() -> None:
    other = _strut("harbour-launch")
    rows = [LineBearing(called=n, station=x) for n, x in (("end", 0.0), ("hanger", 1000.0))]
    said = ShaftLine(bearings=rows, hand="starboard")
    line = placed(said, (_strut("tube-end-pair"), other))
    stands = {t.what: t.stand for t in agreement(said, line, standard())}
    assert stands["diameter of the shaft, hanger"] is Stand.OUT
    assert stands["next bearing ahead of it, end"] is Stand.OUT  # its set says 1400
    assert stands["power, hanger"] is Stand.OUT
    wide = own_limits("line_span: 0.5\nconflict_speed: 2\nconflict_speed_hard: 3\n")
    stands = {t.what: t.stand for t in agreement(said, line, wide)}
    assert stands["next bearing ahead of it, end"] is Stand.IN
    assert stands["power, hanger"] is Stand.IN


@pytest.mark.parametrize("name", every(ON_SHAFT, 6))
def test_every_kind_of_housing_stands_in_a_line(name: str) -> None:
    """A shipped set that carries a shaft, aft of itself and of a plain bearing: all is worked out, sheets are clear."""
    strut = _strut(name)
    assert strut is not None
    span = strut.shaft.bearing_span_mm or 900.0
    long = strut.barrel.length_mm
    ends = {"aft_up": 0.2, "aft_port": -0.1, "forward_up": 0.2 + 1e-4 * long, "forward_port": -0.1}
    rows = [
        LineBearing(called="aft", set=name, station=0.0, **ends),
        LineBearing(called="middle", set=name, station=span, **ends),
        LineBearing(called="gearbox", station=2 * span, aft_up=0.0, aft_port=0.0, place="fixed"),
    ]
    said = ShaftLine(bearings=rows, hand=strut.identity.hand, wire=Wire(diameter=0.5, pull=200, aft=-100, forward=9000))
    line, limits = _placed(said), standard()
    axis, shaft = axis_of(line), shaft_of(said, line)
    assert axis is not None and shaft is not None  # noqa: PT018
    straight, found = as_found(line, shaft, axis)
    told = bores(said, line, axis) + lies(line, straight, found, axis, limits)
    stacks = [line_stack(line, shaft, way, limits, 2000) for way in WAYS]
    for stack in stacks:
        for at in stack.at[:2]:
            assert all(
                math.isfinite(v) for v in (at.share, at.share_worst, at.slope_mrad, at.slope_worst_mrad, at.over)
            )
    lined = paper.Lined(
        line=line, axis=axis, straight=straight, found=found, sets=agreement(said, line, limits), told=told,
        stacks=stacks, lacks=[],
    )  # fmt: skip
    sheets = paper.line_sheets(said, lined, imprint=Imprint(paper="letter", reference="test"), units="in")
    assert not [overlaps(lay_out(sheet)) for sheet in sheets if overlaps(lay_out(sheet))]


def test_the_command(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    status, out, _ = run(capsys, "line", "tunnel-launch-shaft-line", "--out", str(tmp_path / "job"), "--json")
    assert status == Exit.FAILURE  # the tube end's bore leans against the shaft as found
    found = json.loads(out)
    hanger = found["bearings"][1]
    # Freed of the sag of the wire and off the line through the two that are held; by hand.
    assert hanger["off_mm"] == pytest.approx([0.619, -0.687], abs=2e-3)
    assert set(found["sets_sha256"]) == {"tube end", "hanger"}
    assert len(list((tmp_path / "job").rglob("line.pdf"))) == 1
    status, out, _ = run(capsys, "line", "--blank", str(tmp_path / "blank"))
    assert status == Exit.PASS
    assert (tmp_path / "blank" / "line-form.csv").read_text(encoding="utf-8").count("forward_up") == 2


BASE = """bearings:
  - {called: end, set: tube-end-pair, station: 0}
  - {called: gearbox, station: 1400}
"""


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (BASE.replace("tube-end-pair", "creek-yawl"), "is no bearing of the shaft"),
        (BASE.replace("tube-end-pair", "tube-end-pear"), "did you mean tube-end-pair"),
        (BASE.replace("tube-end-pair", "../tube-end-pair"), "cannot be used in the name of a file"),
        (BASE.replace("gearbox", "end"), "names another bearing too"),
        (BASE.replace("1400", "0.2"), "is where another bearing stands"),
        (BASE.replace("station: 0", "station: 10"), "is not nought"),
        (BASE.replace("station: 1400", "station: 1400, aft_up: 0.1"), "stands alone"),
        (BASE + "wire: {diameter: 0.5, pull: 100 N, aft: 0, forward: 900}\n", "does not reach over all bearings"),
        ("bearings:\n  - {called: end, station: 0}\n", "at least 2"),
        (BASE.replace("called: end", "caled: end"), "called"),
    ],
)
def test_faults_are_told_with_their_place(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], text: str, words: str
) -> None:
    file = tmp_path / "line.yaml"
    file.write_text(text, encoding="utf-8")
    status, _, err = run(capsys, "line", str(file), "--out", str(tmp_path / "job"))
    assert status == Exit.UNUSABLE
    assert words in err
    assert "line.yaml:" in err
    assert not (tmp_path / "job").exists()


def test_a_set_beside_the_file(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    text = shipped()["tube-end-pair"].read_text(encoding="utf-8").replace("bearing_span: 1400", "bearing_span: 2000")
    (tmp_path / "own.yaml").write_text(text, encoding="utf-8")
    (tmp_path / "line.yaml").write_text(BASE.replace("tube-end-pair", "own.yaml"), encoding="utf-8")
    status, out, _ = run(capsys, "line", str(tmp_path / "line.yaml"), "--out", str(tmp_path / "job"))
    assert status == Exit.FAILURE
    assert "next bearing ahead of it, end: 2000 mm" in out
