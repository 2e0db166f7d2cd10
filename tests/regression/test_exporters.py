"""What the exporters promise: equal bytes in any process, outputs moved in whole, reports that say the same thrice."""

from __future__ import annotations

import hashlib
import html.parser
import json
import os
import signal
import subprocess
import sys
import time
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import pytest
from support import THOROUGH

from strutwright.exporters.files.manifest import (
    MANIFEST_NAME,
    ManifestError,
    changed_files,
    read_manifest,
    sha256,
    write_manifest,
)
from strutwright.exporters.files.outdir import OutputFolderError, output_folder, slug
from strutwright.exporters.web.report import Report, Weight, report_html, report_json, report_text
from strutwright.models.finding import Finding, Standing, Verdict, at_least, at_most, in_words, not_checked, yes_no
from strutwright.models.guidance import GUIDANCE
from strutwright.params.words import say

TESTS = Path(__file__).parents[1]

# --- equal bytes ------------------------------------------------------------------------------------------------------

EXPORT = """
import hashlib, json, sys
from pathlib import Path
sys.path.insert(0, sys.argv[1])
from support import example_strut, plain_parts
from strutwright.exporters.files.mesh import write_glb, write_stl
from strutwright.exporters.files.patterns import pattern_files
from strutwright.exporters.files.step import write_assembly, write_part
folder, kinds = Path(sys.argv[2]), sys.argv[3].split(",")
out = {}
for kind in kinds:
    strut = example_strut(kind, skeg=True)
    parts = plain_parts(strut)
    for unit in ("mm", "in"):
        write_assembly(folder / f"{kind}-{unit}.step", parts, "strut", unit)
    write_part(folder / f"{kind}-part.step", parts[0], "part")
    write_stl(folder / f"{kind}.stl", parts)
    write_glb(folder / f"{kind}.glb", parts)
    for name, cut in pattern_files(strut).items():
        cut.save(folder / f"{kind}-{name}.dxf")
print(json.dumps({p.name: hashlib.sha256(p.read_bytes()).hexdigest() for p in sorted(folder.iterdir())}))
"""


def exported(folder: Path, seed: int, kinds: str) -> dict[str, str]:
    folder.mkdir()
    done = subprocess.run(
        [sys.executable, "-c", EXPORT, str(TESTS), str(folder), kinds],
        capture_output=True,
        check=True,
        timeout=300,
        env={**os.environ, "PYTHONHASHSEED": str(seed)},
    )
    found: dict[str, str] = json.loads(done.stdout.splitlines()[-1])
    return found


@pytest.mark.skipif(not THOROUGH, reason="test_examples holds the bytes of two whole packs every day")
def test_files_have_the_same_bytes_in_any_process_and_order(tmp_path: Path) -> None:
    first = exported(tmp_path / "a", 0, "single,vee")
    second = exported(tmp_path / "b", 4711, "vee,single")
    assert len(first) > 20
    assert first == second
    assert first["single-mm.step"] != first["single-in.step"]


# --- manifest ---------------------------------------------------------------------------------------------------------


def filled(folder: Path, text: str = "one") -> None:
    (folder / "sub").mkdir()
    (folder / "b.txt").write_text(text)
    (folder / "sub" / "a.txt").write_text("two")
    write_manifest(folder, {"sub/a.txt": "second", "b.txt": "first"}, version="1.0", parameters_sha256="00ff")


def test_manifest_lists_every_file_with_its_hash(tmp_path: Path) -> None:
    filled(tmp_path)
    manifest = read_manifest(tmp_path / MANIFEST_NAME)
    assert [f.path for f in manifest.files] == ["b.txt", "sub/a.txt"]
    assert [f.what for f in manifest.files] == ["first", "second"]
    assert manifest.files[0].sha256 == hashlib.sha256(b"one").hexdigest()
    assert manifest.files[0].size == 3
    assert (manifest.version, manifest.parameters_sha256) == ("1.0", "00ff")
    assert changed_files(tmp_path) == []
    (tmp_path / "b.txt").write_text("changed")
    (tmp_path / "sub" / "a.txt").unlink()
    assert changed_files(tmp_path) == ["b.txt", "sub/a.txt"]
    # FIPS 180-4, appendix: the digest of "abc".
    assert sha256(b"abc") == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"


def test_manifest_must_agree_with_the_folder(tmp_path: Path) -> None:
    (tmp_path / "a.txt").write_text("one")
    for what in ({}, {"a.txt": "one", "b.txt": "gone"}):
        with pytest.raises(ManifestError):
            write_manifest(tmp_path, what, version="1", parameters_sha256="")


@pytest.mark.parametrize("text", ["", "[]", "{}", '{"program": "other", "files": []}', '{"program": "strutwright"}'])
def test_what_is_no_manifest_is_refused(tmp_path: Path, text: str) -> None:
    (tmp_path / MANIFEST_NAME).write_text(text)
    with pytest.raises(ManifestError):
        read_manifest(tmp_path / MANIFEST_NAME)


# --- output folder ----------------------------------------------------------------------------------------------------


def run(target: Path, text: str) -> None:
    with output_folder(target) as new:
        filled(new, text)


def content(target: Path) -> str:
    return (target / "b.txt").read_text()


def test_outputs_appear_whole_and_replace_the_earlier_ones(tmp_path: Path) -> None:
    target = tmp_path / "deep" / "out"
    with output_folder(target) as new:
        filled(new, "first")
        assert not target.exists()
    assert content(target) == "first"
    run(target, "second")
    assert content(target) == "second"
    assert sorted(p.name for p in target.parent.iterdir()) == ["out"]


def fail_half_way(target: Path) -> None:
    with output_folder(target) as new:
        (new / "b.txt").write_text("half")
        raise ArithmeticError("simulated")


def test_an_error_leaves_the_earlier_outputs(tmp_path: Path) -> None:
    target = tmp_path / "out"
    run(target, "first")
    with pytest.raises(ArithmeticError):
        fail_half_way(target)
    assert content(target) == "first"
    assert changed_files(target) == []
    assert [p.name for p in tmp_path.iterdir()] == ["out"]


def test_a_folder_without_manifest_is_not_put_in_place(tmp_path: Path) -> None:
    target = tmp_path / "out"
    with pytest.raises(OutputFolderError, match=MANIFEST_NAME), output_folder(target) as new:
        (new / "b.txt").write_text("half")
    assert list(tmp_path.iterdir()) == []


KILLED = """
import os, signal, sys, time
from pathlib import Path
from strutwright.exporters.files import outdir
from strutwright.exporters.files.manifest import write_manifest
target, moment = Path(sys.argv[1]), sys.argv[2]
if moment == "between":
    outdir._exchanged = lambda one, other: False  # as where the system cannot exchange
    rename, calls = Path.rename, []
    def dying(self, other):
        calls.append(self)
        if len(calls) == 2:
            os.kill(os.getpid(), signal.SIGKILL)
        return rename(self, other)
    Path.rename = dying
with outdir.output_folder(target) as new:
    (new / "b.txt").write_text("half")
    if moment == "filling":
        print("ready", flush=True)
        time.sleep(60)
    write_manifest(new, {"b.txt": "x"}, version="1", parameters_sha256="")
"""


@pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="no SIGKILL here")
@pytest.mark.parametrize("moment", ["filling", "between"])
def test_a_killed_process_leaves_the_earlier_outputs(tmp_path: Path, moment: str) -> None:
    target = tmp_path / "out"
    run(target, "first")
    process = subprocess.Popen([sys.executable, "-c", KILLED, str(target), moment], stdout=subprocess.PIPE, text=True)
    if moment == "filling":
        assert process.stdout is not None
        assert process.stdout.readline() == "ready\n"
        # While it runs another job is refused, and does not clear its folder away.
        with pytest.raises(OutputFolderError, match=f"another run of this program .process {process.pid}."):
            run(target, "second")
        assert sorted(p.suffix for p in tmp_path.glob(".out.*")) == [
            ".strutwright-lock",
            f".strutwright-new-{process.pid}",
        ]
        process.send_signal(signal.SIGKILL)
    assert process.wait(timeout=60) == -signal.SIGKILL
    process.communicate()
    if moment == "filling":
        assert content(target) == "first"
        assert changed_files(target) == []
    else:
        (kept,) = tmp_path.glob(".out.*old")
        assert changed_files(kept) == []
    # Whatever was left, the next job starts from the earlier outputs and clears up.
    with pytest.raises(ArithmeticError):
        fail_half_way(target)
    assert content(target) == "first"
    assert [p.name for p in tmp_path.iterdir()] == ["out"]


def test_strange_folders_are_left_alone(tmp_path: Path) -> None:
    target = tmp_path / "out"
    target.mkdir()
    (target / ".DS_Store").write_text("litter")
    run(target, "into an empty folder")
    other = tmp_path / "other"
    other.mkdir()
    (other / "a.txt").write_text("precious")
    with pytest.raises(OutputFolderError, match="no manifest"):
        run(other, "x")
    (other / MANIFEST_NAME).write_text('{"program": "other", "files": []}')
    with pytest.raises(OutputFolderError, match="no manifest"):
        run(other, "x")
    with pytest.raises(OutputFolderError, match="is a file"):
        run(other / "a.txt", "x")
    with pytest.raises(OutputFolderError):
        run(Path("/"), "x")
    assert (other / "a.txt").read_text() == "precious"


def test_a_place_that_cannot_be_written_is_told_plainly(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    with pytest.raises(OutputFolderError, match="choose another folder"):
        run(tmp_path / "file" / "out", "x")


def test_a_linked_folder_stays_linked(tmp_path: Path) -> None:
    real = tmp_path / "real"
    run(real, "first")
    link = tmp_path / "link"
    link.symlink_to(real, target_is_directory=True)
    run(link, "second")
    assert link.is_symlink()
    assert content(real) == "second"


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("Port palm", "port-palm"),
        ("../../etc/passwd", "etc-passwd"),
        ("a\\b:c*?", "a-b-c"),
        ("支架", "part"),
        ("", "part"),
        ("Ärmel 2", "rmel-2"),
        ("x" * 200, "x" * 60),
        ("..", "part"),
        ("a\x00b\n", "a-b"),
    ],
)
def test_names_are_safe_in_any_folder(text: str, name: str) -> None:
    assert slug(text) == name


# --- report -----------------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Value:
    path: str
    value: float | str
    unit: str
    origin: str
    note: str


def some_findings() -> tuple[Finding, ...]:
    said = {"source": "a table", "standing": Standing.PUBLISHED, "advice": "make it thicker", "group": "barrel"}
    exact = Finding(
        code="bore",
        verdict=Verdict.FAIL,
        what="bore: diameter",
        demanded=54.0,
        actual=54.1,
        unit="mm",
        limit_is=say("within {0.01 mm} of"),
        utilisation=10.0,
        source="measured",
        standing=Standing.GEOMETRY,
        advice="look",
        parameter="barrel.bore",
        group="measured again",
    )
    return (
        at_least("wall", "wall of the barrel", 12.0, 10.0, "mm", parameter="barrel.outside", **said),  # type: ignore
        at_least("thin", "palm <thin> & small", 8.0, 10.0, "mm", parameter="palm.thickness", **said),  # type: ignore
        at_most("deep", "countersink", 13.0, 12.0, "mm", parameter="bolts", warn=True, **said),  # type: ignore
        yes_no("open", "flutes are open", True, parameter="bearing", **said),  # type: ignore
        at_most("low", "a hint", 2.0, 1.0, "", parameter="x", **(said | {"standing": Standing.LOW})),  # type: ignore
        in_words("mass", Verdict.INFORMATION, "all of its weight", "", "barrel.wall", group="barrel"),
        not_checked("load", "grounding load", "no speed was given", parameter="duty.boat_speed", group="arm"),
        exact,
    )


def some_report(**changes: Any) -> Report:
    report = Report(
        name="Demo strut",
        drawing_number="SW-001",
        revision="A",
        hand="port",
        units="in",
        version="1.0",
        parameters_name="demo.yaml",
        parameters_sha256="ab" * 32,
        findings=some_findings(),
        values=(
            Value("palm.thickness", 25.4, "mm", "given", ""),
            Value("barrel.bore", 54.0, "mm", "table", "ISO 286-1"),
            Value("material", "bronze", "", "given", ""),
        ),
        weights=(Weight("barrel", "bronze", 566344.0, 4.304), Weight("palm", "bronze", 597446.0, 4.540)),
        cautions=("Keep clear of the press.",),
    )
    return replace(report, **changes)


def test_text_report_ranks_by_how_near_the_limit(tmp_path: Path) -> None:
    text = report_text(some_report())
    places = [
        text.index(w)
        for w in (
            "bore: diameter",
            "palm <thin> & small",
            "countersink",
            "grounding load",
            "a hint",
            "wall of the barrel",
            "flutes are open",
            "all of its weight",
        )
    ]
    assert places == sorted(places)
    tallied = "7 checks: 2 failures, 1 warning, 1 not checked, 2 within, 1 hint (1 over its limit); 1 for information"
    assert tallied in " ".join(text.split())
    assert "0.315 in against at least 0.3937 in" in text  # 8 and 10 mm
    assert "2.1299 in, wanted within 0.0004 in of 2.126 in" in text
    assert "8 mm against at least 10 mm" in report_text(some_report(units="mm"))
    assert "(limit is 125 % of it)" in text
    assert "do: make it thicker [palm.thickness]" in text
    assert "why: no speed was given [duty.boat_speed]" in text
    assert "1.0000 in (25.400 mm)" in text
    assert "19.50" in text  # 4.304 + 4.540 kg in lb
    assert "Keep clear of the press." in text
    assert " ".join(GUIDANCE.split()) in " ".join(text.split())
    assert "approved" not in text.lower()
    assert text.endswith("\n")
    assert max(map(len, text.splitlines())) <= 100


def test_json_report_is_strict_and_says_the_same() -> None:
    data = json.loads(report_json(some_report()), parse_constant=lambda c: pytest.fail(f"{c} is no JSON"))
    assert data["verdict"] == "failure"
    assert [f["code"] for f in data["findings"]] == ["bore", "thin", "deep", "load", "low", "wall", "open", "mass"]
    assert data["mass_kg"] == pytest.approx(8.844)
    assert data["values"][0] == {
        "path": "barrel.bore",
        "value": 54.0,
        "unit": "mm",
        "origin": "table",
        "note": "ISO 286-1",
    }
    assert data["guidance"] == GUIDANCE


class Page(html.parser.HTMLParser):
    """Checks that tags are closed in order, and gathers words and references."""

    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.links: list[str] = []
        self.words: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag not in ("meta",):
            self.open.append(tag)
        self.links += [f"{tag} {k}={v}" for k, v in attrs if k in ("src", "href", "style", "onclick")]
        assert tag not in ("script", "link", "img", "iframe")

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        self.words.append(data)


def test_html_report_stands_alone_and_escapes() -> None:
    text = report_html(some_report(name="A <script>alert(1)</script> strut"))
    page = Page()
    page.feed(text)
    page.close()
    assert page.open == []
    assert page.links == []
    assert "://" not in text
    assert "url(" not in text
    assert "@import" not in text
    words = " ".join(" ".join(page.words).split())
    for part in (
        "palm <thin> & small",
        "A <script>alert(1)</script> strut",
        GUIDANCE,
        "Keep clear of the press.",
        "2 failures, 1 warning",
        "1.0000 in (25.400 mm)",
        "125 %",
    ):
        assert part in words
    assert "@media print" in text


def test_reports_need_nothing_but_the_findings() -> None:
    report = some_report(findings=(), values=(), weights=(), cautions=())
    assert "no checks were made" in report_text(report)
    assert json.loads(report_json(report))["verdict"] == "not checked"
    assert "<table>" not in report_html(report)


def test_reports_say_the_same_each_time() -> None:
    first = [make(some_report()) for make in (report_text, report_json, report_html)]
    time.sleep(1.1)  # a clock would show
    turned = some_report(findings=tuple(reversed(some_findings())))
    assert [make(turned) for make in (report_text, report_json, report_html)] == first
