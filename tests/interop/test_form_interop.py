"""A form filled in by another program: what it wrote is read back, and is seen."""

from __future__ import annotations

import json
import subprocess
from pathlib import Path
from typing import Any

import pypdfium2
import pytest
from pypdf import PdfReader, PdfWriter
from pypdf.generic import NameObject, TextStringObject

from strutwright.cli import main
from strutwright.errors import Exit

SAID = {
    "single:0:part": "Teil 7",
    "single:0:by": "J. Müller",
    "lines:3:measured": "50,012",
    "lines:4:measured": "50.01",
}
SET = ["--set", "harbour-launch"]


@pytest.fixture(scope="module")
def blank(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("forms")
    assert main(["inspection", "--blank", str(folder), *SET]) == Exit.PASS
    return folder / "inspection-form.pdf"


def filled(blank: Path, way: str, said: dict[str, str]) -> Path:
    """The form, filled in by pypdf. way: `values` alone, `drawn` too, or `appended` to the file as it is."""
    writer = PdfWriter(blank, incremental=True) if way == "appended" else PdfWriter(clone_from=blank)
    values = {f"{name}:mm": value for name, value in said.items()}
    for page in writer.pages:
        if way != "values":
            writer.update_page_form_field_values(page, values, auto_regenerate=False)
            continue
        for annotation in page["/Annots"]:
            field = annotation.get_object()
            if field["/T"] in values:
                field[NameObject("/V")] = TextStringObject(values[field["/T"]])
    path = blank.with_name(f"{way}-{len(said)}.pdf")
    writer.write(path)
    return path


def ink(path: Path, boxes: list[Any]) -> list[int]:
    """How many dark dots a reader shows in each box of the first page."""
    document = pypdfium2.PdfDocument(path)
    document.init_forms()
    shown = document[0].render(scale=2.0, grayscale=True).to_numpy()
    high = shown.shape[0]
    found = []
    for x0, y0, x1, y1 in ([2 * float(v) for v in box] for box in boxes):
        found.append(int((shown[int(high - y1) : int(high - y0), int(x0) : int(x1)] < 128).sum()))
    document.close()
    return found


@pytest.mark.parametrize("way", ["values", "drawn", "appended"])
def test_what_another_program_fills_in_is_seen_and_read_back(
    way: str, blank: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = filled(blank, way, SAID)
    assert main(["inspection", str(path), *SET, "--out", str(tmp_path / "job"), "--json"]) in (0, 1, 2)
    made = json.loads(capsys.readouterr().out)
    values = {row["code"]: row["value"] for row in made["rows"] if "value" in row}
    assert (made["part"], sorted(values.values())) == ("Teil 7", [50.01, 50.012])
    fields = [annotation.get_object() for annotation in PdfReader(blank).pages[0]["/Annots"]]
    boxes = [f["/Rect"] for f in fields if f["/T"].removesuffix(":mm") in SAID]
    assert len(boxes) == len(SAID)
    assert ink(blank, boxes) == [0] * len(SAID)
    assert min(ink(path, boxes)) > 20
    poppler = subprocess.run(["pdftotext", "-layout", path, "-"], capture_output=True, text=True, check=True).stdout
    assert all(value in poppler for value in SAID.values())


def test_a_form_of_another_strut_or_another_work_is_not_taken_for_this_one(
    blank: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Its rows are others: a value must not come to stand in the row that has its number today."""
    path = filled(blank, "values", {f"lines:{k}:measured": "1" for k in range(3, 44)})
    assert main(["inspection", str(path), "--set", "sloop-with-skeg", "--out", str(tmp_path / "job")]) == Exit.UNUSABLE
    assert "is no characteristic of this strut" in capsys.readouterr().err
    assert main(["rudder", str(path), "--out", str(tmp_path / "job")]) == Exit.UNUSABLE
    assert "is the form `Inspection record`" in capsys.readouterr().err
    assert not (tmp_path / "job").exists()
