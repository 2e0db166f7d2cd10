"""The page that a job's folder opens with: every file of the job has its person and a link that leads to it."""

from __future__ import annotations

import itertools
import json
import re
import shlex
from collections.abc import Mapping
from html.parser import HTMLParser
from pathlib import Path
from urllib.parse import unquote, urlsplit

import pytest
from command_line_support import build, note

from strutwright import cli, job
from strutwright.errors import Exit
from strutwright.exporters.files import people
from strutwright.exporters.inspect.agreement import length
from strutwright.exporters.web import job_page, view_page
from strutwright.exporters.web.palette import COLOURS
from strutwright.job import run_checks
from strutwright.models.finding import Verdict, nearest, verdict_line
from strutwright.models.resolve import resolve
from strutwright.models.spec import Hand
from strutwright.params.loader import load, shipped
from strutwright.progress import Progress

ROOT = Path(__file__).resolve().parents[2]
EXAMPLES = {"harbour-launch": "cast", "yawl-with-heel": "welded"}


class Links(HTMLParser):
    """What a page refers to, and its elements by name."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.to: list[str] = []
        self.ids: set[str] = set()
        self.without_words: list[str] = []
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        said = dict(attrs)
        self.to += [v for k in ("href", "src") if (v := said.get(k))]
        self.ids |= {said["id"] or ""} if "id" in said else set()
        if tag == "img" and not said.get("alt"):
            self.without_words.append(said.get("src") or "")


def example(name: str) -> tuple[Path, dict[str, str], Links]:
    folder = ROOT / "out_examples" / name
    listed = json.loads((folder / "manifest.json").read_text(encoding="utf-8"))["files"]
    return folder, {f["path"]: f["what"] for f in listed}, Links((folder / job_page.PAGE).read_text(encoding="utf-8"))


@pytest.mark.parametrize("name", EXAMPLES)
def test_each_file_of_a_job_is_led_to_from_its_page(name: str) -> None:
    folder, files, links = example(name)
    led_to = {unquote(urlsplit(link).path) for link in links.to}
    assert set(files) - led_to == {job_page.PAGE}
    assert led_to - set(files) == {""}
    # The examples have no meshes, which are large.
    assert [p for p in led_to if p and not p.startswith("meshes/") and not (folder / p).is_file()] == []
    assert {link.removeprefix("#") for link in links.to if link.startswith("#")} <= links.ids
    assert not any(urlsplit(link).scheme or link.startswith("/") for link in links.to)
    assert links.without_words == []


@pytest.mark.parametrize("name", EXAMPLES)
def test_each_file_of_a_job_has_someone_who_takes_it(name: str) -> None:
    _, files, _ = example(name)
    strut = resolve(load(shipped()[name])).strut
    assert strut.construction == EXAMPLES[name]
    assert [path for path in files if path != job_page.PAGE and not people.takers(path, strut)] == []
    taken = people.parted(files, strut)
    # Nobody who works on such a strut is left without a sheet.
    assert all(any(path.endswith((".pdf", ".png")) for path in paths) for paths in taken.values())


def test_sheets_lead_to_their_page_of_the_pdf() -> None:
    folder, _, links = example("harbour-launch")
    pages = {int(m[1]) for link in links.to if (m := re.search(r"^sheets/.*-sheets\.pdf#page=(\d+)$", link))}
    drawn = list((folder / "sheets").glob("*.png"))
    assert pages == set(range(1, len(drawn) + 1))


def page_of(name: str, hands: Mapping[Hand, bool], files: Mapping[str, str]) -> str:
    """The page of a shipped set; hands: whether each was built now."""
    made = resolve(load(shipped()[name]))
    shown = [
        job_page.OneHand(
            strut=made.of_hand(hand), findings=tuple(run_checks(made, hand)), filled_in=made.filled_in, earlier=not now
        )
        for hand, now in hands.items()
    ]
    return job_page.page(shown, files)


def test_both_hands_stand_side_by_side() -> None:
    files = {f"sheets/x-{hand}-sheets.pdf": f"all 6 sheets, true to scale, {hand}" for hand in ("port", "starboard")}
    page = page_of("coastal-pair", {"port": True, "starboard": False}, files)
    assert page.count('<section class="cover">') == 2
    assert "Port hand" in page
    assert page.count("Built earlier, from the same parameters") == 1
    assert "CC-50-10-P and CC-50-10-S" in page
    machinist = page[page.index('id="for-machinist"') : page.index('id="for-yard"')]
    assert [machinist.count(path) for path in files] == [1, 1]


MODELS = {f"view/x-{hand}.js": f"{view_page.MODEL}, {hand}" for hand in ("port", "starboard")} | {
    view_page.SCRIPT: "script by which the page shows the models"
}


def test_each_hand_has_its_model_and_the_page_the_script_once() -> None:
    page = page_of("coastal-pair", {"port": True, "starboard": True}, MODELS)
    assert re.findall(r'<script defer src="([^"]+)"></script>', page) == list(MODELS)
    assert re.findall(r'data-model="([^"]+)" hidden', page) == ["x-port", "x-starboard"]
    assert "<script" not in page_of("coastal-pair", {"port": True}, {})
    assert "data-model" not in page_of("coastal-pair", {"port": True}, {})


def test_marks_have_the_numbers_of_their_rows() -> None:
    page = page_of("failing/thin-and-crowded", {"centre": True}, {"view/x.js": f"{view_page.MODEL}, centre"})
    rows = dict(re.findall(r'<td class="n">(\d+)</td><td class="how">[^<]*</td><td>([^<]*)', page))
    marks = re.findall(r'data-place="[^"]+" aria-pressed="false"><b>(\d+)</b> (.*?) <small>', page)
    assert len(marks) >= 3
    assert all(rows[number] == words for number, words in marks)
    numbers = [int(n) for n in rows]
    assert numbers == list(range(1, len(numbers) + 1))


def test_sizes_are_told_in_the_units_of_the_file_with_what_was_measured() -> None:
    made = resolve(load(shipped()["day-cruiser"]))
    assert made.strut.file_units == "in"
    bore = made.strut.barrel.bore_mm
    again = length("bore_diameter", "diameter of the bore", bore + 0.0254, bore, "barrel.bore")
    told = "".join(view_page.view(made.strut, "x", [again], []))
    assert f"diameter of the bore <b>{bore / 25.4:g} in</b>, measured {bore / 25.4 + 0.001:g} in" in told
    assert " mm" not in told
    assert "Places of the findings" not in told


def test_a_model_of_an_earlier_build_is_kept_with_its_script(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(job, "_one_hand", note(kinds="view sheets"))
    for only in ("view", "sheets"):
        assert build(capsys, tmp_path / "out", "--only", only)[0] == Exit.PASS
        assert (tmp_path / "out" / view_page.SCRIPT).read_bytes() == view_page.BUNDLE.read_bytes()
    assert build(capsys, tmp_path / "other", "--only", "sheets")[0] == Exit.PASS
    assert not (tmp_path / "other" / "view").exists()


def test_what_fails_stands_first_and_is_told_in_one_line() -> None:
    made = resolve(load(shipped()["failing/thin-and-crowded"]))
    found = run_checks(made)
    page = page_of("failing/thin-and-crowded", {"centre": True}, {})
    assert verdict_line(found) in page
    assert verdict_line(found).endswith("not to be made as it stands.")
    assert [f.verdict for f in nearest(found)] == [Verdict.FAIL] * 3
    assert {f.code for f in found if f.fails} <= {f.code for f in job_page.near(found)}


def test_a_value_that_a_rule_put_at_its_limit_is_not_told_as_near() -> None:
    made = resolve(load(shipped()["harbour-launch"]))
    found = [f for f in run_checks(made) if f.verdict is Verdict.OK]
    at_limit = [f for f in found if f.utilisation == 1.0]
    assert at_limit
    rule = {f.parameter for f in at_limit}
    assert not {f.code for f in nearest(found, rule, len(found))} & {f.code for f in at_limit}


@pytest.mark.parametrize("name", ["harbour-launch", "yawl-with-heel"])
def test_commands_that_are_named_can_be_given(name: str) -> None:
    strut = resolve(load(shipped()[name])).strut
    commands = [t.command for p in people.who(strut) for t in people.tasks(p, strut, "parameters.yaml") if t.command]
    assert len(commands) >= 5
    for command in commands:
        program, *words = shlex.split(command)
        assert program == "strutwright"
        cli.parser().parse_args(words)
    assert all(people.warned(p, strut) for p in people.who(strut))


def relative_luminance(colour: str) -> float:
    """Of a colour in sRGB, by WCAG 2.1."""
    parts = [int(colour[k : k + 2], 16) / 255 for k in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.03928 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    low, high = sorted((relative_luminance(one), relative_luminance(other)))
    return (high + 0.05) / (low + 0.05)


def test_text_has_the_contrast_of_wcag_2_1() -> None:
    """Success criterion 1.4.3 asks for 4.5 to 1; black on white is 21 to 1."""
    assert contrast("#000000", "#ffffff") == pytest.approx(21.0)
    grounds, lines = ("PAPER", "CARD"), {"RULE", "PAPER", "CARD"}
    read = [(name, ground) for name, ground in itertools.product(COLOURS, grounds) if name not in lines]
    assert {pair for pair in read if contrast(COLOURS[pair[0]], COLOURS[pair[1]]) < 4.5} == set()


def test_progress_tells_step_part_and_time(capsys: pytest.CaptureFixture[str]) -> None:
    progress = Progress(2, quiet=False)
    progress.step("checks")
    progress.part("the arm")
    progress.step("solids")
    progress.end()
    assert capsys.readouterr().err == "0:00  1 of 2  checks\n0:00  2 of 2  solids\n"


def test_progress_rewrites_one_line_on_a_terminal(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("sys.stderr.isatty", lambda: True)
    progress = Progress(2, quiet=False)
    progress.step("solids")
    progress.part("the fillet of the arm at the barrel")
    progress.end()
    shown = capsys.readouterr().err.split("\r")
    assert [line.strip() for line in shown if line.strip()] == [
        "0:00  1 of 2  solids",
        "0:00  1 of 2  solids: the fillet of the arm at the barrel",
    ]
    assert "\n" not in "".join(shown)
    assert {len(line) for line in shown if line} == {78}


def test_quiet_progress_says_nothing(capsys: pytest.CaptureFixture[str]) -> None:
    progress = Progress(1, quiet=True)
    progress.step("checks")
    progress.end()
    assert capsys.readouterr().err == ""
