"""The command `line`: the housings on one shaft of a boat, whether they fit each other, and how they are lined up."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING, Any

from strutwright import bench
from strutwright.errors import Exit, UserError

if TYPE_CHECKING:
    from strutwright.exporters.bench.blank import Form
    from strutwright.models.resolve import Resolved
    from strutwright.models.spec import Strut
    from strutwright.params.bench.line import ShaftLine
    from strutwright.params.limits import Limits
    from strutwright.params.measured import Measured
    from strutwright.params.problems import Problem
    from strutwright.params.quantity import FileUnits


def _kind() -> type[ShaftLine]:
    from strutwright.params.bench.line import ShaftLine

    return ShaftLine


def _form(_found: Resolved | None, units: FileUnits, _limits: Limits | None) -> Form:
    from strutwright.exporters.bench.line import form

    return form(units)


def _options(command: argparse.ArgumentParser) -> None:
    from strutwright.cli import add_limits

    add_limits(command)


def _answer(question: bench.Question[ShaftLine]) -> bench.Answer:
    from strutwright.exporters.bench import line as paper
    from strutwright.models.bench import line as lines
    from strutwright.models.bench import line_loads
    from strutwright.models.bench.installation import Stand
    from strutwright.models.bench.line_stack import WAYS, LineStack, line_stack
    from strutwright.params.limits import standard
    from strutwright.params.problems import ParameterError
    from strutwright.params.words import read

    measured, said = question.measured, question.measured.said
    if problems := _wrong(measured):
        raise ParameterError(problems)
    limits = standard() if question.limits is None else question.limits
    folder = bench.find_readings(question.arguments.readings).parent
    sets = [_set(measured, n, folder, limits) for n in range(len(said.bearings))]
    line = lines.placed(said, [None if one is None else one[0] for one in sets], limits)
    axis, shaft = lines.axis_of(line), line_loads.shaft_of(said, line)
    sets_agree = lines.agreement(said, line, limits)
    told = [] if axis is None else lines.bores(said, line, axis)
    lacks, stacks, straight, found = list[str](), list[LineStack](), None, None
    if axis is None:
        lacks.append("Fewer than two bores were read: only the sets and the straight line are judged.")
    if shaft is None:
        lacks.append("No set says what the shaft is: loads and tolerances are not worked out.")
    else:
        straight, found = line_loads.as_found(line, shaft, axis)
        told += line_loads.lies(line, straight, found, axis, limits)
        stacks = [line_stack(line, shaft, way, limits) for way in WAYS]
        if not line_loads.propeller_known(line):
            lacks.append("The aftmost set says of no propeller: nothing hangs over aft.")
    lined = paper.Lined(
        line=line, axis=axis, straight=straight, found=found, sets=sets_agree, told=told, stacks=stacks, lacks=lacks
    )
    sheets = paper.line_sheets(said, lined, imprint=question.imprint, units=question.unit)
    lines_ = [
        f"{t.what}: {', '.join(w for w in (read(t.found, question.unit), read(t.limit, question.unit)) if w)}, "
        f"{str(t.stand).upper()}"
        for t in lined.every
    ]
    text = "\n".join(
        [*lines_, *(f"  - {one}" for one in (*lacks, *map(paper.tighten_words, stacks))), paper.stand_line(lined.every)]
    )
    stands = {t.stand for t in lined.every}
    status = Exit.FAILURE if Stand.OUT in stands else Exit.WARNINGS if Stand.LOOK in stands else Exit.PASS
    data = paper.document(lined)
    data["sets_sha256"] = {name: one[1] for name, one in zip(_names(said), sets, strict=True) if one is not None}
    return bench.Answer(text=text, data=data, sheets=sheets, status=status)


def _names(said: ShaftLine) -> list[str]:
    return [one.called for one in said.bearings]


def _wrong(measured: Measured[ShaftLine]) -> list[Problem]:
    """What the file says that cannot be."""
    said, problem = measured.said, measured.problem
    made, names = [], _names(said)
    stations = [one.station for one in said.bearings]
    if min(stations) > 0.0:
        made.append(
            problem(
                "bearings[0].station",
                "is not nought",
                f"{min(stations):g}",
                "the aftmost at 0",
                "count from its middle",
            )
        )
    for n, one in enumerate(said.bearings):
        at = f"bearings[{n}]"
        if names.index(one.called) != n:
            made.append(
                problem(f"{at}.called", "names another bearing too", one.called, "", "give each a name of its own")
            )
        if any(abs(one.station - other) < 1.0 for other in stations[:n]):
            made.append(problem(f"{at}.station", "is where another bearing stands", "", "", "check both"))
        for end in ("aft", "forward"):
            up, port = getattr(one, f"{end}_up"), getattr(one, f"{end}_port")
            if (up is None) != (port is None):
                lacking = f"{end}_{'up' if up is None else 'port'}"
                made.append(
                    problem(
                        f"{at}.{end}_{'port' if up is None else 'up'}", "stands alone", "", "", f"give {lacking} too"
                    )
                )
    wire = said.wire
    if wire is not None and not (wire.aft <= min(stations) and wire.forward >= max(stations)):
        made.append(problem("wire", "does not reach over all bearings", "", "", "check wire.aft and wire.forward"))
    return made


def _set(measured: Measured[ShaftLine], n: int, folder: Path, limits: Limits) -> tuple[Strut, str] | None:
    """The set of a bearing, and what tells it from others; None without one. Raises UserError or ParameterError."""
    from strutwright.cli import find, resolved
    from strutwright.exporters.files.manifest import sha256
    from strutwright.params.problems import ParameterError

    name, at = measured.said.bearings[n].set, f"bearings[{n}].set"
    if name is None:
        return None
    beside = folder / name
    path = str(beside) if beside.is_file() else name
    try:
        strut = resolved(path, limits).strut
    except UserError as error:
        raise ParameterError([measured.problem(at, "cannot be used", name, "", str(error))]) from None
    if strut.shoe is not None:
        raise ParameterError([measured.problem(at, "is no bearing of the shaft", name, "", "leave a rudder shoe out")])
    return strut, sha256(find(path).read_bytes())


WORK: bench.Work[ShaftLine] = bench.Work(
    name="line",
    text="the housings on one shaft of a boat: whether their sets agree, where their bores lie, how to line them up",
    kind=_kind,
    form=_form,
    answer=_answer,
    wants_set="no",
    options=_options,
)


def add_command(add: Any) -> None:
    """Add the command to the command line."""
    bench.add_command(add, WORK)
