"""The command `survey`: readings of hull and shaft line to the figures of the strut."""

from __future__ import annotations

import argparse
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from strutwright import bench
from strutwright.errors import Exit, UserError

if TYPE_CHECKING:
    from strutwright.exporters.bench.blank import Form
    from strutwright.exporters.bench.paper import Imprint
    from strutwright.models.bench.survey import Surveyed
    from strutwright.models.resolve import Resolved
    from strutwright.params.bench.survey import Survey
    from strutwright.params.limits import Limits
    from strutwright.params.quantity import FileUnits
    from strutwright.params.words import Words


def _kind() -> type[Survey]:
    from strutwright.params.bench.survey import Survey

    return Survey


def _form(found: Resolved | None, units: FileUnits, _limits: Limits | None) -> Form:
    from strutwright.exporters.bench.survey_form import form

    return form(found, units)


def _printed(whole: Form, arguments: argparse.Namespace, _imprint: Imprint) -> Form:
    from strutwright.exporters.bench.survey_form import by

    return by(whole, arguments.by)


def _options(command: argparse.ArgumentParser) -> None:
    command.add_argument(
        "--by",
        choices=("points", "angles", "scan", "bench"),
        default="points",
        help="what the blank form's page is for: points on hull and shaft line, angles and a drop, a scan, or an old "
        "strut on the bench (default points); its CSV has all",
    )
    command.add_argument(
        "--write",
        metavar="FILE",
        help="write the figures into this set: a file that is there keeps all else and its comments, a new one begins "
        "as a copy of --set",
    )


def _answer(asked: bench.Question[Survey]) -> bench.Answer:
    from strutwright.exporters.bench import survey as out
    from strutwright.models.bench.survey import survey
    from strutwright.models.bench.survey_frames import NoLineError
    from strutwright.params.bench.survey import checked
    from strutwright.params.problems import ParameterError

    into = _set_to_write(asked)
    of = asked.found if into is None else into.found
    said = checked(asked.measured, with_set=of is not None)
    _same_side(said, of)
    said, more, told = _with_scan(asked, said, of)
    try:
        found = survey(said, of, to_curve=into is not None)
    except NoLineError as error:
        raise ParameterError([asked.measured.problem("line", str(error), "", "", "measure it again")]) from None
    except ValueError as error:
        raise ParameterError([asked.measured.problem("hull", str(error), "", "", "measure more points")]) from None
    written = None if into is None else _written(into, found, asked.limits)
    sheets = out.sheets(found, imprint=asked.imprint.of(None if of is None else of.strut), more=more)
    out_of_line = [p.name for s in found.sides for p in s.hull if p.out]
    out_of_line += [p.name for s in found.sides for p in s.line if p.out]
    return bench.Answer(
        text=out.text(found, more),
        data={**out.document(found, more), **told},
        sheets=sheets,
        status=Exit.WARNINGS if out_of_line else Exit.PASS,
        then=None if into is None or written is None else lambda: _put(into, written),
    )


@dataclass(frozen=True, slots=True)
class _Set:
    """A set that figures are written into. text: what it begins as."""

    path: Path
    text: str
    found: Resolved


def _set_to_write(asked: bench.Question[Survey]) -> _Set | None:
    """The set that the figures go into, None where none is named. Raises UserError."""
    from strutwright.cli import find, resolved
    from strutwright.params.loader import SETS
    from strutwright.params.strict_yaml import text_of

    named, of = asked.arguments.write, asked.arguments.set
    if named is None:
        return None
    path = Path(named)
    if SETS in path.resolve().parents:
        raise UserError(f"{named}: is a shipped set, which stays as it is; name a file of your own")
    if path.exists():
        if of is not None and find(of).resolve() != path.resolve():
            raise UserError(f"{named}: is there already; leave out --set, or name a new file")
        found = resolved(named, asked.limits, "survey")
        return _Set(path, text_of(path, "a parameter set")[1], found)
    if asked.found is None:
        raise UserError(f"{named}: is not there yet; add --set FILE, the set that it is to begin as")
    return _Set(path, text_of(find(of), "a parameter set")[1], asked.found)


def _written(into: _Set, found: Surveyed, limits: Limits | None) -> str:
    """The text of a set with a survey's figures, once it can be used. Raises UserError, ParameterError."""
    import json

    from strutwright.models.bench.survey_into_set import NotForSetError, values_for
    from strutwright.models.resolve import resolve
    from strutwright.params.edit import changed, with_list
    from strutwright.params.loader import loads

    try:
        values = values_for(found, into.found)
    except NotForSetError as error:
        raise UserError(f"{into.path}: {error}; nothing was written") from None
    text = changed(into.text, {v.path: v.text for v in values})
    paths = {v.path for v in values}
    rows = [r.model_dump(exclude_none=True) for r in into.found.said.measured if r.value not in paths]
    who = {"date": found.said.date, "by": found.said.by}
    rows += [
        {"value": v.path, "reading": v.text, "within": v.within, **{k: w for k, w in who.items() if w is not None}}
        for v in values
        if v.within
    ]
    if rows:
        lines = [", ".join(f"{k}: {json.dumps(w, ensure_ascii=False)}" for k, w in row.items()) for row in rows]
        text = with_list(text, "measured", [f"{{{line}}}" for line in lines])
    resolve(loads(text, str(into.path)), limits)
    return text


def _put(into: _Set, text: str) -> str:
    """Write a set, in one step; tell it."""
    bench.write_whole(into.path, text.encode())
    return f"wrote the figures into {into.path}; next: strutwright check {into.path}"


def _with_scan(
    asked: bench.Question[Survey], said: Survey, of: Resolved | None
) -> tuple[Survey, list[Words], dict[str, object]]:
    """A survey with what its scan shows, words on that, and plain data; as it is where there is no scan."""
    import hashlib

    from strutwright.exporters.bench.scan_file import ScanError, scan_points
    from strutwright.models.bench.scan import NoHullError, reach, scanned
    from strutwright.models.bench.scan_clearance import clearances, in_strut_frame, in_words, with_tip
    from strutwright.params.problems import ParameterError
    from strutwright.params.words import Amount, say

    if said.scan.file is None:
        return said, [], {}
    path = Path(asked.measured.document.file).parent / said.scan.file
    try:
        cloud = scan_points(path, said.scan.unit)
    except ScanError as error:
        do = "export the scan again, or name another file"
        raise ParameterError([asked.measured.problem("scan.file", str(error), said.scan.file, "", do)]) from None
    try:
        it = scanned(said, cloud, of)
    except NoHullError as error:
        do = say("{reach}", reach=reach(cloud)).read(asked.unit)
        raise ParameterError([asked.measured.problem("scan.file", str(error), said.scan.file, "", do)]) from None
    new, near = it.said, []
    if of is not None:
        points = in_strut_frame(it.said, it.cloud)
        near, new = clearances(of, it.said, points, it.apart_mm), with_tip(it.said, of, points)
    left = Amount(round(100 * it.left, 1), "%")
    of_patch = say(
        "{count} points of the scan round the palm, of which {left} lie on other things", count=it.patch, left=left
    )
    told: dict[str, object] = {
        "scan_sha256": hashlib.sha256(path.read_bytes()).hexdigest(),
        "clearances": [{"part": c.part, "least_mm": round(c.least_mm, 3), "at_mm": list(c.at_mm)} for c in near],
    }
    return new, [of_patch, *in_words(near, it.apart_mm)], told


def _same_side(said: Survey, found: Resolved | None) -> None:
    """Raise UserError where the survey is of another side than the set."""
    if found is None:
        return
    hand, side = found.said.identity.hand, said.side
    if side != hand and not ("pair" in (hand, side) and "centre" not in (hand, side)):
        raise UserError(f"the survey is of the side `{side}`, the set of `{hand}` (identity.hand): bring them together")


WORK: bench.Work[Any] = bench.Work(
    name="survey",
    text="from points on hull and shaft line, or an old strut on the bench, to the strut's angles, drop and clearances",
    kind=_kind,
    form=_form,
    answer=_answer,
    options=_options,
    printed=_printed,
)


def add_command(add: Any) -> None:
    """Add the command to the command line."""
    bench.add_command(add, WORK)
