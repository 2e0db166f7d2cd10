"""Scans worked out as surveys: a known bottom comes back from a mesh and from a noisy cloud with other things in it."""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import trimesh
from support import every
from survey_support import Floats, line_at

from strutwright.cli import parser
from strutwright.errors import UserError
from strutwright.exporters.bench.scan_file import ScanError, scan_points
from strutwright.models.bench.scan import NoHullError, scanned
from strutwright.models.bench.scan_clearance import clearances
from strutwright.models.bench.survey import Sided, survey
from strutwright.models.bench.survey_frames import NoLineError
from strutwright.models.bench.survey_words import doubts
from strutwright.models.formulas.rod import rod_axis
from strutwright.models.resolve import resolve
from strutwright.params import loader
from strutwright.params.bench.survey import Survey, checked
from strutwright.params.measured import reads
from strutwright.params.problems import ParameterError

SHAFT, RUN, RISE, DROP = 11.0, 2.0, 18.0, 260.0


def bottom(x: Floats, y: Floats) -> Floats:
    """Height of a curved bottom over mid-barrel at (0, 0, 0)."""
    flat = DROP - x * math.tan(math.radians(RUN)) + y * math.tan(math.radians(RISE))
    return np.asarray(flat - x**2 / (2 * 7000.0) - y**2 / (2 * 4000.0))


def grid(step: float) -> Floats:
    """Points of the bottom, (rows, columns, 3)."""
    x, y = np.meshgrid(np.arange(-600.0, 601.0, step), np.arange(-400.0, 401.0, step), indexing="ij")
    return np.stack([x, y, bottom(x, y)], axis=-1)


def mesh(step: float) -> trimesh.Trimesh:
    """The bottom as triangles."""
    points = grid(step)
    rows, columns = points.shape[:2]
    k = np.arange(rows * columns).reshape(rows, columns)
    faces = [np.stack([k[:-1, :-1], k[1:, :-1], k[1:, 1:]], -1), np.stack([k[:-1, :-1], k[1:, 1:], k[:-1, 1:]], -1)]
    return trimesh.Trimesh(points.reshape(-1, 3), np.concatenate(faces).reshape(-1, 3), process=False)


def rod(radius: float) -> Floats:
    """The lower half of a rod on the shaft line."""
    e = math.radians(SHAFT)
    up, port = np.array([-math.sin(e), 0.0, math.cos(e)]), np.array([0.0, 1.0, 0.0])
    turn, along = (g.ravel() for g in np.meshgrid(np.radians(np.arange(180, 361, 10)), np.arange(-500.0, 500.0, 12.0)))
    out = radius * (np.outer(np.cos(turn), port) + np.outer(np.sin(turn), up))
    return line_at([1.0], SHAFT) * along[:, None] + out


def said(line: Floats, **more: Any) -> Survey:
    """A survey by a scan, whose line is marked at two points, aft first."""
    marks = [
        {"name": name, "along": float(p[0]), "port": float(p[1]), "up": float(p[2])}
        for name, p in zip(("A", "F"), line, strict=True)
    ]
    usual = {"side": "port", "palm": {"length": 240.0, "width": 130.0}, "scan": {"file": "a.xyz"}, "line": marks}
    return Survey.model_validate({**usual, **more})


def known() -> Sided:
    """What the bottom is, by a survey of points without scatter over the palm."""
    places = np.array([(x, y) for x in np.linspace(-130, 130, 7) for y in np.linspace(-75, 75, 5)])
    hull = [
        {"name": f"H{k}", "along": float(x), "port": float(y), "up": float(bottom(x, y))}
        for k, (x, y) in enumerate(places)
    ]
    line = said(line_at([-400.0, 400.0], SHAFT)).model_dump()["line"]
    mid = [{"what": "mid_barrel", "along": 0.0}]
    palm = {"length": 240.0, "width": 130.0}
    return survey(
        Survey.model_validate({"side": "port", "hull": hull, "line": line, "palm": palm, "places": mid})
    ).sides[0]


def near(found: Sided, deg: float, mm: float, *, level: bool = True) -> None:
    wanted = known()
    for name in ("pitch_deg", "tilt_deg", "run_deg", "deadrise_deg", *(("shaft_deg",) if level else ())):
        assert found.figures[name].value == pytest.approx(wanted.figures[name].value, abs=deg), name
    assert found.figures["drop_mm"].value == pytest.approx(wanted.figures["drop_mm"].value, abs=mm)


@pytest.mark.parametrize("kind", ["stl", "ply", "obj"])
def test_a_coarse_mesh_says_what_the_bottom_is(tmp_path: Path, kind: str) -> None:
    path = tmp_path / f"a.{kind}"
    scaled = mesh(50.0)
    scaled.apply_scale(0.001)
    scaled.export(path)
    cloud = scan_points(path, "m")
    line = line_at([-400.0, 400.0], SHAFT)
    # Flat faces of 50 mm lie 50^2 / 8 R off the curve.
    near(survey(scanned(said(line), cloud).said).sides[0], 0.03, 0.15)


@pytest.mark.parametrize("up", ["z", "found", "-y"])
def test_a_noisy_cloud_with_other_things_in_it(up: str) -> None:
    rng = np.random.default_rng(6)
    points = grid(9.0).reshape(-1, 3)
    hull = points + rng.normal(scale=0.8, size=points.shape)
    old = np.abs(points[:, 0] + 60.0) < 70.0
    old &= np.abs(points[:, 1]) < 45.0
    hull[old, 2] -= 14.0  # an old palm is still bolted on
    stand = np.column_stack([rng.uniform(40, 130, 400), rng.uniform(-110, -60, 400), rng.uniform(20, 240, 400)])
    skin = rod(25.0) + rng.normal(scale=0.4, size=rod(25.0).shape)
    cloud = np.vstack([hull, stand, skin])
    line = line_at([-450.0, 450.0], SHAFT)
    scan = {"file": "a.xyz", "rod_radius": 25.0, "up": up, "reach": 60.0}
    if up == "-y":  # the scanner's own axes
        turn = np.array([[1.0, 0.0, 0.0], [0.0, 0.0, 1.0], [0.0, -1.0, 0.0]])
        cloud, line = cloud @ turn.T, line @ turn.T
        assert np.allclose(turn @ [0.0, 0.0, 1.0], [0.0, 1.0, 0.0])
        cloud, line = cloud * [1.0, -1.0, -1.0], line * [1.0, -1.0, -1.0]
    way = (line[1] - line[0]) / np.linalg.norm(line[1] - line[0])
    off = rng.normal(scale=8.0, size=line.shape)
    marked = line + off - np.outer(off @ way, way)  # picked by hand, off the axis
    found = scanned(said(marked, scan=scan, places=[{"what": "mid_barrel", "point": "A", "distance": 450.0}]), cloud)
    assert found.left > 0.03
    side = survey(found.said).sides[0]
    near(side, 0.1, 0.5)
    assert side.figures["shaft_deg"].value == pytest.approx(SHAFT, abs=0.05)


def test_the_axis_of_a_rod_is_found_past_other_things() -> None:
    rng = np.random.default_rng(9)
    skin = rod(20.0) + rng.normal(scale=0.3, size=rod(20.0).shape)
    other = rng.uniform([-500, -30, -150], [500, 30, 150], (150, 3))
    first, last = line_at([-400.0, 400.0], SHAFT) + np.array([[0.0, 6.0, -5.0], [0.0, -4.0, 7.0]])
    found = rod_axis(np.vstack([skin, other]), 20.0, first, last)
    direction = line_at([1.0], SHAFT)[0]
    assert math.degrees(math.acos(min(1.0, float(found.direction @ direction)))) < 0.02
    off = found.middle - (found.middle @ direction) * direction
    assert float(np.linalg.norm(off)) < 0.1
    assert found.scatter_mm == pytest.approx(0.3, rel=0.25)
    with pytest.raises(ValueError, match="too few points"):
        rod_axis(other, 20.0, first, last)
    with pytest.raises(ValueError, match="too few points"):
        rod_axis(skin, 40.0, first, last)


def test_a_rod_with_more_points_than_the_hull_over_it_is_no_hull() -> None:
    cloud = np.vstack([grid(16.0).reshape(-1, 3), *(rod(12.0 - 0.01 * k) for k in range(12))])
    line = line_at([-450.0, 450.0], SHAFT)
    found = scanned(said(line, scan={"file": "a.xyz", "rod_radius": 12.0, "reach": 60.0}), cloud)
    near(survey(found.said).sides[0], 0.1, 0.5)


def test_what_shows_no_hull_is_told() -> None:
    line = line_at([-400.0, 400.0], SHAFT)
    cloud = grid(20.0).reshape(-1, 3)
    with pytest.raises(NoHullError, match="hardly a point"):
        scanned(said(line), cloud - [0.0, 0.0, 900.0])
    with pytest.raises(NoHullError, match="where the palm lies"):
        scanned(said(line, palm={}), cloud)


def test_what_is_alike_in_every_kind_of_file_is_read_alike(tmp_path: Path) -> None:
    made = mesh(50.0)
    made.vertices = made.vertices.astype(np.float32).astype(float)  # as a binary STL has them
    for name, kind in (("a.stl", "stl"), ("b.stl", "stl_ascii"), ("a.ply", "ply"), ("a.obj", "obj")):
        made.export(tmp_path / name, file_type=kind)
    line = line_at([-400.0, 400.0], SHAFT)
    of = [scanned(said(line), scan_points(tmp_path / n, "mm")) for n in ("a.stl", "b.stl", "a.ply", "a.obj")]
    assert len({it.patch for it in of}) == 1
    for it in of[1:]:
        for one, other in zip(of[0].said.hull, it.said.hull, strict=True):
            assert (one.along, one.port, one.up) == pytest.approx((other.along, other.port, other.up), abs=1e-4)


def test_a_bottom_without_any_scatter_has_no_reading_out_of_line() -> None:
    x, y = (g.ravel() for g in np.meshgrid(np.arange(-200.0, 201.0, 8), np.arange(-150.0, 151.0, 8)))
    cloud = np.stack([x, y, 400.0 - 0.035 * x + 0.32 * y], axis=1).astype(np.float32).astype(float)
    side = survey(scanned(said(line_at([-400.0, 400.0], SHAFT)), cloud).said).sides[0]
    assert not side.proof.named
    # A shaft marked from forward aft is told by the signs that it gives.
    told = "; ".join(map(str, doubts(survey(scanned(said(line_at([400.0, -400.0], SHAFT)), cloud).said).sides[0])))
    assert "the shaft rises going aft, by 11 deg" in told
    assert "the bottom falls going outboard, by 17.7 deg" in told


@pytest.mark.filterwarnings("error")
@pytest.mark.parametrize(
    ("name", "data", "words"),
    [
        ("a.stl", b"", "no points that can be read"),
        ("a.stl", b"a letter to the yard " * 40, "no points that can be read"),
        ("a.stl", bytes(80) + (9).to_bytes(4, "little") + bytes(50 * 4 + 7), "no points that can be read"),
        ("a.ply", b"ply\nformat ascii 1.0\nelement vertex 9\n", "cannot be read as PLY"),
        ("a.obj", b"v 0 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 9\n", "points that it does not have"),
        (
            "a.obj",
            b"v 0 0 0\nv 1 0 nan\nv 0 1 0\nf 1 2 3\n",
            "of its 3 points 1 are no numbers or endless, first point 2",
        ),
        ("a.xyz", b"0 0 0\n1 0 inf\n0 1 0\n", "of its 3 points 1 are no numbers or endless, first point 2"),
        ("a.xyz", b"0,5;1,5;2,5\n", r"a\.xyz:1: its numbers have a decimal comma"),
    ],
)
def test_files_that_are_no_scans_are_told(tmp_path: Path, name: str, data: bytes, words: str) -> None:
    (tmp_path / name).write_bytes(data)
    with pytest.raises(ScanError, match=words):
        scan_points(tmp_path / name, "mm")


def test_a_face_that_names_no_point_is_told(tmp_path: Path) -> None:
    head = "ply\nformat ascii 1.0\nelement vertex 3\nproperty float x\nproperty float y\nproperty float z\n"
    head += "element face 1\nproperty list uchar int vertex_indices\nend_header\n0 0 0\n1 0 0\n0 1 0\n"
    for index in (3, -1):
        (tmp_path / "a.ply").write_text(f"{head}3 0 1 {index}\n")
        with pytest.raises(ScanError, match="face 1 names a point that is not there; the file has 3"):
            scan_points(tmp_path / "a.ply", "mm")


@pytest.mark.parametrize(
    ("file", "aft", "words"),
    [
        ("../a.ply", -400.0, "scan.file: leads elsewhere"),
        ("/a.ply", -400.0, "scan.file: leads elsewhere"),
        (".", -400.0, "scan.file: leads elsewhere"),
        ("a.ply", 399.0, "line: has its first and last point on one place"),
    ],
)
def test_a_scan_elsewhere_and_a_line_of_one_place_are_refused(file: str, aft: float, words: str) -> None:
    some = said(line_at([aft, 400.0], SHAFT), scan={"file": file}).model_dump(include={"side", "scan", "line", "palm"})
    with pytest.raises(ParameterError, match=words):
        checked(reads(json.dumps(some), Survey))


def test_a_line_that_leads_up_is_no_shaft_line() -> None:
    up = np.array([[0.0, 0.0, -400.0], [0.0, 0.0, 100.0]])
    cloud = grid(20.0).reshape(-1, 3)
    with pytest.raises(NoHullError, match="lead up"):
        scanned(said(up), cloud)
    points = [
        {"name": f"H{k}", "along": x, "port": y, "up": 400.0} for k, (x, y) in enumerate([(0, 0), (90, 0), (0, 90)])
    ]
    for line, words in (
        (up, "upright or athwart"),
        (up[:, [0, 2, 1]], "upright or athwart"),
        (up[:1] * [[1], [1]], "one"),
    ):
        by_hand = said(line, hull=points, scan={}, places=[{"what": "mid_barrel", "along": 0.0}])
        with pytest.raises(NoLineError, match=words):
            survey(by_hand)


def test_what_lies_between_the_points_of_a_scan_is_taken_off_a_clearance() -> None:
    found = resolve(loader.load(loader.shipped()["harbour-launch"]))
    line = [{"name": n, "along": x, "port": 0.0, "up": 0.0} for n, x in (("A", -400.0), ("F", 400.0))]
    places = [{"what": "mid_barrel", "along": 0.0}, {"what": "hub", "along": -300.0}]
    one = Survey.model_validate({"side": "centre", "line": line, "places": places})
    half = found.strut.barrel.outside_mm / 2
    points = np.array([[0.0, 0.0, half + 50.0], [-320.0, 0.0, 300.0]])
    for apart in (0.0, 30.0, 50.0):
        parts = {c.part: c.least_mm for c in clearances(found, one, points, apart)}
        assert parts["barrel"] == pytest.approx(math.sqrt(50.0**2 - apart**2))
        # The hub was measured, further aft than the set has it: there the blades are.
        diameter, hub = found.said.propeller.diameter, found.said.propeller.hub_length
        assert diameter is not None
        assert hub is not None
        assert hub >= 20.0
        assert parts["propeller"] == pytest.approx(math.sqrt((300.0 - diameter / 2) ** 2 - apart**2))


def test_clouds_are_read_with_any_commas_and_a_head(tmp_path: Path) -> None:
    path = tmp_path / "a.xyz"
    path.write_text("x y z\n# a remark\n1 2 3 255 255 255\n4;5;6\n\n7, 8, 9\n")
    assert scan_points(path, "cm").tolist() == [[10, 20, 30], [40, 50, 60], [70, 80, 90]]
    path.write_text("1 2 3\n4 5\n")
    with pytest.raises(ScanError, match=r"a\.xyz:2"):
        scan_points(path, "mm")
    with pytest.raises(ScanError, match="neither a mesh"):
        scan_points(tmp_path / "a.pdf", "mm")
    (tmp_path / "b.stl").write_bytes(b"nothing")
    with pytest.raises(ScanError):
        scan_points(tmp_path / "b.stl", "mm")


def test_the_command_takes_a_scan_and_tells_clearances(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    high = mesh(40.0)
    high.apply_translation([0.0, 0.0, 190.0])
    high.export(tmp_path / "bottom.stl")
    survey_said = said(line_at([-400.0, 400.0], SHAFT), scan={"file": "bottom.stl"}).model_dump(
        include={"side", "scan", "line"}, exclude_none=True
    )
    (tmp_path / "a.yaml").write_text(json.dumps(survey_said))
    words = ["survey", str(tmp_path / "a.yaml"), "--set", "coastal-pair", "--out", str(tmp_path / "job"), "--json"]
    arguments = parser().parse_args(words)
    arguments.run(arguments)
    answer = json.loads(capsys.readouterr().out)
    parts = {c["part"]: c["least_mm"] for c in answer["clearances"]}
    assert set(parts) >= {"propeller", "barrel"}
    found = resolve(loader.load(loader.shipped()["coastal-pair"])).strut
    # From the skin of the barrel to the bottom, whose nearest place lies a good way inboard of upright over it.
    over = math.hypot(1.0, math.tan(math.radians(RISE)))
    assert parts["barrel"] == pytest.approx((DROP + 190.0) / over - found.barrel.outside_mm / 2, rel=0.08)
    assert 0.0 < parts["propeller"] < parts["barrel"]
    # The blades' tip is told by where the scan is nearest abreast of them, not by the bottom drawn out.
    assert 0.0 <= answer["sides"][0]["figures"]["tip_mm"]["value"] - parts["propeller"] < 3.0
    assert len(answer["scan_sha256"]) == 64
    (tmp_path / "bottom.stl").unlink()
    with pytest.raises(UserError, match="cannot be read"):
        arguments.run(arguments)


@pytest.mark.parametrize("name", every(["harbour-launch", "yawl-with-heel"], 2))
def test_clearances_of_skeg_and_palm_are_never_more_than_to_the_solids(name: str) -> None:
    import cadquery as cq

    from strutwright.models.bench.scan_clearance import from_palm_mm, from_skeg_mm
    from strutwright.models.solids import palm as palms
    from strutwright.models.solids import skeg as skegs

    strut = resolve(loader.load(loader.shipped()[name])).strut
    points = np.random.default_rng(5).uniform([-350.0, -150.0, -450.0], [250.0, 150.0, 340.0], (12, 3))

    def true(solids: list[Any]) -> Any:
        return np.array([min(cq.Vertex.makeVertex(*p).distance(s) for s in solids) for p in points.tolist()])

    palm = strut.palms[0]
    to_plate, found = true([palms.plate(palm)]), from_palm_mm(palm, 2.0, points)
    low = np.isfinite(found)
    assert low.any()
    assert found[low] == pytest.approx(to_plate[low], abs=0.06)
    if strut.skeg is not None:
        heel = strut.skeg.heel
        assert heel is not None
        parts = [skegs.fin(strut.skeg, strut.barrel), skegs.foot(strut.skeg, heel, strut.barrel), skegs.boss(heel)]
        to_skeg, near = true(parts), from_skeg_mm(strut.skeg, strut.barrel, points)
        assert (near <= to_skeg + 1e-6).all()
        assert (near > 0.5 * to_skeg - 30.0).all()
