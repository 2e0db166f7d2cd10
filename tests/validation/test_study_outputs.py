"""What sizing and studies write and print: tables, pictures, the words of the commands."""

from __future__ import annotations

import csv
import json
from pathlib import Path
from typing import Any

import pytest
from support import long_run

from strutwright import cli
from strutwright.exporters.drawing.shapes import Poly, bounds
from strutwright.exporters.files.manifest import write_manifest
from strutwright.exporters.files.outdir import OutputFolderError
from strutwright.exporters.web.frequency_picture import write_frequency_picture
from strutwright.exporters.web.plot import COLOURS, Plot, ticks
from strutwright.exporters.web.study import NO_PARQUET, governing_map, weight_plot, write_study, write_table
from strutwright.models.checks import engineering
from strutwright.models.resolve import resolve
from strutwright.models.sizing import choices, search
from strutwright.models.sizing.axes import axis
from strutwright.models.sizing.study import study
from strutwright.params.loader import load, loads, shipped


def test_table_and_plots(launch_set: tuple[Any, Any], tmp_path: Path) -> None:
    loaded, resolved = launch_set
    found = study(
        loaded, resolved, [axis("arms.section.chord=70..120:11", "mm"), axis("palm.thickness=8..20:7", "mm")], workers=1
    )
    _, files, said = write_study(tmp_path / "a", lambda parts: found, parameters_sha256="0" * 64, version="1")
    _, again, _ = write_study(tmp_path / "b", lambda parts: found, parameters_sha256="0" * 64, version="1")
    for name in files:
        assert (tmp_path / "a" / name).read_bytes() == (tmp_path / "b" / name).read_bytes(), name
    assert files == again
    assert write_study(tmp_path / "b", lambda parts: found, parameters_sha256="0" * 64, version="1")[1] == files
    other = tmp_path / "built"
    other.mkdir()
    (other / "strut.step").write_text("ISO-10303-21;", encoding="utf-8")
    write_manifest(other, {"strut.step": "solid"}, version="1", parameters_sha256="0" * 64)
    with pytest.raises(OutputFolderError, match="other outputs"):
        write_study(other, lambda parts: found, parameters_sha256="0" * 64, version="1")
    assert (other / "strut.step").is_file()
    assert ("study.parquet" in files) != (said == [NO_PARQUET])
    rows = list(csv.DictReader((tmp_path / "a" / "study.csv").open(encoding="utf-8")))
    assert len(rows) == 77
    assert list(rows[0]) == [
        "arms.section.chord [mm]",
        "palm.thickness [mm]",
        "weight_kg",
        "verdict",
        "governing",
        "utilisation",
    ]
    assert {r["verdict"] for r in rows} <= {"pass", "warning", "failure"}
    # The last axis changes fastest.
    assert [float(r["palm.thickness [mm]"]) for r in rows[:7]] == pytest.approx(list(range(8, 21, 2)))
    svg = (tmp_path / "a" / "map.svg").read_text(encoding="utf-8")
    assert "palm.thickness, mm" in svg
    assert "arms.section.chord, mm" in svg
    assert (tmp_path / "a" / "map.pdf").read_bytes().startswith(b"%PDF-")
    assert (tmp_path / "a" / "weight.png").read_bytes().startswith(b"\x89PNG")


def test_map_has_the_colour_of_what_governs(launch_set: tuple[Any, Any]) -> None:
    loaded, resolved = launch_set
    found = study(
        loaded, resolved, [axis("arms.section.chord=70..120:6", "mm"), axis("palm.thickness=8..20:4", "mm")], workers=1
    )
    plot = governing_map(found)
    filled = [bounds(s) for s, ink in plot.marks if isinstance(s, Poly) and ink.fill in COLOURS]
    boxes = [box for box in filled if box.width > 12]
    # Every cell of the map is under one box or part of one: together they fill the frame.
    assert sum(b.width * b.height for b in boxes) == pytest.approx(400 * 330, rel=1e-6)
    assert weight_plot(found).marks
    with pytest.raises(ValueError, match="two"):
        governing_map(study(loaded, resolved, [axis("palm.thickness=8..20:4", "mm")], workers=1))


def test_round_values_on_an_axis() -> None:
    assert ticks(0.0, 10.0) == [0, 2, 4, 6, 8, 10]
    assert ticks(77.9, 181.3) == [80, 100, 120, 140, 160, 180]
    assert ticks(3.0, 3.0) == [3.0]


def test_colours_can_be_told_apart() -> None:
    """Relative luminance of the sRGB standard (IEC 61966-2-1): each colour differs from the ink and the paper."""

    def light(colour: str) -> float:
        parts = [int(colour[k : k + 2], 16) / 255 for k in (1, 3, 5)]
        linear = [p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts]
        return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]

    assert len(set(COLOURS)) == 8
    assert all((light(c) + 0.05) / (light("#1a1a1a") + 0.05) > 2.5 for c in COLOURS)


def test_unknown_ending_of_a_plot(tmp_path: Path) -> None:
    with pytest.raises(ValueError, match="svg"):
        Plot(10, 10, "x").write(tmp_path / "x.gif")


def test_frequency_picture(tmp_path: Path, launch_set: tuple[Any, Any]) -> None:
    """Where the line of shaft rate crosses: n / 60 of the rpm, by definition."""
    strut = launch_set[1].strut
    for ending in ("svg", "pdf"):
        assert write_frequency_picture(tmp_path / f"f.{ending}", strut)
    svg = (tmp_path / "f.svg").read_text(encoding="utf-8")
    assert "shaft speed, rpm" in svg
    assert "blade rate" in svg
    text = shipped()["harbour-launch"].read_text(encoding="utf-8")
    data = "\n".join(line for line in text.splitlines() if not line.startswith("duty:"))
    silent = resolve(loads(data)).strut
    if silent.duty.shaft_rpm is None:
        assert not write_frequency_picture(tmp_path / "g.svg", silent)
        assert not (tmp_path / "g.svg").exists()


# --- commands ---------------------------------------------------------------------------------------------------------


@long_run
def test_commands(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    monkeypatch.setattr(choices, "ALONG", (2,))
    monkeypatch.setattr(search, "SPREAD", 256)
    target = tmp_path / "sized.yaml"
    asked = ["size", "--shaft", "40mm", "--drop", "300mm", "--shaft-angle", "9", "--run", "0", "--write", str(target)]
    assert cli.main(asked) in (0, 1)
    assert "governs" in capsys.readouterr().out
    resolve(load(target))
    before = target.read_bytes()
    assert cli.main(asked) == 3
    assert "left as it is" in capsys.readouterr().err
    assert target.read_bytes() == before
    known = tmp_path / "known.yaml"
    known.write_text(
        "shaft: {diameter: 40}\nhull:\n  drop: {vertical: 300}\n  shaft_angle: {to_hull: 9}\n  run: 0\n"
        "palm: {thickness: 14}\n",
        encoding="utf-8",
    )
    assert cli.main(["size", str(known), "--json"]) in (0, 1)
    made = json.loads(capsys.readouterr().out)
    assert "thickness: 14" in made["set"]
    folder = tmp_path / "study"
    assert cli.main(
        [
            "study",
            str(target),
            "--vary",
            "palm.thickness=10..20:6",
            "--vary",
            "arms.section.chord=50..90:5",
            "--out",
            str(folder),
        ]
    ) in (0, 1, 2)
    assert "30 combinations" in capsys.readouterr().out
    assert (folder / "manifest.json").is_file()
    assert cli.main(["study", str(target), "--vary", "palm.thicknes=1..2:2"]) == 3
    assert "palm.thickness" in capsys.readouterr().err
    assert cli.main(["benchmark", "--largest", "1000", "--workers", "1"]) == 0
    assert "1000" in capsys.readouterr().out
    assert cli.main(["benchmark", "canal-tender", "--stages", "--json"]) == 0
    stages = json.loads(capsys.readouterr().out)
    assert {"candidates made", "geometry checks", *engineering.OF_FAMILY["strut"]} < set(stages)
    assert min(stages.values()) >= 0.0
    assert stages["arms"] > 0.0
    assert cli.main(["benchmark", "--largest", "10"]) == 3
    for none in ("0", "-2"):
        assert cli.main(["benchmark", "--largest", "1000", "--workers", none]) == 3
        assert "at least 1 process" in capsys.readouterr().err


@long_run
def test_an_inch_file_has_inches_and_pounds(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """1 lb = 0.45359237 kg by definition (international yard and pound agreement, 1959)."""
    monkeypatch.setattr(choices, "ALONG", (2,))
    monkeypatch.setattr(search, "SPREAD", 128)
    asked = ["size", "--units", "in", "--shaft", "1 1/2", "--drop", "10", "--shaft-angle", "9", "--run", "0"]
    assert cli.main(asked) in (0, 1)
    told = capsys.readouterr().out
    assert "weight lb" in told
    assert "palm, in" in told
    assert cli.main([*asked, "--json"]) in (0, 1)
    kg = json.loads(capsys.readouterr().out)["proposals"][0]["weight_kg"]
    assert f"weight {kg / 0.45359237:.2f} lb" in told
    loaded = load(shipped()["sloop-with-skeg"])
    found = study(loaded, resolve(loaded), [axis("palm.thickness=1/2..5/8:3", "in")], workers=1)
    write_table(tmp_path / "t.csv", found)
    rows = list(csv.DictReader((tmp_path / "t.csv").open(encoding="utf-8")))
    assert list(rows[0])[:2] == ["palm.thickness [in]", "weight_lb"]
    for row, weight in zip(rows, found.judged.weight_kg, strict=True):
        assert float(row["weight_lb"]) == pytest.approx(weight / 0.45359237, abs=1e-4)
    words = [str(mark) for mark in weight_plot(found).marks]
    assert any("weight of the strut, lb" in w for w in words)
