"""The cases of spoiled files: a command, its files, and what it may make. A number and a seed make one."""

from __future__ import annotations

import functools
import sys
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from random import Random
from typing import Any

import numpy as np
import yaml

sys.path.insert(0, str(Path(__file__).parents[1]))
from property.random_flanges import draw_flanged
from property.random_hangers import draw_hanger
from property.random_let_in import draw_let_in
from property.random_sets import draw_set
from property.random_shoes import draw_shoe
from survey_support import line_at, rows

from hardening.mutations import odd_text, odd_value, spoiled
from strutwright.params import confirmations, limits, tables
from strutwright.params.loader import shipped
from strutwright.params.measured import examples
from strutwright.params.readings import Reading

RANDOM_SETS: tuple[Callable[[int], dict[str, Any]], ...] = (
    *(draw_set, draw_flanged, draw_let_in, draw_shoe, draw_hanger),
)
WORKS = (
    ("fitting", "fitting-harbour-launch", "harbour-launch"),
    ("installation", "harbour-launch-as-fitted", "harbour-launch"),
    ("inspection", "harbour-launch-inspection", "harbour-launch"),
    ("repair", "repair-harbour-launch", "harbour-launch"),
    ("process", "shop-rates", "harbour-launch"),
    ("straighten", "straighten-palm", "canal-tender"),
    ("line", "tunnel-launch-shaft-line", ""),
    ("rudder", "yawl-rudder-stock", "yawl-with-heel"),
    ("survey", "survey-old-strut", ""),
    ("survey", "survey-twin-screw", ""),
)
"""Each work at the bench, its shipped file of readings and the set that goes with it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """One command and the files that it finds. may: names in the folder that it may make or change."""

    kind: str
    words: tuple[str, ...]
    files: Mapping[str, bytes]
    may: tuple[str, ...] = ()


@functools.cache
def _set(name: str) -> bytes:
    return shipped()[name].read_bytes()


def _some_set(draw: Random) -> bytes:
    """A shipped set, or one drawn from the whole range that the schema allows."""
    if draw.randint(0, 2):
        return _set(draw.choice(sorted(shipped())))
    return yaml.safe_dump(draw.choice(RANDOM_SETS)(draw.randint(0, 10**6)), sort_keys=False).encode()


def of_sets(draw: Random) -> Case:
    """A spoiled parameter set, and what is asked of one."""
    name, may = "mine.yaml", ()
    words = draw.choice(
        (
            *(("check", name), ("check", name, "--json"), ("check", name, "--every"), ("values", name)),
            *(
                ("values", name, "--json"),
                ("loads", name),
                ("loads", name, "--json"),
                ("compare", name, "canal-tender"),
            ),
            ("tolerances", name, "--out", "chain"),
            *((work, readings, "--set", name, "--out", "job") for work, readings, of in WORKS if of),
        )
    )
    if "--out" in words:
        may = (words[-1],)
    return Case(kind="parameter sets", words=words, files={name: spoiled(_some_set(draw), draw)}, may=may)


@functools.cache
def _limit_names() -> tuple[str, ...]:
    return tuple(limits.shipped())


def _limits_file(draw: Random) -> bytes:
    some = draw.sample(_limit_names(), draw.randint(1, 60))
    return "".join(f"{n}: {limits.shipped()[n].value * draw.choice((0, 0.5, 1, 1, 1.2, 3)):g}\n" for n in some).encode()


def of_limits(draw: Random) -> Case:
    """A spoiled file of limits."""
    words = draw.choice(
        (
            ("check", draw.choice(sorted(shipped())), "--limits", "own.yaml"),
            ("values", draw.choice(sorted(shipped())), "--limits", "own.yaml", "--json"),
            ("fitting", "fitting-harbour-launch", "--set", "harbour-launch", "--out", "job", "--limits", "own.yaml"),
        )
    )
    may = ("job",) if "--out" in words else ()
    return Case(kind="limits", words=words, files={"own.yaml": spoiled(_limits_file(draw), draw)}, may=may)


def _reading(draw: Random) -> Reading:
    """A reading of a limit, a check or a row of a table, as a shop may have it."""
    said: dict[str, Any] = {"edition": "Rules 2024", "clause": "3-2-7", "by": "J. Fitter", "date": "2026-05-06"}
    said |= {"row": "", "values": {}, "columns": (), "breach": draw.choice(("", "warning", "failure"))}
    kind = draw.choice(("limit", "limit", "check", "table"))
    name = draw.choice(confirmations.names()[kind])
    if kind == "table":
        said |= {"row": draw.choice(tables.shipped(name).labels), "breach": ""}
    elif kind == "limit" and draw.randint(0, 1):
        said["values"] = {"value": limits.shipped()[name].value}
    return Reading(kind=kind, name=name, **said)


def of_confirmations(draw: Random) -> Case:
    """A spoiled file of what was read in standards, in force or to be added to."""
    text = confirmations.added("", [_reading(draw) for _ in range(draw.randint(1, 8))], "confirmations.yaml")
    files = {"mine.yaml": _set("harbour-launch"), "confirmations.yaml": spoiled(text.encode(), draw)}
    say = ("--edition", "Rules 2024", "--clause", "3-2", "--by", "J. Fitter", "--date", "2026-05-07")
    words, may = draw.choice(
        (
            (("check", "mine.yaml"), ()),
            (("values", "canal-tender", "--confirmations", "confirmations.yaml"), ()),
            (("confirm", "mine.yaml", draw.choice(_limit_names()), *say), ("confirmations.yaml",)),
        )
    )
    return Case(kind="confirmations", words=words, files=files, may=may)


def of_readings(draw: Random) -> Case:
    """A spoiled file of readings of a work at the bench."""
    work, name, of = draw.choice(WORKS)
    path = examples()[name]
    words = (work, path.name, *(("--set", of) if of else ()), "--out", "job")
    words += draw.choice(((), ("--json",), ("--paper", "letter")))
    return Case(kind="readings", words=words, files={path.name: spoiled(path.read_bytes(), draw)}, may=("job",))


@functools.cache
def form_of(work: str) -> bytes:
    """The fillable form of a work, empty."""
    from strutwright.cli import resolved
    from strutwright.exporters.bench.fillable import fillable_pdf
    from strutwright.exporters.bench.paper import Imprint
    from strutwright.exporters.bench.survey_form import by
    from strutwright.fitting_command import WORK as FITTING
    from strutwright.repair_command import WORK as REPAIR
    from strutwright.survey_command import WORK as SURVEY

    found = resolved("harbour-launch")
    form = {"fitting": FITTING, "repair": REPAIR, "survey": SURVEY}[work].form(found, "mm", None)
    form = by(form, "points") if work == "survey" else form
    return fillable_pdf(form, form.sheets(Imprint(paper="A4", reference="x").of(found.strut)))


def of_forms(draw: Random) -> Case:
    """A spoiled form as PDF."""
    work = draw.choice(("fitting", "repair", "survey"))
    raw = spoiled(form_of(work), draw)
    words = (work, "form.pdf", "--set", "harbour-launch", "--out", "job")
    return Case(kind="forms", words=words, files={"form.pdf": raw}, may=("job",))


def of_surveys(draw: Random) -> Case:
    """A spoiled survey whose figures go into a set."""
    new = draw.randint(0, 1)
    files = {} if new else {"mine.yaml": _set("coastal-pair")}
    path = examples()[draw.choice(("survey-old-strut", "survey-twin-screw"))]
    files[path.name] = spoiled(path.read_bytes(), draw)
    of = ("--set", draw.choice(("coastal-pair", "harbour-launch", "patrol-vee-pair"))) if new else ()
    words = ("survey", path.name, *of, "--write", "mine.yaml", "--out", "job")
    return Case(kind="surveys into a set", words=words, files=files, may=("job", "mine.yaml"))


def of_variations(draw: Random) -> Case:
    """A spoiled table of variations."""
    paths = draw.sample(("barrel.wall", "palm.thickness", "shaft.diameter", "duty.power", "hull.thickness"), 3)
    made = {f"row {k}": {p: f"{draw.uniform(1, 60):.3g}" for p in paths} for k in range(draw.randint(1, 5))}
    if draw.randint(0, 1):
        name, text = "table.yaml", yaml.safe_dump(made)
    else:
        name = "table.csv"
        text = "\n".join([",".join(("name", *paths)), *(",".join((n, *v.values())) for n, v in made.items()), ""])
    words = ("many", draw.choice(("harbour-launch", "canal-tender")), "--table", name, "--out", "all", "--quiet")
    return Case(kind="variations", words=words, files={name: spoiled(text.encode(), draw)}, may=("all",))


@functools.cache
def _scan(kind: str) -> bytes:
    """A flat bottom as a mesh, or as points in lines."""
    import trimesh

    x, y = np.meshgrid(np.arange(-400.0, 401.0, 50.0), np.arange(-250.0, 251.0, 50.0), indexing="ij")
    points = np.stack([x, y, 260.0 - 0.035 * x + 0.32 * y], axis=-1)
    flat = points.reshape(-1, 3)
    if kind == "xyz":
        return "".join(f"{a:.2f} {b:.2f} {c:.2f}\n" for a, b, c in flat).encode()
    k = np.arange(len(flat)).reshape(points.shape[:2])
    first = np.stack([k[:-1, :-1], k[1:, :-1], k[1:, 1:]], -1).reshape(-1, 3)
    second = np.stack([k[:-1, :-1], k[1:, 1:], k[:-1, 1:]], -1).reshape(-1, 3)
    mesh = trimesh.Trimesh(flat, np.concatenate([first, second]), process=False)
    ways: dict[str, Any] = {"ply text": {"encoding": "ascii"}}
    made = mesh.export(file_type="stl_ascii" if kind == "stl text" else kind.split()[0], **ways.get(kind, {}))
    return made.encode() if isinstance(made, str) else bytes(made)


def of_scans(draw: Random) -> Case:
    """A spoiled scan of a bottom."""
    kind = draw.choice(("stl", "stl text", "ply", "ply text", "obj", "xyz"))
    name = f"bottom.{kind.split()[0]}"
    marks = rows("S", line_at([-400.0, 400.0], 11.0))
    survey = {"side": "port", "palm": {"length": 240, "width": 130}, "scan": {"file": name}, "line": marks}
    files = {"survey.yaml": yaml.safe_dump(survey).encode(), name: spoiled(_scan(kind), draw)}
    return Case(kind="scans", words=("survey", "survey.yaml", "--out", "job"), files=files, may=("job",))


def of_words(draw: Random) -> Case:
    """Odd words on the command line itself."""
    odd = draw.choice((odd_value(draw), odd_text(draw, 30))).replace("\0", "")
    asked = ("start", "new.yaml")
    confirm = ("confirm", "harbour-launch", "--confirmations", "f.yaml", "--clause", "b", "--by", "c")
    words = draw.choice(
        (
            *(("meaning", odd), ("tables", odd), ("check", odd), ("values", "harbour-launch", "--limits", odd)),
            *((*asked, "--answer", f"shaft={odd}", "--answer", "drop=400 mm"), (*asked, "--like", odd)),
            *((*confirm, odd, "--edition", "a"), (*confirm, "barrel_wall", "--edition", odd)),
            ("fitting", odd, "--set", "harbour-launch", "--out", "job"),
        )
    )
    return Case(kind="words", words=words, files={}, may=("new.yaml", "f.yaml", "job"))


KINDS: Sequence[tuple[int, Callable[[Random], Case]]] = (
    *((30, of_sets), (10, of_limits), (10, of_confirmations), (20, of_readings), (3, of_forms), (9, of_surveys)),
    *((6, of_variations), (6, of_scans), (6, of_words)),
)
"""What is drawn, and how often of a hundred."""


def case_of(number: int, seed: int) -> Case:
    """Return a case by its number."""
    draw = Random(f"{seed} {number}")
    weights, kinds = zip(*KINDS, strict=True)
    return draw.choices(kinds, weights)[0](draw)
