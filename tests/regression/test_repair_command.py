"""The command `repair`: its answer, its sheet, its form."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest

from strutwright.cli import main, parser
from strutwright.errors import Exit
from strutwright.exporters.bench import repair as out
from strutwright.exporters.bench.paper import Imprint
from strutwright.exporters.drawing.layout import lay_out
from strutwright.exporters.drawing.sheet import overlaps
from strutwright.models.bench.repair import repair
from strutwright.models.resolve import resolve
from strutwright.params.bench.repair import Repair
from strutwright.params.limits import standard
from strutwright.params.loader import load, shipped
from strutwright.params.measured import examples, read, reads
from strutwright.params.words import read as read_words

EXAMPLE = "repair-harbour-launch"


def test_a_repair_is_answered_and_kept(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    arguments = parser().parse_args(["repair", EXAMPLE, "--set", "harbour-launch", "--out", str(tmp_path), "--json"])
    assert arguments.run(arguments) == Exit.WARNINGS
    said = json.loads(capsys.readouterr().out)
    record = Path(said["record"])
    assert {p.name for p in record.iterdir()} == {"readings.yaml", "repair.json", "repair.pdf", "record.json"}
    assert said["bearings"][0]["verdict"] == "no go"
    assert {o["name"] for o in said["options"]} >= {
        "new bearing",
        "sleeve",
        "straighten",
        "renew the bolts",
        "make new",
    }
    first = (record / "repair.pdf").read_bytes()
    assert arguments.run(arguments) == Exit.WARNINGS
    capsys.readouterr()
    assert (record / "repair.pdf").read_bytes() == first
    assert [p.name for p in record.parent.iterdir()] == ["repair-1"]


def test_it_needs_the_strut(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["repair", EXAMPLE]) == Exit.UNUSABLE
    assert "--set" in capsys.readouterr().err


@pytest.mark.parametrize("paper", ["A4", "letter"])
def test_sheet_and_form_fit_their_paper(paper: Any) -> None:
    found, said = resolve(load(shipped()["harbour-launch"])), read(examples()[EXAMPLE], Repair).said
    said = said.model_copy(update={"cracks": reads("cracks: [{where: 'root of the arm, port'}]", Repair).said.cracks})
    imprint = Imprint(paper=paper, reference="test")
    answer = repair(found, said, standard())
    made = out.sheets(answer, said, imprint=imprint)
    assert all(overlaps(lay_out(sheet)) == [] for sheet in made)
    told = " ".join(cell for s in made for t in s.tables if t.name.startswith("worse") for r in t.rows for cell in r)
    for number, option in enumerate(answer.options, 1):  # a way that is no go has its reason on paper
        if option.worse:
            assert re.search(rf"\b{number}\b", told), option.name
            worst = min(option.worse, key=lambda f: not f.fails)
            assert read_words(worst.name, "mm") in " ".join(told.split())
    two = resolve(load(shipped()["refit-two-bores"]))
    rows = [{"at": at, "upright": size} for at, size in ((5, 80.1), (60, 80.2), (150, 75.1), (240, 75.2))]
    runs = [{"which": k, "clearance": 2, "flute_depth": 1, "up": 0.2} for k in (1, 2)]
    both = reads(json.dumps({"bearings": runs, "bore": rows, "bolts": [{"name": "aft", "least": 9}]}), Repair).said
    assert all(
        overlaps(lay_out(sheet)) == [] for sheet in out.sheets(repair(two, both, standard()), both, imprint=imprint)
    )
    form = out.form(found, "mm")
    assert len(form.sheets(imprint)) == 1
    assert reads(form.csv, Repair, as_csv=True).said == Repair()
