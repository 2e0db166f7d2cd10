"""The whole job: checks, solids, outputs, measuring again, and one step that puts it all in place."""

from __future__ import annotations

import math
import shutil
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Literal, get_args

from strutwright import __version__
from strutwright.errors import Exit, UserError
from strutwright.models.finding import Finding, Standing, Verdict, not_checked, worst
from strutwright.models.resolve import Resolved
from strutwright.models.solids import watch
from strutwright.models.solids.watch import LOST_CODES, Lost, LostError
from strutwright.models.spec import Hand, Strut
from strutwright.params.words import Words, read, say
from strutwright.progress import Progress

if TYPE_CHECKING:
    from strutwright.guard import Guard, Tell
    from strutwright.models.solids import Built
    from strutwright.params.limits import Limits


@dataclass(frozen=True, slots=True)
class Order:
    """What a build is to do. out: folder or None for out/NAME; what: kinds of output; hand: as_written, port,
    starboard or both; step_units: mm or in; despite_failures: write although a check fails; limits: other limits than
    the shipped, and the SHA-256 of their file; quiet: no progress."""

    out: Path | None
    what: tuple[str, ...]
    hand: str = "as_written"
    step_units: str = "mm"
    despite_failures: bool = False
    limits: Limits | None = None
    limits_sha256: str = ""
    quiet: bool = True


@dataclass(frozen=True, slots=True)
class Outcome:
    """What a build did. folder: None when nothing was written; files: path within it -> what it is; kept: those of
    them that an earlier build of the same set had written; removed: kinds of earlier outputs that are gone; measured:
    whether a solid was measured again."""

    name: str
    folder: Path | None
    files: dict[str, str]
    findings: list[Finding]
    status: Exit
    kept: tuple[str, ...] = ()
    removed: tuple[str, ...] = ()
    measured: bool = False

    def as_dict(self) -> dict[str, object]:
        """Return plain data for JSON."""
        return {
            "set": self.name,
            "folder": None if self.folder is None else str(self.folder),
            "files": self.files,
            "kept": list(self.kept),
            "removed": list(self.removed),
            "measured_again": self.measured,
            "exit": int(self.status),
            "findings": [f.as_dict() for f in self.findings],
        }

    def summary(self) -> str:
        """Return the last words for a person."""
        if self.folder is None:
            return "nothing was written, because a check fails; `--despite-failures` writes all the same"
        lines = [f"{len(self.files)} files in {self.folder}"]
        if self.kept:
            lines[0] += f", {len(self.kept)} of them kept from an earlier build of the same parameters"
        if self.removed:
            lines.append(
                "removed, because they came from other parameters, limits or another version of the program: "
                f"{', '.join(self.removed)}"
            )
        if out := dict.fromkeys(
            read(f.what, "mm").partition(_LEFT_OUT)[0] for f in self.findings if f.group == OUTPUTS
        ):
            lines.append(f"left out, because of failures: {', '.join(out)}")
        if not self.measured:
            lines.append("no solid was written, so nothing was measured again")
        return "\n".join(lines)


OUTPUTS = "outputs"
"""Group of the failures over which one output is left out and all others are written."""
_LEFT_OUT = " left out: "


class _StopError(Exception):
    """Leave the output folder unfilled: a check fails."""


def run_checks(resolved: Resolved, hand: Hand | None = None, limits: Limits | None = None) -> list[Finding]:
    """Return every finding that needs no solid, for a hand (default: as written) and limits (default: shipped)."""
    from strutwright.models.checks import geometry_checks, said_hints
    from strutwright.models.checks.engineering import engineering_findings

    strut = resolved.of_hand(hand or resolved.strut.identity.hand)
    found = geometry_checks(strut, limits) + said_hints(resolved, limits)
    return found + engineering_findings(strut, resolved.said.loads)


def exit_for(findings: list[Finding]) -> Exit:
    """Return the exit status that tells how findings stand."""
    return {Verdict.FAIL: Exit.FAILURE, Verdict.WARN: Exit.WARNINGS}.get(worst(findings), Exit.PASS)


def hands_for(resolved: Resolved, wanted: str) -> tuple[Hand, ...]:
    """Return the hands to build. Raises UserError when the file cannot give them."""
    written = resolved.strut.identity.hand
    if wanted == "as_written":
        return resolved.hands()
    if written == "centre":
        raise UserError("--hand: this strut stands on the centre line and has no hand; leave the option out")
    if wanted == "both":
        return "port", "starboard"
    return ("port",) if wanted == "port" else ("starboard",)


def build_set(resolved: Resolved, source: Path, order: Order) -> Outcome:
    """Build every hand asked for, write the outputs and measure the solids again.

    Nothing reaches the output folder unless everything went well: it is filled beside its place and moved in one
    step. What an earlier build of the same parameters wrote there and this one does not make is kept. Raises UserError
    when the folder cannot be used.
    """
    from strutwright.exporters.files.manifest import Manifest, sha256, write_manifest
    from strutwright.exporters.files.outdir import OutputFolderError, keep_earlier, output_folder, slug
    from strutwright.guard import Guard

    name = slug(resolved.strut.identity.name)
    hands = hands_for(resolved, order.hand)
    folder = order.out if order.out is not None else Path("out") / name
    as_read = source.read_bytes()  # once: it may be edited while the build runs
    origin = Manifest(__version__, sha256(as_read), (), order.limits_sha256)
    progress = Progress(len(hands) * (3 + len(order.what)), quiet=order.quiet)
    findings: list[Finding] = []
    files: dict[str, str] = {}
    try:
        with output_folder(folder) as new, Guard() as guard:
            for hand in hands:
                own: list[Finding] = []
                try:
                    _one_hand(
                        _Job(
                            resolved,
                            resolved.of_hand(hand),
                            source.name,
                            origin.parameters_sha256,
                            order,
                            new,
                            files,
                            own,
                            progress,
                            guard,
                        )
                    )
                finally:
                    findings += (
                        own
                        if len(hands) == 1
                        else [replace(f, what=say("{hand}: {what}", hand=hand, what=f.what)) for f in own]
                    )
            (new / "parameters.yaml").write_bytes(as_read)
            files["parameters.yaml"] = "the parameter set, as read"
            made = {_kind_and_hand(path, what) for path, what in files.items()}
            kept, gone = keep_earlier(folder, new, files, origin, lambda e: _kind_and_hand(e.path, e.what) in made)
            files.update((e.path, e.what) for e in kept)
            write_manifest(
                new,
                files,
                version=origin.version,
                parameters_sha256=origin.parameters_sha256,
                limits_sha256=origin.limits_sha256,
            )
    except _StopError:
        return Outcome(name, None, {}, findings, Exit.FAILURE)
    except OutputFolderError as error:
        raise UserError(str(error)) from None
    finally:
        progress.end()
    removed = {
        kind if hand is None or hand in hands else f"{kind} of the {hand} strut"
        for kind, hand in (_kind_and_hand(e.path, e.what) for e in gone)
    }
    return Outcome(
        name,
        folder,
        dict(sorted(files.items())),
        findings,
        exit_for(findings),
        tuple(sorted(e.path for e in kept)),
        tuple(sorted(removed)),
        any(k == "solids" for k, _ in made),
    )


def _kind_and_hand(path: str, what: str) -> tuple[str, str | None]:
    """Return the kind of an output, as in STAGES, and its hand; ("other outputs", None) for those of other commands."""
    top, folder, _ = path.partition("/")
    hand = what.rpartition(", ")[2]
    kind = FOLDERS.get(top) if folder else "picture"
    return (kind, hand) if kind is not None and hand in get_args(Hand) else ("other outputs", None)


@dataclass(frozen=True, slots=True)
class _Job:
    """One hand of a build. guard: of the process that starts another for the kernel; None in that one."""

    resolved: Resolved
    strut: Strut
    parameters_name: str
    parameters_sha256: str
    order: Order
    folder: Path
    files: dict[str, str]
    findings: list[Finding]
    progress: Progress | _Telling
    guard: Guard | None

    @property
    def stem(self) -> str:
        """How the names of files begin that are no picture of the part in its own size."""
        from strutwright.exporters.files.naming import stem

        return stem(self.strut.identity)

    def finished(self, part: str = "") -> str:
        """The name of a file of a part in its finished size."""
        from strutwright.exporters.files.naming import finished

        return finished(self.strut, part)

    def place(self, path: str, what: str) -> Path:
        """Return where a file goes, and note it for the manifest."""
        self.files[path] = f"{what}, {self.strut.identity.hand}"
        target = self.folder / path
        target.parent.mkdir(parents=True, exist_ok=True)
        return target

    def note_all(self, folder: str, made: dict[str, str]) -> None:
        """Note files that a maker has written into one of the folders."""
        for name, what in made.items():
            self.files[f"{folder}/{name}"] = f"{what}, {self.strut.identity.hand}"

    def stop_if_failing(self) -> None:
        if not self.order.despite_failures and any(f.fails and f.group != OUTPUTS for f in self.findings):
            raise _StopError

    def left_out(self, code: str, what: str, why: Words, advice: Words, parameter: str) -> None:
        """Note the failure over which an output is left out."""
        said = say(f"{{what}}{_LEFT_OUT}{{why}}", what=what, why=why)
        self.findings.append(
            Finding(
                code,
                Verdict.FAIL,
                said,
                math.nan,
                math.nan,
                "",
                "text",
                math.nan,
                "",
                Standing.GEOMETRY,
                advice,
                parameter,
                OUTPUTS,
            )
        )

    def stand_at(self, stand: _Stand) -> None:
        """Take over what was made and found so far, and clear away what is left of anything else."""
        self.findings[:] = stand.findings
        self.files.clear()
        self.files.update(stand.files)
        for path in sorted(self.folder.rglob("*"), reverse=True):
            if not path.is_dir():
                if path.relative_to(self.folder).as_posix() not in self.files:
                    path.unlink()
            elif not any(path.iterdir()):
                path.rmdir()

    def stand(self, *ended: str) -> _Stand:
        """Return how the job stands when these stages have ended."""
        return _Stand(ended, dict(self.files), list(self.findings))


@dataclass(frozen=True, slots=True)
class _Stand:
    """How far a hand has come. ended: stages, with "" for the solids; files, findings: up to then, of all hands."""

    ended: tuple[str, ...]
    files: dict[str, str]
    findings: list[Finding]


@dataclass(frozen=True, slots=True)
class _Telling:
    """Progress in the process that has the kernel."""

    tell: Tell

    def step(self, text: str) -> None:
        """Have the other process show the step that begins now."""
        self.tell(text)


def _one_hand(job: _Job) -> None:
    """Make everything of one hand; all that may call the kernel in a process of its own."""
    from strutwright.guard import TooOftenLost

    guard = job.guard
    assert guard is not None
    guard.start()  # it loads the kernel meanwhile
    job.progress.step("checks")
    job.findings.extend(run_checks(job.resolved, job.strut.identity.hand, job.order.limits))
    job.stop_if_failing()
    stand = job.stand()

    def hear(told: str | _Stand) -> None:
        nonlocal stand
        if isinstance(told, str):
            job.progress.step(told)
        else:
            stand = told
            job.findings[:] = told.findings
            job.files.update(told.files)

    def work(stages: tuple[str, ...], known: tuple[Lost, ...] = ()) -> None:
        assert guard is not None
        away = replace(job, progress=_Telling(print), guard=None)
        guard.run(_with_kernel, lambda: (away, stand, stages), hear, lambda: job.stand_at(stand), known)

    stages = tuple(kind for kind in STAGES if kind in job.order.what)
    known: tuple[Lost, ...] = ()
    while stages:
        try:
            return work(stages, known)
        except TooOftenLost as error:
            known, more = error.lost, tuple(kind for kind in stages if kind in PLAIN and kind not in stand.ended)
            stages, out = (more, set(stages) - set(more)) if "" in stand.ended and more != stages else ((), set(stages))
            _give_up(job, known, stand.ended, out)
            stand = job.stand(*stand.ended)


def _give_up(job: _Job, lost: tuple[Lost, ...], ended: tuple[str, ...], kinds: set[str]) -> None:
    """Tell what the kernel was lost over, and which kinds of output are left out as it was lost too often."""
    for x in lost:
        if not any(f" at {x.what} (" in read(f.what, "mm") for f in job.findings):
            job.findings.append(x.finding(OUTPUTS, f"{x.what}{_LEFT_OUT}") if ended else x.finding("build"))
    job.stop_if_failing()
    for kind in STAGES:
        if kind in kinds and kind not in ended:
            job.left_out(
                "kernel_given_up",
                STAGES[kind][0],
                "the solid-modelling kernel was lost too often",
                "mend first what it was lost over",
                lost[-1].parameter,
            )


def _with_kernel(tell: Tell, job: _Job, stand: _Stand, stages: tuple[str, ...]) -> None:
    """Build the solids and make what the stages make, but for those that have ended; tell how the job stands."""
    from strutwright.models.solids import Built, build
    from strutwright.models.solids.boat import boat_findings

    job = replace(job, progress=_Telling(tell))
    ended = stand.ended
    job.progress.step("solids once more" if ended else "solids")
    try:
        with watch.step("the solids", "arms.section"):
            built = build(job.strut)
    except LostError as error:
        built = Built(job.stem, (), [error.lost.finding("build")], 0.0)

    def tell_stand(stage: str) -> None:
        nonlocal ended
        ended = (*ended, stage)
        tell(job.stand(*ended))
        job.stop_if_failing()

    if "" not in ended:
        job.findings.extend(built.findings)
        if built.parts:
            job.progress.step("boat beside the solids")
            try:
                with watch.step("the boat beside the solids", "propeller.hub_gap"):
                    job.findings.extend(boat_findings(job.strut, built.parts, job.order.limits))
            except LostError as error:
                job.findings.append(error.lost.finding("build"))
        tell_stand("")
    for kind in stages:
        if kind not in ended:
            job.progress.step(STAGES[kind][0])
            _make(job, built, kind)
            tell_stand(kind)


def _make(job: _Job, built: Built, kind: str) -> None:
    """Make one kind of output, or say why it is left out."""
    from strutwright.exporters.files.mesh import MeshError
    from strutwright.models.solids.kernel import refused

    text, make = STAGES[kind]
    before = job.stand()
    blame = built.parts[0].parameter if built.parts else "arms.section"
    if kind not in PLAIN and not any(p.kind in ("strut", "barrel") for p in built.parts):
        job.left_out(
            "solids_missing", text, "the strut itself could not be built", "mend the failures in building", blame
        )
        return
    try:
        with watch.step(f"the {text}", blame):
            make(job, built)
            return
    except LostError as error:
        job.stand_at(before)
        job.findings.append(error.lost.finding(OUTPUTS, f"{text}{_LEFT_OUT}"))
    except MeshError as error:
        job.stand_at(before)
        why, _, advice = str(error).partition("; ")
        job.left_out("mesh_not_closed", text, why, advice, error.parameter or blame)
    except Exception as error:
        # Makers count on whole solids.
        if not refused(error) and (built.sound or isinstance(error, (UserError, OSError))):
            raise
        job.stand_at(before)
        job.left_out(
            "kernel_failed",
            text,
            refused(error) or "not all of the solids were built",
            f"change {blame} a little, or mend the failures in building",
            blame,
        )


def _step_path(job: _Job) -> str:
    return f"solids/{job.finished()}.step"


def _solids(job: _Job, built: Built) -> None:
    """Write the STEP files, read the whole one back and hold it against the parameters."""
    from strutwright.exporters.files import step

    unit: Literal["mm", "in"] = "in" if job.order.step_units == "in" else "mm"
    step.write_assembly(
        job.place(_step_path(job), f"STEP of the whole strut, {unit}"), built.parts, job.finished(), unit
    )
    for part in built.parts:
        name = job.finished(part.name)
        step.write_part(job.place(f"solids/parts/{name}.step", f"STEP of the {part.name}, {unit}"), part, name, unit)
    from strutwright.exporters.inspect.remeasure import remeasure

    job.progress.step("measuring again")
    job.findings.extend(remeasure(job.folder / _step_path(job), job.strut, built.parts))


def _meshes(job: _Job, built: Built) -> None:
    from strutwright.exporters.files.mesh import write_glb, write_stl

    write_stl(job.place(f"meshes/{job.finished()}.stl", "mesh of the whole strut, mm"), built.parts)
    write_glb(job.place(f"meshes/{job.finished()}.glb", "mesh of the whole strut, metres"), built.parts)


def _outlines(job: _Job, built: Built) -> None:
    from strutwright.exporters.files.patterns import pattern_files

    for name, cut in sorted(pattern_files(job.strut).items()):
        cut.save(
            job.place(
                f"finished-size/{job.finished(name)}.dxf",
                f"true-scale DXF of the finished part: {name.replace('-', ' ')}",
            ),
            job.resolved.said.drawing.dxf,
        )


def _templates(job: _Job, built: Built) -> None:
    from strutwright.exporters.files.templates import template_files
    from strutwright.exporters.files.tiles import roll_pdf, tile_pdf
    from strutwright.models.shop.sides import DevelopmentError

    try:
        made = template_files(job.strut)
    except DevelopmentError as error:
        job.findings.append(
            not_checked(
                "templates_not_made", "rolled-out templates", f"not made: {error}", parameter="arms", group="templates"
            )
        )
        return
    said = job.resolved.said.drawing.paper or ("a4" if job.strut.file_units == "mm" else "letter")
    paper: Literal["A4", "Letter"] = "A4" if said == "a4" else "Letter"
    heading = f"{job.strut.identity.number}, revision {job.strut.identity.revision}"
    for name, cut in sorted(made.items()):
        words = name.replace("-", " ")
        cut.save(
            job.place(f"templates/{job.finished(name)}.dxf", f"1:1 template, DXF: {words}"),
            job.resolved.said.drawing.dxf,
        )
        for kind, pdf in (
            (paper.lower(), tile_pdf(cut, paper, f"{heading}: {words}")),
            ("roll", roll_pdf(cut, f"{heading}: {words}")),
        ):
            path = f"templates/{kind}/{job.finished(name)}.pdf"
            job.place(path, f"1:1 template, {kind} paper: {words}").write_bytes(pdf)


def _tables(job: _Job, built: Built) -> None:
    from strutwright.exporters.files.data_sheets import data_files

    for name, data in sorted(data_files(job.strut, built.parts).items()):
        job.place(f"tables/{job.stem}-{name}.csv", f"table: {name.replace('-', ' ')}").write_bytes(data)


def _sheets(job: _Job, built: Built) -> None:
    from strutwright.exporters.drawing.sheet import SheetFitError
    from strutwright.exporters.sheets import SheetContext
    from strutwright.exporters.sheets.render_set import write_sheets

    context = SheetContext(job.resolved, job.strut, built, job.parameters_sha256, __version__)
    (job.folder / "sheets").mkdir(exist_ok=True)
    try:
        job.note_all("sheets", write_sheets(job.folder / "sheets", context))
        job.findings.extend(lost.finding(OUTPUTS, f"{sheet}{_LEFT_OUT}") for sheet, lost in context.left_out)
    except SheetFitError as error:
        shutil.rmtree(job.folder / "sheets")
        job.findings.append(
            not_checked("sheets_not_made", "sheets", f"not drawn: {error}", parameter="drawing.sheets", group="sheets")
        )


def _foundry(job: _Job, built: Built) -> None:
    """Write the pattern set of a cast strut; a welded one has none."""
    if job.strut.construction != "cast":
        return
    from strutwright.exporters.files import foundry
    from strutwright.models.shop.foundry import FoundryError, foundry_settings
    from strutwright.models.solids.casting import build_pattern

    try:
        made = build_pattern(job.strut, foundry_settings(job.resolved))
    except FoundryError as error:
        job.findings.append(
            not_checked("pattern_not_made", "pattern set", str(error), parameter="pattern", group="pattern")
        )
        return
    if made is None:
        job.left_out(
            "pattern_not_made",
            STAGES["foundry"][0],
            "the kernel could not build its barrel",
            "change barrel.length a little",
            "barrel.length",
        )
        return
    wanting = [f for f in made.findings if f.code in (*LOST_CODES, "pattern_not_made")]
    for f in wanting:
        job.left_out(f.code, STAGES["foundry"][0], f.what, f.advice, f.parameter)
    if wanting:
        return
    job.findings.extend(foundry.findings(made))
    folder = job.folder / "pattern-size"
    folder.mkdir(exist_ok=True)
    job.note_all(
        "pattern-size",
        {
            path.relative_to(folder).as_posix(): what
            for path, what in foundry.write_foundry(folder, made, job.resolved.said.drawing.dxf).items()
        },
    )


def _picture(job: _Job, built: Built) -> None:
    from strutwright.exporters.web import frequency_picture
    from strutwright.exporters.web.picture import write_picture

    write_picture(job.place(f"{job.stem}.png", "picture of the whole strut"), built.parts)
    if frequency_picture.write_frequency_picture(job.folder / f"{job.stem}-frequencies.svg", job.strut):
        job.place(f"{job.stem}-frequencies.svg", "natural frequencies against shaft speed")


def _report(job: _Job, built: Built) -> None:
    from strutwright.exporters.web import report
    from strutwright.models import cautions
    from strutwright.models.checks.strength.load_cases import load_table
    from strutwright.models.metals import mass_kg

    identity = job.strut.identity
    # A heel bush is of the shop's choice and has no weight here.
    weights = [
        report.Weight(p.name, p.material, p.volume_mm3, mass)
        for p in built.parts
        if (mass := mass_kg(p.volume_mm3, p.material)) is not None
    ]
    data = report.Report(
        name=identity.name,
        drawing_number=identity.number,
        revision=identity.revision,
        hand=identity.hand,
        units=job.strut.file_units,
        version=__version__,
        parameters_name=job.parameters_name,
        parameters_sha256=job.parameters_sha256,
        findings=tuple(job.findings),
        values=job.resolved.records,
        weights=tuple(weights),
        cautions=cautions.for_strut(job.strut),
        loads=tuple(load_table(job.strut, job.resolved.said.loads)),
    )
    for ending, text in (
        ("txt", report.report_text(data)),
        ("json", report.report_json(data)),
        ("html", report.report_html(data)),
    ):
        job.place(f"report/{job.stem}.{ending}", "report").write_text(text, encoding="utf-8", newline="\n")


STAGES: dict[str, tuple[str, Callable[[_Job, Built], None]]] = {
    "solids": ("STEP files", _solids),
    "meshes": ("meshes", _meshes),
    "outlines": ("true-scale DXF", _outlines),
    "templates": ("templates", _templates),
    "tables": ("tables", _tables),
    "sheets": ("sheets", _sheets),
    "foundry": ("pattern set", _foundry),
    "picture": ("picture", _picture),
    "report": ("report", _report),
}
"""What a build writes, in order: name -> (words for the progress line, maker). The report comes last: it tells all."""

PLAIN = ("outlines", "templates", "tables", "report")
"""The stages that can do without the solids."""

FOLDERS = {**{kind: kind for kind in STAGES}, "finished-size": "outlines", "pattern-size": "foundry"}
"""Which kind of output each folder holds; pictures lie beside the folders."""
