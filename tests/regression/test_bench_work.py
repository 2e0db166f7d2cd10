"""Work on the boat and at the bench: records are added and never lost, forms read back as nothing said, faults told."""

from __future__ import annotations

import argparse
import ctypes
import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Annotated, Any

import pypdfium2
import pypdfium2.raw as raw
import pytest
from pydantic import Field

from strutwright import bench
from strutwright.errors import Exit, UserError
from strutwright.exporters.bench.blank import Form, form_of
from strutwright.exporters.bench.paper import Imprint, work_sheet
from strutwright.exporters.drawing.layout import lay_out
from strutwright.exporters.drawing.sheet import overlaps
from strutwright.exporters.files.manifest import write_manifest
from strutwright.exporters.files.outdir import OutputFolderError, added_to, output_folder
from strutwright.exporters.files.records import add_record, changed_files
from strutwright.params.fields import Group, Length, Text, doc, must
from strutwright.params.measured import Reading, reads
from strutwright.params.problems import ParameterError


class Spot(Group):
    """A spot."""

    name: Text = must("Its name")
    up: Annotated[Length, Field(ge=-5000, le=5000)] = must("Height above the lowest spot")


class Tool(Group):
    """What it was measured with."""

    scatter: Annotated[Length, Field(gt=0, le=50)] | None = doc("Standard deviation of one reading; from its maker")


class Spots(Reading):
    """Spots."""

    tool: Tool = doc("The instrument", Tool())
    spots: list[Spot] = doc("Spots", [])


def _form(found: Any, units: Any, _limits: Any) -> Form:
    return form_of(Spots, "Heights of spots", units=units, rows={"spots": 4})


def _answer(asked: bench.Question[Spots]) -> bench.Answer:
    heights = [spot.up for spot in asked.measured.said.spots]
    if not heights:
        raise ParameterError([asked.measured.problem("spots", "has no spot", "", "one at least", "measure one")])
    sheet = work_sheet("Heights", asked.measured.said, imprint=asked.imprint, unit=asked.unit)
    return bench.Answer(text=f"mean {sum(heights) / len(heights):g}", data={"mean_mm": sum(heights)}, sheets=[sheet])


WORK = bench.Work(name="heights", text="heights of spots", kind=lambda: Spots, form=_form, answer=_answer)
READINGS = "units,mm\nspots\nname,up\na,1\nb,3\n"


def heights(*words: str) -> int:
    """The status of the command."""
    parser = argparse.ArgumentParser()
    commands = parser.add_subparsers(required=True)

    def add(name: str, run: Any, text: str) -> argparse.ArgumentParser:
        command = commands.add_parser(name, help=text)
        command.set_defaults(run=run)
        return command

    bench.add_command(add, WORK)
    arguments = parser.parse_args(["heights", *words])
    return int(arguments.run(arguments))


def files_in(folder: Path) -> dict[str, bytes]:
    """Every file below a folder."""
    return {p.relative_to(folder).as_posix(): p.read_bytes() for p in sorted(folder.rglob("*")) if p.is_file()}


def built(target: Path, text: str, name: str = "a.txt") -> None:
    """What a build does."""
    with output_folder(target) as new:
        (new / name).write_text(text)
        write_manifest(new, {name: "a text"}, version="1", parameters_sha256="0")


def test_a_record_is_kept_beside_what_is_built(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    source, job = tmp_path / "spots.csv", tmp_path / "job"
    source.write_text(READINGS)
    assert heights(str(source), "--out", str(job)) == Exit.PASS
    assert "mean 2" in capsys.readouterr().out
    record = job / "records" / "heights-1"
    assert sorted(p.name for p in record.iterdir()) == ["heights.json", "heights.pdf", "readings.csv", "record.json"]
    assert (record / "readings.csv").read_bytes() == source.read_bytes()
    assert changed_files(record) == []
    first = files_in(job)
    # The same readings are the same record, other readings another; nothing that is there changes.
    assert heights(str(source), "--out", str(job), "--json") == Exit.PASS
    assert json.loads(capsys.readouterr().out)["record"] == str(record)
    assert files_in(job) == first
    source.write_text(READINGS.replace("3", "5"))
    assert heights(str(source), "--out", str(job)) == Exit.PASS
    both = files_in(job)
    assert {k: v for k, v in both.items() if "heights-1" in k} == first
    assert "records/heights-2/readings.csv" in both
    # A build before, between and after carries them along, and what somebody left there too.
    (job / "note.txt").write_text("ask the yard")
    built(job, "first")
    (job / "seen.txt").write_text("at the bench")
    built(job, "second")
    now = files_in(job)
    assert now["a.txt"] == b"second"
    assert (now["note.txt"], now["seen.txt"]) == (b"ask the yard", b"at the bench")
    assert {k: v for k, v in now.items() if k.startswith("records/")} == both
    assert [p.name for p in tmp_path.iterdir() if p.name.startswith(".")] == []


def test_what_a_new_output_would_bury_is_not_replaced(tmp_path: Path) -> None:
    job = tmp_path / "job"
    built(job, "first")
    before = files_in(job)
    (job / "b.txt").write_text("mine")
    with pytest.raises(OutputFolderError, match=r"b\.txt"):
        built(job, "second", "b.txt")
    assert files_in(job) == {**before, "b.txt": b"mine"}


def half_done(job: Path) -> None:
    """What a fault in the middle does."""
    with added_to(job) as new:
        (new / "half").write_text("x")
        raise ArithmeticError


def test_a_record_half_written_is_none(tmp_path: Path) -> None:
    job = tmp_path / "job"
    with pytest.raises(ArithmeticError):
        half_done(job)
    assert not job.exists()
    with added_to(job), pytest.raises(OutputFolderError, match="another run of this program"):
        add_record(job, "heights", {"a": b"1"})
    with pytest.raises(ValueError, match="names of a record"):
        add_record(job, "heights", {"../a": b"1"})


KILLED = """
import sys, time
from pathlib import Path
from strutwright.exporters.files.outdir import added_to
with added_to(Path(sys.argv[1])) as new:
    (new / "half").write_text("x")
    print("ready", flush=True)
    time.sleep(60)
"""


def test_a_killed_process_leaves_no_half_record(tmp_path: Path) -> None:
    job = tmp_path / "job"
    add_record(job, "heights", {"a": b"1"})
    process = subprocess.Popen(
        [sys.executable, "-c", KILLED, str(job)], stdout=subprocess.PIPE, text=True, env=dict(os.environ)
    )
    assert process.stdout is not None
    assert process.stdout.readline() == "ready\n"
    process.kill()
    process.communicate()
    assert add_record(job, "heights", {"a": b"2"}).name == "heights-2"
    assert sorted(files_in(tmp_path)) == [
        f"job/records/heights-{n}/{name}" for n in (1, 2) for name in ("a", "record.json")
    ]


def test_somebodys_own_folder_of_that_name_is_passed_over(tmp_path: Path) -> None:
    mine = tmp_path / "records" / "heights-7"
    mine.mkdir(parents=True)
    (mine / "x.txt").write_text("mine")
    assert add_record(tmp_path, "heights", {"a": b"1"}).name == "heights-8"
    assert files_in(mine) == {"x.txt": b"mine"}


def test_a_form_filled_in_with_nothing_says_nothing(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert heights("--blank", str(tmp_path / "forms"), "--units", "in") == Exit.PASS
    form = (tmp_path / "forms" / "heights-form.csv").read_text()
    assert "tool.scatter [in]" in form
    assert reads(form, Spots, as_csv=True).said == Spots(units="in")
    filled = form.replace("name,up [in]\n", "name,up [in]\na,1 1/2\n").replace("scatter [in],", "scatter [in],.04")
    said = reads(filled, Spots, as_csv=True).said
    assert (said.spots[0].up, said.tool.scatter) == (38.1, pytest.approx(1.016))
    with pytest.raises(UserError, match="already exists"):
        heights("--blank", str(tmp_path / "forms"))
    capsys.readouterr()


@pytest.mark.parametrize("paper", ["A4", "letter"])
@pytest.mark.parametrize("rows", [4, 70])
def test_a_form_fits_its_paper(paper: Any, rows: int) -> None:
    form = form_of(Spots, "Heights of spots", rows={"spots": rows})
    sheets = form.sheets(Imprint(paper=paper, reference="test"))
    blanks = sum(len(t.rows) for sheet in sheets for t in sheet.tables if t.name.startswith("spots"))
    assert blanks == rows
    assert (len(sheets) == 1) == (rows == 4)
    for sheet in sheets:
        drawn = lay_out(sheet)
        assert overlaps(drawn) == []
        assert drawn.size == {"A4": "A4", "letter": "ANSI A"}[paper]


@pytest.mark.parametrize(
    ("text", "told"),
    [
        (READINGS.replace("a,1", "a,one"), "spots.csv:4:3"),
        (READINGS.replace("a,1\nb,3\n", ""), "spots.csv:2:1"),
        ("spotz\n", "write `spots`"),
    ],
)
def test_a_fault_is_told_with_its_place_and_nothing_is_written(tmp_path: Path, text: str, told: str) -> None:
    source = tmp_path / "spots.csv"
    source.write_text(text)
    with pytest.raises(UserError, match=told):
        heights(str(source), "--out", str(tmp_path / "job"))
    assert [p.name for p in tmp_path.iterdir()] == ["spots.csv"]


def test_what_lacks_is_told() -> None:
    with pytest.raises(UserError, match="--blank FOLDER"):
        heights()
    with pytest.raises(UserError, match="no such file"):
        heights("not there.csv")


def filled_on_a_screen(form: Path, values: dict[str, str]) -> None:
    """What a reader of PDF writes into the fields of a form."""
    document = pypdfium2.PdfDocument(form)
    document.init_forms()
    waiting = dict(values)
    for page in document:
        for k in range(raw.FPDFPage_GetAnnotCount(page)):
            annotation = raw.FPDFPage_GetAnnot(page, k)
            length = raw.FPDFAnnot_GetFormFieldName(document.formenv, annotation, None, 0)
            told = (ctypes.c_ushort * (length // 2))()
            raw.FPDFAnnot_GetFormFieldName(document.formenv, annotation, told, length)
            value = waiting.pop(bytes(told).decode("utf-16-le").rstrip("\0").removesuffix(":mm"), None)
            if value is not None:
                wide = (value + "\0").encode("utf-16-le")
                words = (ctypes.c_ushort * (len(wide) // 2)).from_buffer_copy(wide)
                assert raw.FPDFAnnot_SetStringValue(annotation, b"V", words)
            raw.FPDFPage_CloseAnnot(annotation)
    assert waiting == {}
    changed = form.read_bytes()
    document.save(form)
    document.close()
    assert form.read_bytes() != changed


def test_a_form_filled_in_on_a_screen_is_read_back(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert heights("--blank", str(tmp_path)) == Exit.PASS
    form = tmp_path / "heights-form.pdf"
    filled_on_a_screen(form, {"spots:0:name": "a", "spots:0:up": "1 1/2 in", "spots:3:name": "d", "spots:3:up": "4"})
    capsys.readouterr()
    assert heights(str(form), "--out", str(tmp_path / "job"), "--json") == Exit.PASS
    made = json.loads(capsys.readouterr().out)
    assert made["mean_mm"] == pytest.approx(38.1 + 4)
    assert (tmp_path / "job" / "records" / "heights-1" / "readings.pdf").read_bytes() == form.read_bytes()
    (tmp_path / "other.pdf").write_bytes(b"%PDF-1.4 no form")
    with pytest.raises(UserError, match="cannot be read"):
        heights(str(tmp_path / "other.pdf"))
