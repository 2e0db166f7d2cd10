"""The command `stress`: a finite-element look at one load case of the built solid (an optional extra)."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING, Any

from strutwright import __version__
from strutwright.errors import Exit, NotSoundError, UserError

if TYPE_CHECKING:
    from strutwright.models.fem.mesh import SolidFile
    from strutwright.models.fem.study import Study
    from strutwright.params.limits import Limits

HELD = {"face": "the whole hull face", "bolts": "what the bolts clamp"}


def add_arguments(command: argparse.ArgumentParser) -> None:
    """Add the options of the command, but for FILE and --json."""
    from strutwright.cli import add_limits

    command.add_argument(
        "--case",
        metavar="NAME",
        default="weight",
        help="load case: weight (default), tip, blade, turn, power, seized, rudder, grounding, "
        "side_hinge, or the name of one of the file's own (a blow on a skeg or on one arm of a vee cannot be chosen)",
    )
    command.add_argument("--quiet", action="store_true", help="show no progress")
    command.add_argument("--out", metavar="FOLDER", help="folder for the outputs (default: out/NAME-stress-CASE)")
    command.add_argument(
        "--mesh-size",
        metavar="SIZE",
        help="greatest element size, such as 8 or `8 mm` (default: "
        "half the arm's thickness); roots are meshed finer by themselves",
    )
    command.add_argument(
        "--solver", choices=("calculix", "scikit-fem"), help="default: CalculiX where it is installed, else scikit-fem"
    )
    command.add_argument(
        "--held",
        choices=tuple(HELD),
        default="face",
        help="hold the palm by its whole hull face (default), or only where its bolts clamp",
    )
    add_limits(command)


def run(arguments: argparse.Namespace) -> int:
    """Mesh, solve, write; the exit status is 1 when elements and hand formulas do not agree."""
    from strutwright.cli import find, limits_in, resolved, say_json
    from strutwright.models.fem import FemError
    from strutwright.params.words import read, told

    found = resolved(arguments.file, limits_in(arguments.limits), "stress")
    size = _size(arguments.mesh_size, found.strut.file_units)
    source = find(arguments.file)
    try:
        return _run(arguments, found, source, size, say_json)
    except FemError as error:
        raise UserError(f"{read(told(error), found.strut.file_units)}\n  nothing was written") from None


def _size(text: str | None, units: Any) -> float | None:
    from strutwright.params.quantity import LENGTH, QuantityError, parse

    if text is None:
        return None
    try:
        return parse(text, LENGTH, units)
    except QuantityError as error:
        raise UserError(f"--mesh-size {text}: {error}; allowed: {error.allowed}") from None


def _solid(strut: Any, path: Path, limits: Limits | None) -> SolidFile:
    """Return the strut's one solid, in a file, made in a process of its own. Raises UserError, with what was wrong."""
    from strutwright.guard import Guard, TooOftenLost
    from strutwright.models.fem.study import body_file

    with Guard() as guard:
        try:
            body, wrong = guard.run(body_file, lambda: (strut, path, limits))
        except TooOftenLost as error:
            body, wrong = None, [x.finding("build") for x in error.lost]
    if body is None:
        words = "\n".join(f"  {f.about(strut.file_units)}: {f.to_do(strut.file_units)}" for f in wrong)
        raise NotSoundError(f"the solid could not be built as asked; nothing was written\n{words}")
    return body


def _run(arguments: argparse.Namespace, found: Any, source: Path, size_mm: float | None, say_json: Any) -> int:
    from strutwright.cli import limits_in, limits_sha256
    from strutwright.exporters.files.manifest import Manifest, sha256, write_manifest
    from strutwright.exporters.files.outdir import OutputFolderError, keep_earlier, output_folder, slug
    from strutwright.exporters.inspect import stress
    from strutwright.models.fem import study as fem
    from strutwright.models.fem.loads import find_case
    from strutwright.models.fem.mesh import check_gmsh
    from strutwright.models.fem.solvers import choose
    from strutwright.models.inputs import Inputs
    from strutwright.progress import Progress

    # What needs no solid is asked first, so that no one waits for a refusal.
    check_gmsh()
    solver = choose(arguments.solver)
    limits = limits_in(arguments.limits)
    case = find_case(Inputs.from_strut(found.strut, found.said.loads, limits=limits), arguments.case)
    stem = f"{slug(found.strut.identity.name)}-stress-{slug(case.key)}"
    folder = Path(arguments.out) if arguments.out is not None else Path("out") / stem
    as_read = source.read_bytes()  # once: it may be edited while this runs
    origin = Manifest(__version__, sha256(as_read), (), limits_sha256(arguments.limits))
    progress = Progress(5, quiet=arguments.json or arguments.quiet)
    try:
        with output_folder(folder) as new:
            progress.step("solid")
            body = _solid(found.strut, new / "solid.brep", limits)
            made = fem.study(
                found.strut,
                body,
                case.key,
                found.said.loads,
                size_mm=size_mm,
                solver=solver,
                held=arguments.held,
                step=progress.step,
                limits=limits,
            )
            body.path.unlink()
            progress.step("picture and files")
            files = _write(new, stem, made)
            (new / "parameters.yaml").write_bytes(as_read)
            files["parameters.yaml"] = "the parameter set, as read"
            kept, gone = keep_earlier(folder, new, files, origin, lambda entry: False)
            files |= {entry.path: entry.what for entry in kept}
            write_manifest(new, files, **origin.origin())
    except OutputFolderError as error:
        raise UserError(str(error)) from None
    finally:
        progress.end()
    removed = [entry.path for entry in gone]
    if arguments.json:
        say_json({**stress.summary(made), "folder": str(folder), "files": files, "removed": removed})
    else:
        print(stress.summary_text(made) + f"{len(files)} files in {folder}{_gone(removed)}")
    return Exit.WARNINGS if stress.doubts_about_movement(made) else Exit.PASS


def _gone(removed: list[str]) -> str:
    if not removed:
        return ""
    return (
        f"\nremoved {len(removed)} earlier files, because they came from other parameters, limits or another version "
        f"of the program: {', '.join(removed[:3])}{' ...' if len(removed) > 3 else ''}"
    )


def _write(folder: Path, stem: str, made: Study) -> dict[str, str]:
    """Write picture, mesh and summaries; return file name -> what it is."""
    from strutwright.exporters.inspect import stress

    stress.write_stress_picture(folder / f"{stem}.png", made)
    stress.write_vtu(folder / f"{stem}.vtu", made)
    (folder / f"{stem}.txt").write_text(stress.summary_text(made), encoding="utf-8", newline="\n")
    (folder / f"{stem}.json").write_text(stress.summary_json(made), encoding="utf-8", newline="\n")
    return {
        f"{stem}.png": "picture of the stress on the deformed strut",
        f"{stem}.vtu": "mesh, movements (mm) and stresses (MPa), VTK unstructured grid",
        f"{stem}.txt": "results beside the hand formulas",
        f"{stem}.json": "the same for programs",
    }
