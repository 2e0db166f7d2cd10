"""Meshes and DXF outlines read by programs that are not ours: trimesh, ezdxf's auditor, dxf-parser (npm), LibreCAD.

What they must find follows from the parameters by geometry.
"""

from __future__ import annotations

import json
import math
import os
import shutil
import subprocess
from pathlib import Path
from typing import Any

import ezdxf
import ezdxf.bbox
import ezdxf.path
import numpy as np
import pypdfium2
import pytest
import trimesh
from scipy.cluster.hierarchy import fcluster, linkage
from scipy.spatial import cKDTree
from support import example_strut, featured_strut, plain_parts, with_palm

from strutwright.exporters.files.mesh import CHORD_MM, MeshError, part_mesh, write_glb, write_stl
from strutwright.exporters.files.patterns import palm_pattern, pattern_files
from strutwright.models import frames
from strutwright.models.outline import oval
from strutwright.models.solids import build
from strutwright.models.solids.triangles import joined
from strutwright.models.spec import Strut, mirrored

PARSE = """
const {readFileSync} = require('fs');
const parser = require('dxf-parser');
const Parser = parser.default || parser;
process.stdout.write(JSON.stringify(new Parser().parseSync(readFileSync(process.argv[2], 'utf8'))));
"""


# --- meshes -----------------------------------------------------------------------------------------------------------


def test_stl_is_watertight_and_true_within_the_chord(tmp_path: Path) -> None:
    strut = example_strut()
    parts = plain_parts(strut)
    path = tmp_path / "strut.stl"
    write_stl(path, parts)
    mesh = trimesh.load(path)
    assert mesh.is_watertight
    assert mesh.is_winding_consistent
    # No triangle is farther from the surface than the chord, so the volumes differ by less than area x chord.
    assert abs(mesh.volume - parts[0].volume_mm3) < mesh.area * CHORD_MM
    palm = strut.palms[0]
    top = frames.palm_axes(palm).to_strut(palm.outline.polyline(0.01))[:, 2].max()
    assert mesh.bounds[:, 2] == pytest.approx([-42.0, top], abs=CHORD_MM)


def test_triangles_keep_the_chord_on_a_cylinder() -> None:
    import cadquery as cq

    radius = 50.0
    mesh = part_mesh(cq.Solid.makeCylinder(radius, 80.0), "cylinder", CHORD_MM)
    sides = mesh.triangles[np.abs(mesh.face_normals[:, 2]) < 0.5]
    middles = (sides + np.roll(sides, 1, axis=1)) / 2
    sag = radius - np.hypot(middles[..., 0], middles[..., 1])
    assert 0.0 < sag.max() <= CHORD_MM


def test_triangles_keep_the_chord_between_fillets() -> None:
    from OCP.BRepAdaptor import BRepAdaptor_Surface

    shape = build(featured_strut()).parts[0].shape
    mesh = part_mesh(shape, "strut", CHORD_MM)
    middles = (mesh.triangles + np.roll(mesh.triangles, 1, axis=1)) / 2
    axis_free = middles[..., 1:]  # the barrel lies along x
    radii = np.hypot(axis_free[..., 0], axis_free[..., 1])
    normal = np.abs(mesh.face_normals[:, 0]) < 1e-6
    faces = {
        round(BRepAdaptor_Surface(f.wrapped).Cylinder().Radius(), 6)
        for f in shape.Faces()
        if f.geomType() == "CYLINDER"
    }
    assert {42.0, 27.0} <= faces
    for radius in (42.0, 27.0):
        # Triangles with all corners on the cylinder and facing square to its axis are those of its face.
        corners = np.hypot(mesh.triangles[..., 1], mesh.triangles[..., 2])
        mine = normal & (np.abs(corners - radius) < 1e-4).all(axis=1)
        assert mine.sum() > 100
        assert (radius - radii[mine]).max() <= CHORD_MM


@pytest.mark.parametrize("count", [2, 3, 4])
def test_wedges_on_one_edge_make_a_closed_mesh(count: int) -> None:
    """Two faces of each wedge end on the same edge. A wedge is half the product of its sides and the sine between."""
    import cadquery as cq

    wedge = cq.Workplane().polyline([(0.0, 0.0), (20.0, 0.0), (20.0 * math.cos(0.5), 20.0 * math.sin(0.5))]).close()
    body = wedge.extrude(30.0).val()
    turned = [body.rotate(cq.Vector(), cq.Vector(0.0, 0.0, 1.0), 360.0 / count * k) for k in range(count)]
    mesh = part_mesh(cq.Compound.makeCompound(turned), "wedges", CHORD_MM)
    assert mesh.is_watertight
    assert mesh.is_winding_consistent
    assert mesh.volume == pytest.approx(count * 0.5 * 20.0**2 * math.sin(0.5) * 30.0, rel=1e-9)


def test_glb_is_in_metres_with_a_node_for_each_part(tmp_path: Path) -> None:
    parts = plain_parts(example_strut("vee", skeg=True))
    path = tmp_path / "strut.glb"
    write_glb(path, parts)
    scene = trimesh.load(path)
    assert set(scene.graph.nodes_geometry) == {p.name for p in parts}
    for part in parts:
        mesh = scene.geometry[part.name]
        assert mesh.is_watertight
        assert abs(mesh.volume * 1e9 - part.volume_mm3) < mesh.area * 1e6 * CHORD_MM
        assert mesh.visual.material.baseColorFactor[:3].tolist() == [round(255 * c) for c in part.colour]
    # glTF 2.0: +y up, +z forward, so +x is port. The barrel is 180 mm long and 84 mm across.
    assert scene.geometry["barrel"].extents == pytest.approx([0.084, 0.084, 0.180], abs=1e-5)
    assert scene.geometry["port palm"].bounds[:, 0].min() > 0.0
    assert scene.geometry["port palm"].bounds[:, 1].min() > 0.2
    assert scene.geometry["skeg"].centroid == pytest.approx([0.0, -0.2, -0.095], abs=1e-6)


def test_glb_header_follows_the_standard(tmp_path: Path) -> None:
    path = tmp_path / "strut.glb"
    write_glb(path, plain_parts(example_strut()))
    data = path.read_bytes()
    assert data[:4] == b"glTF"
    assert int.from_bytes(data[4:8], "little") == 2
    assert int.from_bytes(data[8:12], "little") == len(data)
    tree = json.loads(data[20 : 20 + int.from_bytes(data[12:16], "little")])
    assert tree["asset"]["version"] == "2.0"
    assert [n["name"] for n in tree["nodes"]] == ["strut"]


def test_an_open_shape_gives_no_mesh() -> None:
    import cadquery as cq

    shell = cq.Shell.makeShell(cq.Solid.makeBox(10.0, 10.0, 10.0).Faces()[:-1])
    with pytest.raises(MeshError, match="lid"):
        part_mesh(shell, "lid")


# --- DXF --------------------------------------------------------------------------------------------------------------


@pytest.fixture(scope="session")
def parser(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with npm's dxf-parser in it."""
    npm = shutil.which("npm")
    if npm is None or shutil.which("node") is None:
        pytest.skip("npm is not installed")
    folder = tmp_path_factory.mktemp("npm")
    done = subprocess.run(
        [npm, "install", "--silent", "--no-audit", "--no-fund", "dxf-parser@1.1.2"],
        cwd=folder,
        capture_output=True,
        check=False,
        timeout=120,
    )
    if done.returncode:
        pytest.skip("dxf-parser could not be fetched")
    (folder / "parse.js").write_text(PARSE)
    return folder


def parsed(parser: Path, path: Path) -> Any:
    done = subprocess.run(["node", "parse.js", str(path)], cwd=parser, capture_output=True, check=True, timeout=60)
    return json.loads(done.stdout)


@pytest.mark.parametrize("face", ["hull face", "water face"])
@pytest.mark.parametrize(("kind", "units"), [("single", "mm"), ("vee", "in")])
def test_dxf_parser_finds_every_hole_where_the_parameters_say(
    parser: Path, tmp_path: Path, kind: Any, units: Any, face: Any
) -> None:
    strut = example_strut(kind, units=units)
    per_mm = 1.0 if units == "mm" else 1 / 25.4
    for palm in strut.palms:
        path = tmp_path / "palm.dxf"
        palm_pattern(strut, palm, face).save(path)
        data = parsed(parser, path)
        assert data["header"]["$INSUNITS"] == (4 if units == "mm" else 1)
        assert data["header"]["$MEASUREMENT"] == (1 if units == "mm" else 0)
        seen = 1.0 if face == "hull face" else -1.0  # the water face shows port below
        for layer, diameter in (("DRILL", 13.0), ("COUNTERSINK" if seen < 0 else "PHANTOM", 24.0)):
            circles = [e for e in data["entities"] if e["type"] == "CIRCLE" and e["layer"] == layer]
            got = sorted(
                (c["center"]["x"] / per_mm, c["center"]["y"] / per_mm, 2 * c["radius"] / per_mm) for c in circles
            )
            asked = sorted((h.u_mm, seen * h.v_mm, diameter) for h in palm.holes)
            assert np.array(got) == pytest.approx(np.array(asked), abs=1e-9)
        (outer,) = [e for e in data["entities"] if e["layer"] == "CUT_OUTER"]
        assert outer["shape"] is True  # closed
        x = [v["x"] / per_mm for v in outer["vertices"]]
        assert max(x) - min(x) == pytest.approx(250.0, abs=1e-9)
        words = " ".join(e["text"] for e in data["entities"] if e["type"] == "TEXT")
        for word in (face.upper(), strut.identity.hand.upper(), "FWD", "scale 1:1", "guidance only", "revision A"):
            assert word in words


def test_bulges_are_those_of_the_outline(parser: Path, tmp_path: Path) -> None:
    outline = oval(250.0, 120.0)
    strut = with_palm(example_strut(), outline=outline)
    path = tmp_path / "palm.dxf"
    palm_pattern(strut, strut.palms[0], "hull face").save(path)
    (outer,) = [e for e in parsed(parser, path)["entities"] if e["layer"] == "CUT_OUTER"]
    got = np.array([(v["x"], v["y"], v.get("bulge", 0.0)) for v in outer["vertices"]])
    assert got == pytest.approx(outline.vertices, abs=1e-9)
    # An ellipse is the set of points with x^2/a^2 + y^2/b^2 = 1; arc middles leave it by 0.01 mm at most.
    start, bulge = got[:, :2], got[:, 2]
    end = np.roll(start, -1, axis=0)
    way = end - start
    middle = (start + end) / 2 + 0.5 * bulge[:, None] * np.column_stack((way[:, 1], -way[:, 0]))
    level = (middle[:, 0] / 125.0) ** 2 + (middle[:, 1] / 60.0) ** 2 - 1.0
    slope = 2.0 * np.hypot(middle[:, 0] / 125.0**2, middle[:, 1] / 60.0**2)
    assert np.abs(level / slope).max() < 0.0101


def audited(strut: Strut, folder: Path) -> dict[str, Any]:
    out = {}
    for name, cut in pattern_files(strut).items():
        path = folder / f"{name}.dxf"
        cut.save(path)
        doc = ezdxf.readfile(path)
        auditor = doc.audit()
        assert not auditor.has_errors, name
        assert not auditor.has_fixes, name
        out[name] = doc
    return out


def test_ezdxf_finds_nothing_to_mend_and_the_check_lines_true(tmp_path: Path) -> None:
    for kind, units, bar in (("single", "mm", 100.0), ("vee", "in", 4.0)):
        docs = audited(example_strut(kind, units=units, skeg=True), tmp_path)  # type: ignore[arg-type]
        assert {"barrel-half-section", "barrel-aft-end", "skeg-profile"} <= set(docs)
        for name, doc in docs.items():
            space = doc.modelspace()
            assert {e.dxftype() for e in space} <= {"LWPOLYLINE", "LINE", "CIRCLE", "TEXT"}, name
            lines = [(e.dxf.end - e.dxf.start) for e in space.query('LINE[layer=="CHECK"]')]
            for along in (0, 1):
                long = sorted(abs(v[along]) for v in lines if abs(v[along]) > bar / 2)
                assert long == pytest.approx([bar, 3 * bar], abs=1e-9), name


def test_saddle_and_trim_of_the_arm_follow_from_the_sizes(tmp_path: Path) -> None:
    strut = example_strut()
    doc = audited(strut, tmp_path)["arm-profile"]
    (outer,) = doc.modelspace().query('LWPOLYLINE[layer=="CUT_OUTER"]')
    points = np.array([p[:2] for p in outer.get_points()])
    # Upright arm along the shaft: its faces, 10 mm off, meet the barrel of 42 mm radius at sqrt(42^2 - 10^2).
    assert points[:, 1].min() == pytest.approx(math.sqrt(42.0**2 - 10.0**2), abs=1e-9)
    # The water face is z = 250 - 20 |n| - x tan 12 deg + y tan phi; the port face of the arm, 12 mm off, is longest.
    theta, phi = math.tan(math.radians(12.0)), math.tan(math.radians(strut.palms[0].plane.tilt_deg))
    level = 250.0 - 20.0 * math.sqrt(1 + theta**2 + phi**2) + 12.0 * phi
    top = points[points[:, 1] > 100.0]
    assert top[:, 1] == pytest.approx(level - theta * top[:, 0], abs=1e-9)


def test_section_templates_have_the_sizes_between_barrel_and_hull(tmp_path: Path) -> None:
    strut = example_strut()
    doc = audited(strut, tmp_path)["arm-section-templates"]
    shapes = list(doc.modelspace().query('LWPOLYLINE[layer=="TEMPLATE"]'))
    chords = [float(np.ptp(flattened(s)[:, 0])) for s in shapes]
    assert chords == pytest.approx([110.0, 115.0, 120.0, 125.0, 130.0], abs=0.003)
    # Two arcs that end in circles of 2 mm, tangent: side radius ((c/2 - 2)^2 + (t/2)^2 - 4) / 2 (t/2 - 2), Pythagoras.
    for s, chord, t in zip(shapes, chords, (20, 21, 22, 23, 24), strict=True):
        x, _, _, _, bulge = s.get_points()[0]
        across = s.get_points()[1][0] - x
        radius = ((chord / 2 - 2) ** 2 + (t / 2) ** 2 - 4) / (t - 4)
        assert abs(across) * (1 + bulge**2) / (4 * abs(bulge)) == pytest.approx(radius, rel=1e-9)


def flattened(entity: Any) -> np.ndarray:
    """Points on a polyline with bulges, by ezdxf, 0.001 mm near."""
    return np.array([(p.x, p.y) for p in ezdxf.path.make_path(entity).flattening(0.001)])


def test_foil_templates_are_the_published_form_within_a_hundredth(tmp_path: Path) -> None:
    strut = featured_strut()
    doc = audited(strut, tmp_path)["arm-section-templates"]
    shapes = list(doc.modelspace().query('LWPOLYLINE[layer=="TEMPLATE"]'))
    assert len(shapes) == 5
    for shape, chord, thickness in zip(shapes, (90.0, 100.0, 110.0, 120.0, 130.0), (20, 21, 22, 23, 24), strict=True):
        points = flattened(shape)
        points[:, 1] -= (points[:, 1].max() + points[:, 1].min()) / 2
        # NACA Report 460 (1933): y/t = 5 (0.2969 sqrt x - 0.1260 x - 0.3516 x^2 + 0.2843 x^3 - 0.1015 x^4).
        x = np.linspace(0.0, 1.0, 40001) ** 2
        y = 5 * thickness * (0.2969 * np.sqrt(x) - 0.1260 * x - 0.3516 * x**2 + 0.2843 * x**3 - 0.1015 * x**4)
        true = np.column_stack((chord * (0.5 - x), y))
        true = np.vstack((true, true * (1.0, -1.0), [(-chord / 2, v) for v in np.linspace(-y[-1], y[-1], 500)]))
        # Its tail is rounded by 2 mm: the published form holds forward of that.
        points = points[points[:, 0] > -chord / 2 + 0.2 * chord]
        gaps, _ = cKDTree(true).query(points)
        assert gaps.max() < 0.0125  # 0.01 of the arcs, 0.001 of flattening, the spacing of the true points


@pytest.mark.parametrize("kind", ["single", "vee"])
def test_saddle_and_trim_lie_on_barrel_and_palm(tmp_path: Path, kind: Any) -> None:
    strut = featured_strut(kind)
    docs = audited(strut, tmp_path)
    gap = 0.0 if kind == "single" else 2.0  # the root gap of the prepared arms is taken off at each end
    for arm, palm in zip(strut.arms, strut.palms, strict=True):
        space = docs[f"{arm.name.replace(' ', '-')}-profile"].modelspace()
        axes = frames.arm_axes(arm, strut.barrel, palm.plane)
        lean = float(axes.u @ axes.n)
        forward = (axes.u - lean * axes.n) / math.sqrt(1 - lean**2)
        hull = frames.palm_axes(palm)

        def in_boat(points: np.ndarray, across: float, axes: Any = axes, forward: Any = forward) -> np.ndarray:
            base: np.ndarray = axes.origin + across * axes.v
            return base + np.outer(points[:, 0], forward) + np.outer(points[:, 1], axes.n)

        (outer,) = space.query('LWPOLYLINE[layer=="CUT_OUTER"]')
        edge = flattened(outer)
        low, high = edge[:, 1] < 100.0, edge[:, 1] > 100.0
        lines = [flattened(e) for e in space.query('LWPOLYLINE[layer=="ENGRAVE"]')]
        found = set()
        for points in lines:
            if points[:, 1].max() < 100.0:
                for part in (-0.5, 0.0, 0.5):
                    place = in_boat(points, part * arm.thickness_barrel_mm)
                    off = np.abs(np.hypot(place[:, 1], place[:, 2]) - 42.0 - gap).max()
                    if off < 0.012:
                        found.add(("saddle", part))
            else:
                for part in (-0.5, 0.0, 0.5):
                    height = (in_boat(points, part * arm.thickness_palm_mm) - hull.origin) @ hull.n
                    if np.abs(height + palm.thickness_mm + gap).max() < 1e-6:
                        found.add(("trim", part))
        assert {("saddle", 0.0), ("trim", 0.0)} <= found
        # The blank is long enough everywhere: no face of it ends short of barrel or palm.
        for part in (-0.5, 0.5):
            place = in_boat(edge[low], part * arm.thickness_barrel_mm)
            assert (np.hypot(place[:, 1], place[:, 2]) < 42.0 + gap + 0.012).all()
            height = (in_boat(edge[high], part * arm.thickness_palm_mm) - hull.origin) @ hull.n
            assert (height > -palm.thickness_mm - gap - 1e-6).all()


def test_the_other_hand_is_the_mirror_image() -> None:
    strut = featured_strut()
    other = mirrored(strut)
    port = palm_pattern(strut, strut.palms[0], "water face").document().modelspace()
    starboard = palm_pattern(other, other.palms[0], "hull face").document().modelspace()
    for kind in ("DRILL", "CENTRE", "CUT_OUTER"):
        boxes = [
            sorted(
                tuple(round(float(c), 6) + 0.0 for p in ezdxf.bbox.extents([e]) for c in p)
                for e in space.query(f'*[layer=="{kind}"]')
            )
            for space in (port, starboard)
        ]
        assert boxes[0] == boxes[1]
        assert boxes[0]


def test_librecad_prints_the_palm_at_true_scale(tmp_path: Path) -> None:
    librecad = shutil.which("librecad")
    if librecad is None:
        pytest.skip("LibreCAD is not installed")
    strut = example_strut()
    path = tmp_path / "palm.dxf"
    palm_pattern(strut, strut.palms[0], "water face").save(path)
    home = {**os.environ, "QT_QPA_PLATFORM": "offscreen", "HOME": str(tmp_path), "XDG_RUNTIME_DIR": str(tmp_path)}
    subprocess.run(
        [librecad, "dxf2pdf", "-p", "600x600", "-s", "1", "-c", "-t", str(tmp_path), str(path)],
        env=home,
        capture_output=True,
        check=True,
        timeout=120,
    )
    page = pypdfium2.PdfDocument(tmp_path / "palm.pdf")[0]
    mm = 25.4 / 72.0
    boxes = np.array([o.get_bounds() for o in page.get_objects()]) * mm
    size = boxes[:, 2:] - boxes[:, :2]
    middle = (boxes[:, 2:] + boxes[:, :2]) / 2

    def round_ones(diameter: float) -> Any:
        # A printed circle is wider by its line.
        return middle[np.all(np.abs(size - diameter - 0.35) < 0.25, axis=1)]

    holes, rims = round_ones(13.0), round_ones(24.0)
    asked = np.array(sorted((h.u_mm, -h.v_mm) for h in strut.palms[0].holes))
    for found in (holes, rims):
        assert len(found) == 6
        place = np.array(sorted(np.round(found - found.mean(axis=0), 3).tolist()))
        assert place == pytest.approx(asked, abs=0.2)


@pytest.mark.parametrize("seed", range(6))
def test_corners_that_lie_together_become_one(seed: int) -> None:
    """Groups nearer than half the size are joined, and none of which every corner lies farther off, against scipy's
    single-linkage clusters; where the groups lie on the cells of a grid does not matter.
    """
    rng, same = np.random.default_rng(seed), 1e-4
    centres = rng.uniform(-300.0, 300.0, (200, 3)).round(4) + rng.choice([0.0, same / 2], (200, 3))
    points = (centres[:, None] + rng.uniform(-same / 4, same / 4, (200, 3, 3))).reshape(-1, 3)
    rng.shuffle(points)
    corners, place = joined(points, same)
    near, far = (fcluster(linkage(points, "single"), reach, "distance") for reach in (same / 2, same * 3**0.5))
    for group in np.unique(near):
        assert len(set(place[near == group].tolist())) == 1
    for number in range(len(corners)):
        assert len(set(far[place == number].tolist())) == 1
    assert np.abs(points - corners[place]).max() < 2 * same
    assert (np.diff([np.flatnonzero(place == n)[0] for n in range(len(corners))]) > 0).all()  # order kept
