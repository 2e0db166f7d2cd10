"""The guide: its pages are whole, what they show is what the commands print, and the site's generator takes them."""

from __future__ import annotations

import functools
import re
import shlex
from pathlib import Path

import pytest
from command_line_support import run

from strutwright.errors import Exit
from strutwright.exporters.guide.pages import JOBS, PEOPLE, examples, pages
from strutwright.guide_command import commands
from strutwright.models.checks.what_fails import failing
from strutwright.params import checks, limits, tables
from strutwright.params.explain import all_paths
from strutwright.params.families import root
from strutwright.params.loader import shipped
from strutwright.params.part_kinds import FAMILIES

SHOWN = [
    (name, command, told)
    for name in PEOPLE
    for command, told in examples((JOBS / f"{name}.md").read_text(encoding="utf-8"))
]


def _even(text: str) -> str:
    """Text with its blanks evened: lines of a terminal are broken and filled up where a page does not."""
    return re.sub(r"\s+", " ", text)


@functools.cache
def _made() -> dict[str, str]:
    rows = [(", ".join(f.codes), f.asked, f.at, f.rests, f.comes_of_it) for f in failing()]
    return pages(list(commands()), rows, ["picture.png"])


@pytest.mark.parametrize("name", [*PEOPLE])
def test_a_job_prints_what_its_page_shows(
    name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """All the commands of a page one after the other in one folder, as a reader would type them."""
    monkeypatch.chdir(tmp_path)
    of_page = [(command, told) for page, command, told in SHOWN if page == name]
    assert of_page
    for command, told in of_page:
        program, *words = shlex.split(command)
        assert program == "strutwright"
        status, out, err = run(capsys, *words)
        assert status != Exit.UNUSABLE, err
        for line in told:
            assert _even(line) in _even(out), command


def test_the_pages_name_what_there_is() -> None:
    made = _made()
    for family in FAMILIES:
        page = made[f"parameters/{family}.md"]
        assert all(f"`{path}`" in page for path in all_paths(root(family)))
    assert all(f"| `{name}` |" in made["limits.md"] for name in limits.standard())
    for row in checks.rows():
        assert f"`{row.code}`" in made["sources.md"]
    assert all(tables.shipped(name).title in made["sources.md"] for name in tables.names())
    assert all(f"`{name}`" in made["index.md"] for name in shipped())
    assert all(f"## {one.name}\n" in made["commands.md"] for one in commands())
    assert "## formulas.bolts\n" in made["functions.md"]
    assert not re.search(r"[{}]", made["sources.md"].partition("## Standard tables")[0])


def test_no_link_leads_nowhere() -> None:
    made = _made()
    for name, text in made.items():
        for target in re.findall(r"\]\(([^)#]+)\)", re.sub(r"^```.*?^```$", "", text, flags=re.M | re.S)):
            at = (Path("/") / name).parent / target
            parts = [p for p in at.parts if p != "/"]
            while ".." in parts:
                k = parts.index("..")
                del parts[k - 1 : k + 1]
            assert "/".join(parts) in {*made, "pictures/picture.png"}, (name, target)


def test_pictures_that_are_not_there_are_left_out() -> None:
    assert "pictures/picture.png" in _made()["jobs/designer.md"]
    assert "![" not in pages([], [], [])["jobs/designer.md"]


def test_the_site_is_made_of_a_builds_pictures(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The generator refuses a page that is not in the list of pages, and a link that leads nowhere."""
    kept = Path(__file__).resolve().parents[2] / "out_examples"
    builds = [str(kept / name) for name in ("harbour-launch", "yawl-with-heel")]
    status, _, err = run(capsys, "guide", str(tmp_path / "guide"), "--site", "--pictures", *builds)
    assert (status, err) == (Exit.PASS, "")
    assert (tmp_path / "guide" / "site" / "jobs" / "machinist.html").is_file()
    assert (tmp_path / "guide" / "docs" / "pictures" / "press-card.png").is_file()
    shown = {m for page in JOBS.glob("*.md") for m in re.findall(r"\.\./pictures/([^)]+)", page.read_text("utf-8"))}
    assert shown <= {p.name for p in (tmp_path / "guide" / "docs" / "pictures").iterdir()}
    status, _, err = run(capsys, "guide", str(tmp_path / "guide"))
    assert status == Exit.UNUSABLE
    assert [p.name for p in tmp_path.iterdir()] == ["guide"]


def test_a_folder_that_is_no_build_is_refused(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    status, _, err = run(capsys, "guide", str(tmp_path / "guide"), "--pictures", str(tmp_path / "none"))
    assert status == Exit.UNUSABLE
    assert "is no folder of a build" in err
    assert not list(tmp_path.iterdir())
