"""The model on the job's page: its file read by another reader, its script made anew, and shown by a real browser.

The browser is Debian's Chromium, which draws by software; it is led by Playwright.
"""

from __future__ import annotations

import base64
import importlib.util
import io
import json
import re
import shutil
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import trimesh
from PIL import Image, ImageChops
from playwright.sync_api import Page, Playwright, sync_playwright
from scipy.spatial import cKDTree
from support import PlainPart, plain_parts, resolved

from strutwright.exporters.web import job_page, view_page
from strutwright.exporters.web.model import write_model
from strutwright.job import run_checks
from strutwright.models.solids.kernel import smoothed

ROOT = Path(__file__).resolve().parents[2]
SET = "harbour-launch"
QUANTUM_MM = 0.01
CHORD_MM = 0.05


# --- the file -------------------------------------------------------------------------------------------------------


def read_model(path: Path) -> dict[str, Any]:
    """The model in a file, as its script hands it to the page."""
    told = re.fullmatch(
        r'\(window\.strutModels=window\.strutModels\|\|\{\}\)\["([^"]+)"\]=(.*);\n', path.read_text("ascii")
    )
    assert told is not None
    assert told[1] == path.stem
    model = json.loads(told[2])
    assert isinstance(model, dict)
    return model


def decoded(part: dict[str, Any], key: str) -> np.ndarray:
    """Places (n, 3), mm, of the corners or the edges of a part."""
    whole = np.frombuffer(base64.b64decode(part[key]), dtype="<u2").reshape(-1, 3)
    return np.array(part["low"]) + whole * np.array(part["step"])


def mesh_of(part: dict[str, Any]) -> trimesh.Trimesh:
    kind = "<u4" if part["wide"] else "<u2"
    faces = np.frombuffer(base64.b64decode(part["triangles"]), dtype=kind).reshape(-1, 3)
    return trimesh.Trimesh(decoded(part, "corners"), faces, process=False)


def edges_of(part: dict[str, Any]) -> list[np.ndarray]:
    ends = np.cumsum(part["lengths"])
    return np.split(decoded(part, "edges"), ends[:-1])


def plain(name: str, shape: Any) -> PlainPart:
    return PlainPart(name, "barrel", shape, (0.5, 0.5, 0.5), "metal", shape.Volume())


def exact_box(shape: Any) -> np.ndarray:
    from OCP.Bnd import Bnd_Box
    from OCP.BRepBndLib import BRepBndLib

    box = Bnd_Box()
    BRepBndLib.AddOptimal_s(shape.wrapped, box, False, False)
    return np.array([[c.X(), c.Y(), c.Z()] for c in (box.CornerMin(), box.CornerMax())])


def test_a_model_is_the_solid_within_a_hundredth_of_a_mm(tmp_path: Path) -> None:
    strut = resolved(SET).strut
    parts = plain_parts(strut)
    write_model(tmp_path / "x.js", "x", strut, parts)
    model = read_model(tmp_path / "x.js")
    assert [p["name"] for p in model["parts"]] == [p.name for p in parts]
    for made, part in zip(model["parts"], parts, strict=True):
        mesh = mesh_of(made)
        # The kernel's exact box; round bodies fall short of it by the chord.
        assert np.abs(mesh.bounds - exact_box(part.shape)).max() < CHORD_MM + QUANTUM_MM
        corners = np.array([v.toTuple() for v in part.shape.Vertices()])
        assert cKDTree(mesh.vertices).query(corners)[0].max() < QUANTUM_MM
        assert mesh.is_watertight
        assert mesh.is_winding_consistent
        assert mesh.volume == pytest.approx(part.shape.Volume(), rel=1e-3)
    write_model(tmp_path / "y.js", "x", strut, parts)
    assert (tmp_path / "y.js").read_bytes() == (tmp_path / "x.js").read_bytes()


def test_edges_are_those_of_the_solid_without_seams(tmp_path: Path) -> None:
    import cadquery as cq

    rounded_box = cq.Workplane().box(60, 40, 20).edges("|Z").fillet(8).val()
    shapes = [cq.Solid.makeCylinder(25.0, 80.0), cq.Solid.makeBox(10, 20, 30), smoothed(rounded_box)]
    write_model(tmp_path / "x.js", "x", resolved(SET).strut, [plain(f"part {k}", s) for k, s in enumerate(shapes)])
    rod, box, plate = read_model(tmp_path / "x.js")["parts"]
    # Two rims, and no line along it where the kernel's surface begins.
    assert (len(rod["lengths"]), rod["smooth"]) == (2, [0, 0])
    for rim in edges_of(rod):
        assert np.abs(np.hypot(*rim[:, :2].T) - 25.0).max() < QUANTUM_MM
        middles = (rim[:-1] + rim[1:]) / 2
        assert 25.0 - np.hypot(*middles[:, :2].T).min() < CHORD_MM + QUANTUM_MM
    assert (box["lengths"], box["smooth"]) == ([2] * 12, [0] * 12)
    # A block with four rounded corners: eight sharp edges above and below each, eight smooth ones upright.
    assert sorted(plate["smooth"]) == [0] * 16 + [1] * 8


# --- the script -----------------------------------------------------------------------------------------------------


def test_the_script_is_what_its_source_makes() -> None:
    """Made with the versions of the lock file."""
    spec = importlib.util.spec_from_file_location("regenerate", ROOT / "tests" / "regenerate.py")
    assert spec is not None
    assert spec.loader is not None
    regenerate = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(regenerate)
    made = regenerate.bundled()
    assert {name: (regenerate.VIEWER / name).read_bytes() for name in made} == made
    assert made[regenerate.LICENCE] in view_page.BUNDLE.read_bytes()


# --- the page in a browser ------------------------------------------------------------------------------------------


def shown(folder: Path) -> Path:
    """Write a job's folder with a page, a picture and a model of plain solids; return the page."""
    source = resolved(SET)
    strut = source.strut
    (folder / "view").mkdir()
    write_model(folder / "view" / "x.js", "x", strut, plain_parts(strut))
    shutil.copy(view_page.BUNDLE, folder / view_page.SCRIPT)
    Image.new("RGB", (400, 300), "#ffffff").save(folder / "x.png")
    files = {
        "view/x.js": f"{view_page.MODEL}, centre",
        "x.png": "picture of the whole strut, centre",
        view_page.SCRIPT: "script",
    }
    hand = job_page.OneHand(strut=strut, findings=tuple(run_checks(source)), filled_in=source.filled_in)
    (folder / job_page.PAGE).write_text(job_page.page([hand], files), encoding="utf-8")
    return folder / job_page.PAGE


@dataclass
class Shown:
    """A page in the browser. told: what went wrong by its console; asked: what it loaded."""

    page: Page
    told: list[str] = field(default_factory=list)
    asked: list[str] = field(default_factory=list)

    def opened(self, path: Path) -> Shown:
        self.page.on("console", lambda m: self.told.append(m.text) if m.type in ("error", "warning") else None)
        self.page.on("pageerror", lambda error: self.told.append(str(error)))
        self.page.on("request", lambda request: self.asked.append(request.url))
        self.page.goto(path.as_uri())
        return self

    def drawn(self) -> int:
        return int(self.page.locator(".view").get_attribute("data-drawn") or 0)

    def after(self, what: str, *, key: str = "") -> Image.Image:
        """The stage when something was pressed, or a key on it, and it was drawn again."""
        before = self.drawn()
        if key:
            self.page.locator(what).press(key)
        elif what:
            self.page.locator(what).evaluate("e => e.click()")
        self.page.wait_for_function(f"Number(document.querySelector('.view').dataset.drawn || 0) > {before}")
        return Image.open(io.BytesIO(self.page.locator(".stage").screenshot())).convert("RGB")


def pixels_apart(one: Image.Image, other: Image.Image) -> int:
    """How many pixels of two pictures differ so that it is seen."""
    assert one.size == other.size
    return int((np.asarray(ImageChops.difference(one, other)).max(axis=2) > 24).sum())


def opened_in(play: Playwright, folder: Path, *more: str) -> Page:
    """A page of a browser with a fresh profile in a folder."""
    program = shutil.which("chromium")
    assert program, "Chromium is needed here: apt-get install chromium"
    flags = ["--no-sandbox", "--disable-background-networking", "--disable-component-update", "--disable-sync", *more]
    context = play.chromium.launch_persistent_context(
        folder, executable_path=program, headless=True, args=flags, viewport={"width": 420, "height": 700}
    )
    context.set_default_timeout(120_000)
    return context.new_page()


@pytest.fixture(scope="module")
def play() -> Iterator[Playwright]:
    with sync_playwright() as made:
        yield made


@pytest.fixture(scope="module")
def page_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return shown(tmp_path_factory.mktemp("job"))


@pytest.fixture(scope="module")
def model(play: Playwright, page_file: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Shown]:
    drawn_by = ("--use-gl=angle", "--use-angle=swiftshader", "--enable-unsafe-swiftshader")
    page = opened_in(play, tmp_path_factory.mktemp("profile"), *drawn_by)
    made = Shown(page).opened(page_file)
    page.wait_for_selector(".view[data-drawn]")
    yield made
    page.context.close()


def test_the_model_takes_the_place_of_the_picture(model: Shown) -> None:
    assert model.page.locator("canvas").is_visible()
    assert not model.page.locator("img.built").is_visible()
    assert {url.partition(":")[0] for url in model.asked} <= {"file", "data"}
    words = model.page.locator(".stage text").all_text_contents()
    assert {"FWD", "ON THE CENTRE LINE"} <= set(words)
    model.page.emulate_media(media="print")
    assert (model.page.locator("img.built").is_visible(), model.page.locator("canvas").is_visible()) == (True, False)
    model.page.emulate_media(media="screen")


def test_it_is_turned_cut_and_taken_apart(model: Shown) -> None:
    home = model.after("canvas", key="Home")
    count = home.size[0] * home.size[1]
    assert pixels_apart(home, Image.new("RGB", home.size, home.getpixel((2, home.size[1] // 2)))) > count // 20
    for what, key in (("canvas", "ArrowLeft"), ("canvas", "ArrowUp"), ("canvas", "+"), ("[data-look=aft]", "")):
        assert pixels_apart(home, model.after(what, key=key)) > count // 100, (what, key)
    assert pixels_apart(home, model.after("canvas", key="Home")) == 0
    whole = model.after("[data-look=port]")
    cut = model.after("[data-cut=along]")
    assert pixels_apart(whole, cut) > count // 100
    assert pixels_apart(cut, model.after("[data-cut-other]")) > count // 100
    assert pixels_apart(whole, model.after("[data-cut='']")) == 0
    assert pixels_apart(whole, model.after(".parts input >> nth=0")) > count // 20
    assert pixels_apart(whole, model.after(".parts input >> nth=0")) == 0
    assert model.told == []


def test_a_size_and_a_place_light_up(model: Shown) -> None:
    home = model.after("[data-look=port]")
    for button in ("[data-size=barrel-length]", "[data-place] >> nth=0"):
        before = model.page.locator(".stage .figure, .stage .lit").count()
        assert pixels_apart(home, model.after(button)) > 50
        assert model.page.locator(button).get_attribute("aria-pressed") == "true"
        assert model.page.locator(".stage .figure, .stage .lit").count() > before
        assert pixels_apart(home, model.after(button)) == 0
    # From the side barrel and palm are seen square: their lines are as long as their figures, by one scale.
    long = []
    for size in ("barrel-length", "palm-length"):
        model.after(f"[data-size={size}]")
        figure = model.page.locator(f"[data-size={size}] b").text_content() or ""
        assert model.page.locator(".stage text.figure").text_content() == figure
        x1, y1, x2, y2 = (
            float(model.page.locator(".stage line.size").first.get_attribute(a) or "nan")
            for a in ("x1", "y1", "x2", "y2")
        )
        long.append(np.hypot(x2 - x1, y2 - y1) / float(figure.removesuffix(" mm")))
        model.after(f"[data-size={size}]")
    assert long[0] == pytest.approx(long[1], rel=1e-3)
    numbers = [int(n or 0) for n in model.page.locator("[data-place] b").all_text_contents()]
    rows = model.page.locator(".findings > table tbody td:first-child").all_text_contents()
    assert {str(n) for n in numbers} <= set(rows)
    assert model.told == []


def test_without_webgl_the_picture_stands(play: Playwright, page_file: Path, tmp_path: Path) -> None:
    page = opened_in(play, tmp_path, "--disable-3d-apis")
    made = Shown(page).opened(page_file)
    page.wait_for_load_state("load")
    assert page.evaluate("document.createElement('canvas').getContext('webgl2')") is None
    assert page.locator("img.built").is_visible()
    assert not page.locator(".view").is_visible()
    assert made.told == []
    page.context.close()
