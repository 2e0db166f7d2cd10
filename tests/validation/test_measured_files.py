"""Files of readings: a CSV file says the same as the YAML file beside it, and its faults have their places.

Sources: RFC 4180 for quoted cells; that spreadsheets part cells by semicolons where the decimal sign is a comma is
common practice, no source. The inch is 25.4 mm (1959).
"""

from __future__ import annotations

import importlib
import pkgutil
from typing import Annotated, Any

import pytest
from pydantic import Field

from strutwright.params import bench
from strutwright.params.families import root
from strutwright.params.fields import Group, Length, Text, doc, must
from strutwright.params.measured import Measured, Reading, reads
from strutwright.params.part_kinds import FAMILIES
from strutwright.params.problems import ParameterError


class Spot(Group):
    """A spot."""

    name: Text = must("Its name")
    up: Annotated[Length, Field(ge=-5000, le=5000)] = must("Height")
    out: Annotated[Length, Field(ge=-5000, le=5000)] = doc("Breadth", 0.0)


class Tool(Group):
    """What it was measured with."""

    scatter: Annotated[Length, Field(gt=0, le=50)] | None = doc("Standard deviation of one reading")


class Spots(Reading):
    """Spots."""

    tool: Tool = doc("The instrument", Tool())
    low: list[Spot] = doc("Spots low down", [])
    high: list[Spot] = doc("Spots high up", [])


YAML = """
units: mm
by: J. Fitter
remark: "said, in quotes"
tool: {scatter: 0.5}
low:
  - {name: A1, up: 12.5, out: 25.4}
  - {name: "A, 2", up: -3, out: 38.1}
"""
CSV = """# taken on the slip
units,mm
by,J. Fitter
remark,"said, in quotes"
tool.scatter [mm],0.5

low
Name,Up,Out [in]
A1,12.5,1
"A, 2",-3,1 1/2
"""


def _csv(text: str) -> Measured[Spots]:
    return reads(text, Spots, "spots.csv", as_csv=True)


@pytest.mark.parametrize("parted", [",", ";", "\t"])
def test_csv_says_what_yaml_says(parted: str) -> None:
    text = CSV
    if parted != ",":
        plain = CSV.replace('"said, in quotes"', "said; in quotes").replace('"A, 2"', "A; 2").replace(".5", "|5")
        text = plain.replace(",", parted).replace("said; in", '"said, in').replace("quotes\n", 'quotes"\n', 1)
        text = text.replace("A; 2", '"A, 2"').replace("|5", ",5")
    assert _csv(text).said == reads(YAML, Spots).said


def _told(text: str) -> list[str]:
    with pytest.raises(ParameterError) as caught:
        _csv(text)
    return [str(p).splitlines()[0] for p in caught.value.problems]


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("units,mm\nlow\nname,up\nA1,12 furlong\n", ["spots.csv:4:4: low[0].up: has the unit 'furlong'"]),
        ("low\nname,up\nA1,nan\nA2,1e999\n", ["spots.csv:3:4: low[0].up:", "spots.csv:4:4: low[1].up:"]),
        ("low\nname,upp\nA1,1\n", ["spots.csv:2:6: low.upp: is no column", "spots.csv:3:1: low[0].up: is missing"]),
        ("low\nname,up [s]\nA1,1\n", ["spots.csv:2:6: low.up [s]: has a unit"]),
        ("lo\nname,up\nA1,1\nA2,1,2\n", ["spots.csv:1:1: lo: is not a known name"]),
        ("lo\ntool.scatter,-1\n", ["spots.csv:1:1: lo: is not a known name", "spots.csv:2:14: tool.scatter: is"]),
        ("lo\nname,up\n\ncolour,red\n", ["spots.csv:1:1: lo: is not", "spots.csv:4:8: colour: is not"]),
        ("units,mm\nunits,in\n", ["spots.csv:2:7: units: is given twice"]),
        ("by,J. Fitter,and mate\n", ["spots.csv:1:14: by: has more than one value"]),
        ("low\nname,up\nA1,1,7\n", ["spots.csv:3:1: low[0]: has a cell in a column without a head"]),
        ("low\nname,up,up\nA1,1,7\n", ["spots.csv:2:9: low.up: is the head of two columns"]),
        ('by,"J. Fitter\n', ["spots.csv:1:1: "]),
        (
            "tool.scatter,-1\ncolour,red\n",
            ["spots.csv:1:14: tool.scatter: is outside", "spots.csv:2:8: colour: is not"],
        ),
        ("by,a\x07b\n", ["spots.csv:1:5: holds a control character"]),
        ("low.a.b,3\n", ["spots.csv:1:9: "]),
        ("low,3\n\nlow\nname,up\nA1,1\n", ["spots.csv:3:1: low: is given twice"]),
    ],
)
def test_faults_of_a_csv_file_have_their_places(text: str, wanted: list[str]) -> None:
    told = _told(text)
    for line, start in zip(told, wanted, strict=True):
        assert line.startswith(start), (line, start)


def test_an_empty_cell_is_not_said() -> None:
    said = _csv("low\nname,up,out\nA1,3,\n").said
    assert [(s.up, s.out) for s in said.low] == [(3.0, 0.0)]


def test_inches_are_read_as_inches() -> None:
    said = _csv("units,in\nlow\nname,up\nA1,2\nA2,30 mm\n").said
    assert [s.up for s in said.low] == [pytest.approx(50.8), pytest.approx(30.0)]


@pytest.mark.parametrize(
    ("given", "is_day"),
    [
        ("2024-02-29", True),
        ("2000-02-29", True),
        ("2026-02-29", False),
        ("1900-02-29", False),
        ("2026-13-40", False),
        ("2026-06-31", False),
        ("2026-00-10", False),
        ("0000-01-01", False),
        ("2026-1-5", False),
        ("20260105", False),
        ("12/03/2026", False),
        ("2026-W10-2", False),
        ("\u0662\u0660\u0662\u0666-01-01", False),
    ],
)
def test_a_date_is_a_day_of_the_calendar(given: str, is_day: bool) -> None:
    """ISO 8601 with hyphens, Gregorian calendar: a hundredth year is a leap year only where 400 divides it."""
    if is_day:
        assert _csv(f"units,mm\ndate,{given}\n").said.date == given
        return
    with pytest.raises(ParameterError) as caught:
        _csv(f"units,mm\ndate,{given}\nby,J. Fitter\nremarks,none\n")
    told = [str(problem) for problem in caught.value.problems]
    assert told[0].startswith("spots.csv:2:6: date: is not a date")
    assert "year-month-day, such as 2026-03-12" in told[0]
    assert len(told) == 2


def _dates(schema: Any, name: str = "") -> list[tuple[str, str]]:
    """Every field of a schema that is a date by its name, and its schema."""
    if isinstance(schema, list):
        return [found for part in schema for found in _dates(part, name)]
    if not isinstance(schema, dict):
        return []
    own = [(f"{name}.date", str(schema["properties"]["date"]))] if "date" in schema.get("properties", {}) else []
    return own + [found for key, part in schema.items() for found in _dates(part, f"{name}.{key}")]


def test_every_date_of_every_kind_of_file_is_held_to_the_calendar() -> None:
    for module in pkgutil.iter_modules(bench.__path__, f"{bench.__name__}."):
        importlib.import_module(module.name)
    kinds = [*map(root, FAMILIES), *(k for k in Reading.__subclasses__() if k.__module__.startswith(bench.__name__))]
    found = [date for kind in kinds for date in _dates(kind.model_json_schema(), kind.__name__)]
    assert len({name.split(".")[0] for name, _ in found}) == len(kinds)
    assert [name for name, schema in found if "'format': 'date'" not in schema] == []
