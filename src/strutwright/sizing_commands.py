"""The commands that try many candidates: size, study, benchmark."""

from __future__ import annotations

import argparse
import contextlib
import copy
import hashlib
import math
import sys
import textwrap
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from strutwright import __version__
from strutwright.errors import Exit, UserError, faults_of, refuse_existing, write_new
from strutwright.models.guidance import GUIDANCE
from strutwright.params.part_kinds import FAMILIES, STRUT
from strutwright.params.problems import Problem, printable
from strutwright.params.quantity import INCH_MM, MASS

if TYPE_CHECKING:
    from strutwright.models.sizing.proposal import Proposal
    from strutwright.models.sizing.search import Sized
    from strutwright.models.sizing.study import Study
    from strutwright.models.sizing.summed import Spread
    from strutwright.params.strict_yaml import Document

SIZE_EXAMPLE = (
    "strutwright size --construction cast --shaft 45mm --drop 310 --shaft-angle 11deg --run 0 --write my-strut.yaml"
)
_OWN_METAL = "materials.strut"


def _place(path: str, family: str) -> str:
    """Return what an option's place is called in the file of a family."""
    from strutwright.models.families import file_path

    own = "materials.housing" if path == _OWN_METAL and family != STRUT else path
    return file_path(own, family)


_KNOWN = (
    ("part", "part", f"kind of part: {', '.join(FAMILIES)} (default strut)"),
    ("name", "identity.name", "what the part is called"),
    ("hand", "identity.hand", "port, starboard, centre or pair"),
    ("units", "units", "units of bare numbers: mm or in"),
    ("construction", "construction", "cast or welded"),
    ("material", _OWN_METAL, "of the strut, housing, hanger or shoe; `strutwright tables materials` lists them"),
    ("shaft-material", "materials.shaft", "of the shaft"),
    ("hull-material", "materials.hull", "of the hull under the palm"),
    ("shaft", "shaft.diameter", "shaft diameter; or give --power and --shaft-speed"),
    ("bearing-span", "shaft.bearing_span", "distance to the next bearing forward"),
    ("bearing-outside", "bearing.outside_diameter", "nominal outside diameter of the bearing"),
    ("bearing-measured", "bearing.outside_measured", "outside diameter of the bearing in hand, as measured"),
    ("bearing-length", "bearing.length", "length of the bearing"),
    ("bearing-shell", "bearing.shell", "thickness of the bearing's shell"),
    ("arms", "arms.arrangement", "single or vee"),
    ("vee-angle", "arms.included_angle", "angle between the arms of a vee"),
    ("section", "arms.section.shape", "shape of an arm's section; `strutwright meaning arms.section.shape` lists them"),
    ("drop", "hull.drop.square_to_shaft", "hull face to shaft line, square to the shaft"),
    ("drop-vertical", "hull.drop.vertical", "hull face to shaft line, by a plumb line"),
    ("drop-to-hull", "hull.drop.square_to_hull", "hull face to shaft line, square to the hull"),
    ("drop-at", "hull.drop.at", "where along the barrel the drop is taken: mid, aft or forward"),
    ("shaft-angle", "hull.shaft_angle.to_waterline", "shaft down going aft, from the level waterline"),
    ("shaft-to-hull", "hull.shaft_angle.to_hull", "shaft to the bottom, in the vertical plane through it"),
    ("run", "hull.run", "rise of the bottom going aft, 0 for level; needed with --shaft-angle"),
    ("deadrise", "hull.deadrise", "rise of the bottom going outboard"),
    ("hull-thickness", "hull.thickness", "thickness of the hull under the palm"),
    ("base-material", "materials.base", "of what a housing or a hanger is bolted to or let into"),
    ("base-bore", "base.bore", "hole in it, for spigot or shaft"),
    ("base-thickness", "base.thickness", "thickness of it in the way of the fasteners, or depth of timber"),
    ("timber-density", "base.density", "density of its timber in kg/m3, oven dry"),
    ("fastener", "bolts.fastener", "of a housing or a shoe: through_bolt, stud or lag_screw"),
    ("spigot", "spigot.use", "of a flanged housing: base_bore or hose; none when left out"),
    ("spigot-length", "spigot.length", "length of the spigot beyond the bedding face"),
    ("hold", "hold", "of a let-in housing: pressed, bedded or welded"),
    ("structure", "structure.kind", "what a let-in housing is let into: skeg, keel or tube"),
    ("structure-thickness", "structure.thickness", "thickness of skeg or keel athwart"),
    ("structure-outside", "structure.outside_diameter", "outside diameter of the tube"),
    ("structure-above", "structure.above", "from the shaft line up to the nearest edge of skeg or keel"),
    ("structure-below", "structure.below", "from the shaft line down to the nearest edge of skeg or keel"),
    ("hole-depth", "structure.depth", "depth of the hole along the shaft, from its mouth"),
    ("height", "foot.height", "of a hanger: shaft line over the foot's bedding face"),
    ("stands", "foot.stands", "where a hanger's foot lies: above, below, port or starboard"),
    ("span-aft", "line.aft", "of a hanger: distance to the next bearing aft"),
    ("water", "line.water", "how water comes to a hanger's bearing: around or fed"),
    ("cap-bolts", "cap.bolts.on_each_side", "of a split hanger: bolts on each side of the cap; solid when left out"),
    ("stock", "stock.diameter", "of a rudder shoe: diameter of stock or pintle in the bush"),
    ("stock-rake", "stock.rake", "lean of the stock aft, from square to the keel's underside"),
    ("keel-material", "materials.keel", "of the keel or skeg over a rudder shoe"),
    ("keel-end", "keel.end", "from the stock's axis forward to the keel's after end"),
    ("keel-width", "keel.width", "width of the keel's underside"),
    ("keel-thickness", "keel.thickness", "thickness of it in the way of the fasteners, or depth of timber"),
    ("rudder-area", "rudder.area", "area of one side of the rudder"),
    ("rudder-height", "rudder.height", "height of the rudder along the stock"),
    ("rudder-mass", "rudder.mass", "mass of rudder and stock"),
    ("rudder-gap", "rudder.foot_gap", "from the rudder's lower edge to the boss below it"),
    ("propeller", "propeller.diameter", "propeller diameter"),
    ("blades", "propeller.blades", "number of blades of the propeller"),
    ("propeller-mass", "propeller.mass", "mass of the propeller"),
    ("hub-length", "propeller.hub_length", "length of the propeller's hub"),
    ("hub-gap", "propeller.hub_gap", "from the barrel to the propeller's hub"),
    ("power", "duty.power", "power at the shaft"),
    ("shaft-speed", "duty.shaft_speed", "shaft speed at that power"),
    ("boat-speed", "duty.boat_speed", "greatest speed of the boat"),
    ("service", "duty.service", "light, pleasure, long_range, patrol or passenger"),
)
"""What a customer may know: option, place in a parameter file, words."""


def add_commands(add: Callable[[str, Any, str], argparse.ArgumentParser]) -> None:
    """Add the commands to the command line. add: makes a command from name, function and one line of words."""
    from strutwright.cli import add_limits

    size = add("size", run_size, "propose the complete set of least weight and drag for what is known")
    size.add_argument("file", metavar="FILE", nargs="?", help="a YAML file that says what is known, sizes left open")
    size.add_argument("--write", metavar="NEW", help="write the set to this file; it must not exist")
    size.add_argument(
        "--next", metavar="COUNT", type=int, default=5, help="how many of the next best to list (default 5)"
    )
    add_limits(size)
    size.add_argument("--json", action="store_true", help="print JSON")
    for option, path, words in _KNOWN:
        size.add_argument(f"--{option}", dest=f"known:{path}", metavar="VALUE", help=words)

    _add_study(add)
    bench = add("benchmark", run_benchmark, "measure how many candidates a second are checked on this machine")
    bench.add_argument(
        "file",
        metavar="FILE",
        nargs="?",
        default="harbour-launch",
        help="a YAML file or a shipped set to vary (default: harbour-launch)",
    )
    bench.add_argument(
        "--largest",
        type=int,
        default=1_000_000,
        metavar="COUNT",
        help="from a thousand up to this many, by tens (default 1000000)",
    )
    add_limits(bench)
    bench.add_argument("--workers", type=int, metavar="COUNT", help="processes (default: one to a processor)")
    bench.add_argument("--stages", action="store_true", help="tell where the time goes instead, stage by stage")
    bench.add_argument("--json", action="store_true", help="print JSON")


def _add_study(add: Callable[[str, Any, str], argparse.ArgumentParser]) -> None:
    from strutwright.cli import add_limits

    study = add(
        "study",
        run_study,
        "vary parameters over ranges: table, map of what governs, weight against share of the limit used",
    )
    study.add_argument("file", metavar="FILE", help="a YAML file or the name of a shipped set")
    study.add_argument(
        "--vary",
        action="append",
        default=[],
        metavar="PATH=LOW..HIGH:COUNT",
        help="a parameter and its values, or PATH=VALUE,VALUE,...; give two or more for a map",
    )
    study.add_argument(
        "--passing",
        action="store_true",
        help="tell only of combinations that break no check; each of the others is left at the first that it breaks, "
        "so that millions take seconds; no map",
    )
    study.add_argument(
        "--scheduler",
        metavar="ADDRESS",
        help="have the workers of a Dask scheduler judge the combinations, up to two thousand million; `here` starts "
        "one on this machine (optional extra)",
    )
    study.add_argument("--out", metavar="FOLDER", help="folder for table and plots (default: out/NAME-study)")
    add_limits(study)
    study.add_argument("--json", action="store_true", help="print JSON")


# --- size -----------------------------------------------------------------------------------------------------------


def run_size(arguments: argparse.Namespace) -> int:
    """Propose a set, say what governs, list the next ones; write it where asked."""
    from strutwright.cli import limits_in, say_json
    from strutwright.models.families import CALLED
    from strutwright.models.sizing.kinds import SIZED
    from strutwright.models.sizing.known import SizingError
    from strutwright.params.problems import ParameterError

    if arguments.next < 0:
        raise UserError(f"--next {arguments.next}: give 0 or more candidates to list")
    target = None if arguments.write is None else Path(arguments.write)
    if target is not None:
        refuse_existing(target)
    said, document = known(arguments)
    if not said:
        raise UserError(f"say what is known, for example: {SIZE_EXAMPLE}; `strutwright size --help` lists all")
    part = said.get("part") or STRUT
    if not isinstance(part, str) or part not in FAMILIES:
        raise UserError(f"part: {part} is none of {', '.join(FAMILIES)}")
    try:
        sized = SIZED[part](said, limits_in(arguments.limits))
    except SizingError as error:
        raise UserError(str(error)) from None
    except ParameterError as error:
        told = "\n".join(_placed(p, arguments, document) for p in error.problems)
        raise UserError(f"no {CALLED[part]} can be made from these inputs; nothing was written\n{told}") from None
    best = sized.best
    if best.passes and target is not None:
        write_new(target, best.text)
    if arguments.json:
        say_json(
            {
                "passes": best.passes,
                "tried": sized.tried,
                "set": best.text,
                "proposals": [_plain(p) for p in sized.proposals[: arguments.next + 1]],
                "sought": list(sized.sought),
                "left_out": [{"what": x.what, "give": list(x.give)} for x in best.left_out],
                "blocking": [f.as_dict() for f in sized.blocking()],
                "warnings": [f.as_dict() for f in sized.unavoidable()],
                "why": dict(sized.why),
            }
        )
    else:
        print(size_text(sized, arguments.next, None if not best.passes else target))
    return Exit.FAILURE if not best.passes else Exit.WARNINGS if sized.unavoidable() or best.left_out else Exit.PASS


def known(arguments: argparse.Namespace) -> tuple[dict[str, Any], Document | None]:
    """Return what is known as groups and names of a parameter file, the file's and over them the options', and the
    file's document."""
    from strutwright.params import strict_yaml
    from strutwright.params.problems import ParameterError

    said: dict[str, Any] = {}
    document = None
    if arguments.file is not None:
        from strutwright.cli import find

        with faults_of(arguments.file):
            document = strict_yaml.read_file(find(arguments.file))
            if document.faults:
                raise ParameterError(document.faults)
        said = copy.deepcopy(document.data)
        # A drop or an angle of the options stands in place of the file's: they are ways to say one thing.
        for group, name in (("drop", "hull"), ("shaft_angle", "hull")):
            own = (said.get(name) or {}).get(group) if isinstance(said.get(name), dict) else None
            if isinstance(own, dict) and any(
                getattr(arguments, f"known:{path}") is not None
                for _, path, _ in _KNOWN
                if path.startswith(f"hull.{group}.") and not path.endswith(".at")
            ):
                said[name][group] = {k: v for k, v in own.items() if k == "at"}
    family = _family(arguments, said)
    for _, option, _ in _KNOWN:
        value = getattr(arguments, f"known:{option}")
        if value is None:
            continue
        at, path = said, _place(option, family)
        *groups, name = path.split(".")
        for group in groups:
            inner = at.get(group)
            if inner is not None and not isinstance(inner, dict):
                raise UserError(f"{path}: cannot be given beside the list in the file")
            at[group] = dict(inner or {})
            at = at[group]
        at[name] = int(value) if value.isascii() and value.isdigit() else value
    return said, document


def _family(arguments: argparse.Namespace, said: Mapping[str, Any]) -> str:
    """Return the kind of part that is meant; a strut where the word is none of them."""
    part = getattr(arguments, "known:part") or said.get("part")
    return part if isinstance(part, str) and part in FAMILIES else STRUT


def _placed(problem: Problem, arguments: argparse.Namespace, document: Document | None) -> str:
    """Return a fault at the place where the user said it: an option, a line of the file, or neither."""
    family = _family(arguments, {} if document is None else document.data)
    option = next(
        (
            f"--{o} {getattr(arguments, f'known:{path}')}"
            for o, path, _ in _KNOWN
            if problem.path == _place(path, family) and getattr(arguments, f"known:{path}") is not None
        ),
        None,
    )
    first, *rest = str(replace(problem, file="", line=0, column=0)).split("\n")
    words = first.removeprefix(":0:0: ")
    parts = problem.path.replace("[", ".[").split(".") if problem.path else []
    path = tuple(int(p[1:-1]) if p.startswith("[") else p for p in parts)
    if option is not None:
        words = f"{option}: {words}"
    elif document is not None:
        inside = next((path[:n] for n in range(len(path), 0, -1) if path[:n] in document.values), ())
        if inside:
            line, column = document.where(inside, key=True)
            words = f"{printable(document.file)}:{line}:{column}: {words}"
    return "\n".join([words, *rest])


def size_text(sized: Sized, following: int, written: Path | None) -> str:
    """Return the outcome of sizing for a person."""
    from strutwright import show
    from strutwright.models.finding import hints_lacking

    best = sized.best
    lines = []
    unit, heavy, per = sized.units, MASS.bare[sized.units], MASS.factors[MASS.bare[sized.units]]
    if not sized.sought:
        lines.append("nothing is left open to size: the set is checked as it is")
    if best.passes:
        every = "every check that could be worked out" if best.left_out else "every check"
        left = sized.unavoidable()
        lines += [
            best.text.rstrip(),
            "",
            f"weight {best.weight_kg / per:.2f} {heavy}{_drag(best)}; {best.governing} governs, "
            f"{_used(best)} of its limit used; {every} was run on the set as a file",
        ]
        if left:
            lines.append("warnings that no candidate was found without:")
            lines += [line for f in left for line in (*show.finding_lines(f, unit), *_why(sized, f.code))]
    else:
        blocking = sized.blocking()
        lines.append(f"no candidate passes every check; the nearest one fails {blocking[0].code}")
        lines.append("what it fails:")
        lines += [line for f in blocking for line in (*show.finding_lines(f, unit), *_why(sized, f.code))]
    if best.left_out:
        options = {_place(path, sized.family): option for option, path, _ in _KNOWN}
        lines.append("left out, because what they need is not known:")
        for x in best.left_out:
            give = ", ".join(f"{p} (--{options[p]})" if p in options else p for p in x.give)
            lines += textwrap.wrap(
                f"{x.what}: give {give}",
                show.wide(),
                initial_indent="  ",
                subsequent_indent="      ",
                break_on_hyphens=False,
            )
    hints = hints_lacking(best.findings)
    if hints:
        lines.append(f"{hints}; `strutwright check FILE --every` names them, once the set is written")
    columns = _COLUMNS[sized.family]
    titles = "".join(f"{f'{what}, {unit}':<{width}}" for what, width, _ in columns)
    lines += ["", f"{'':<3}{f'weight {heavy}':>9}  {'bolts':<13}{titles}{'verdict':<12}{'governs':<28}limit used"]
    for n, p in enumerate(sized.proposals[: following + 1], 1):
        told = "".join(f"{_size(p, unit, *paths):<{width}}" for _, width, paths in columns)
        lines.append(
            f"{n:<3}{p.weight_kg / per:>9.2f}  {_bolts(p):<13}{told}{_verdict(p):<12}{p.governing:<28}{_used(p)}"
        )
    lines.append(f"{sized.tried} candidates tried" if sized.tried > 1 else "1 candidate tried")
    if written is not None:
        lines.append(f"wrote {written}; next: strutwright check {written}")
    return "\n".join([*lines, GUIDANCE])


def _why(sized: Sized, code: str) -> list[str]:
    """Why a set that is proposed breaks a check all the same, where that is known."""
    return [f"      why it is left: {sized.why[code]}"] if code in sized.why else []


_COLUMNS: Mapping[str, tuple[tuple[str, int, tuple[str, ...]], ...]] = {
    STRUT: (
        ("arm at barrel", 21, ("arms.section.chord", "arms.section.thickness")),
        ("palm", 24, ("palm.outline.length", "palm.outline.width", "palm.thickness")),
    ),
    "flanged_housing": (
        ("wall, circle", 21, ("barrel.wall", "bolts.pattern.diameter")),
        ("flange", 24, ("flange.outline.diameter", "flange.thickness")),
    ),
    "let_in_housing": (("wall, length", 21, ("barrel.wall", "barrel.length")),),
    "rudder_shoe": (("boss wall, bush", 21, ("boss.wall", "bush.length")), ("plate", 24, ("plate.thickness",))),
    "shaft_hanger": (
        ("web", 21, ("web.length", "web.thickness")),
        ("wall, foot", 24, ("barrel.wall", "foot.thickness")),
    ),
}
"""What is told of a proposal beside weight and bolts: title, width of the column, sizes."""


def _drag(p: Proposal) -> str:
    return f", drag of the arms {p.drag_n:.1f} N at boat speed" if math.isfinite(p.drag_n) else ""


def _used(p: Proposal) -> str:
    return f"{100 * p.utilisation:.0f} %" if math.isfinite(p.utilisation) else "-"


def _size(p: Proposal, unit: str, *paths: str) -> str:
    per = INCH_MM if unit == "in" else 1.0
    return " x ".join(f"{p.sizes[path] / per:.5g}" for path in paths if path in p.sizes) or "as given"


def _bolts(p: Proposal) -> str:
    return f"{p.bolts} x {p.choice.bolt}"


def _verdict(p: Proposal) -> str:
    from strutwright.models.finding import Verdict

    if not p.passes:
        return "fails"
    warnings = p.count(Verdict.WARN)
    if p.left_out and not warnings:
        return "in part"
    return "passes" if not warnings else f"{warnings} warning{'s' if warnings > 1 else ''}"


def _plain(p: Proposal) -> dict[str, object]:
    used = round(p.utilisation, 6) if math.isfinite(p.utilisation) else None
    return {
        "weight_kg": round(p.weight_kg, 6),
        "drag_n": round(p.drag_n, 6) if math.isfinite(p.drag_n) else None,
        "governing": p.governing,
        "utilisation": used,
        "verdict": _verdict(p),
        "bolt": p.choice.bolt,
        "bolts": p.bolts,
        "prep": p.choice.prep,
        "head": p.choice.kind,
        "sizes_mm": {path: round(v, 6) for path, v in sorted(p.sizes.items())},
    }


def run_study(arguments: argparse.Namespace) -> int:
    """Run a study and write its table and plots."""
    from strutwright.cli import find, limits_in, limits_sha256
    from strutwright.exporters.files.outdir import OutputFolderError, slug
    from strutwright.exporters.web.study import table_of, write_study
    from strutwright.job import run_checks
    from strutwright.models.finding import Verdict, lacking
    from strutwright.models.resolve import resolve
    from strutwright.models.sizing.axes import StudyError, axis
    from strutwright.models.sizing.study import study
    from strutwright.params.loader import load

    path, limits = find(arguments.file), limits_in(arguments.limits)
    with faults_of(arguments.file):
        loaded = load(path)
        resolved = resolve(loaded, limits)
    folder = Path(arguments.out or Path("out") / f"{slug(resolved.strut.identity.name)}-study")
    try:
        axes = [axis(text, loaded.said.units, loaded.said.part) for text in arguments.vary]
        with _spread_over(arguments) as spread:
            found, files, said = write_study(
                folder,
                lambda parts: study(
                    loaded,
                    resolved,
                    axes,
                    limits,
                    passing=arguments.passing,
                    summed_by=spread,
                    tell=table_of(axes, loaded.said.units),
                    told=parts,
                ),
                version=__version__,
                parameters_sha256=hashlib.sha256(path.read_bytes()).hexdigest(),
                limits_sha256=limits_sha256(arguments.limits),
            )
    except (StudyError, OutputFolderError) as error:
        raise UserError(str(error)) from None
    not_said = found.not_said(run_checks(resolved, limits=limits))
    wanting = lacking(not_said)
    tell = _study_as_json if arguments.json else _tell_study
    tell(found, folder, files, said, wanting or ())
    best = found.lightest()
    shown = best if best is not None else found.nearest()
    if shown is None:
        return Exit.FAILURE
    unjudged = any(f.verdict is Verdict.NOT_CHECKED for f in not_said)
    return (Exit.PASS, Exit.WARNINGS, Exit.FAILURE)[max(int(found.judged.level[shown]), int(unjudged))]


def _spread_over(arguments: argparse.Namespace) -> contextlib.AbstractContextManager[Spread | None]:
    """Give who works out the pieces of a study that keeps only sums, where others than this machine do. Raises
    UserError."""
    if arguments.scheduler is None:
        return contextlib.nullcontext()
    if arguments.passing:
        raise UserError("--scheduler: with --passing the work is done here; leave one of the two out")
    from strutwright.machines import spread_over

    return spread_over(arguments.scheduler)


def _study_as_json(
    found: Study, folder: Path, files: Mapping[str, str], said: Sequence[str], wanting: Sequence[str]
) -> None:
    """Print what a study found, and the files that it wrote, as JSON."""
    from strutwright.cli import say_json

    best, near = found.lightest(), found.nearest()
    say_json(
        {
            "set": found.name,
            "combinations": found.grid.count,
            "told_of": found.count,
            "folder": str(folder),
            "files": dict(files),
            "said": list(said),
            "lightest": None if best is None else _finite(found.row(best)),
            "nearest": None if near is None else _finite(found.row(near)),
            "every_combination": [list(f) for f in found.fixed],
            "not_said": list(wanting),
            "cannot_be_built": found.cannot,
            "left_out": found.left_out,
        }
    )


def _tell_study(
    found: Study, folder: Path, files: Mapping[str, str], said: Sequence[str], wanting: Sequence[str]
) -> None:
    """Print what a study found in words."""
    from strutwright.exporters.web.study import summary

    print(summary(found).rstrip())
    for sentence in (*said, *wanting):
        print(sentence)
    print(f"{len(files)} files in {folder}")


def _finite(row: dict[str, float | str]) -> dict[str, float | str | None]:
    """Return a row for JSON, which knows neither infinity nor what is not a number."""
    return {k: None if isinstance(v, float) and not math.isfinite(v) else v for k, v in row.items()}


# --- benchmark ------------------------------------------------------------------------------------------------------


def _tell_stages(stages: dict[str, float], *, as_json: bool) -> None:
    """Print microseconds of processor time to a candidate, stage -> them, and their sum."""
    from strutwright.cli import say_json

    if as_json:
        say_json(stages)
        return
    for name, each_us in (*stages.items(), ("all", sum(stages.values()))):
        print(f"{name:<24} {each_us:>6.2f} us of processor time to a candidate")


def run_benchmark(arguments: argparse.Namespace) -> int:
    """Time candidates through all the checks and print a table."""
    from strutwright.cli import find, limits_in, say_json
    from strutwright.models.sizing import benchmark
    from strutwright.params.loader import load

    if arguments.largest < benchmark.SMALLEST:
        raise UserError(f"--largest {arguments.largest}: give {benchmark.SMALLEST} candidates or more")
    if arguments.workers is not None and arguments.workers < 1:
        raise UserError(
            f"--workers {arguments.workers}: give at least 1 process, or leave it out for one to a processor"
        )
    limits = limits_in(arguments.limits)
    tell = None if arguments.json else lambda line: print(line, flush=True)
    with faults_of(arguments.file):
        loaded = load(find(arguments.file))
        if arguments.stages:
            _tell_stages(benchmark.stages(loaded, limits), as_json=arguments.json)
            return Exit.PASS
        rows = benchmark.run(loaded, arguments.largest, arguments.workers, tell, limits)
    if arguments.json:
        say_json([row.as_dict() for row in rows])
    sys.stdout.flush()
    return Exit.PASS
