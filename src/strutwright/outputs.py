"""One hand of a build: the kinds of output in order, and how each is made."""

from __future__ import annotations

import re
import shutil
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from strutwright import __version__
from strutwright.errors import UserError
from strutwright.models.families import called, in_own_words, plain
from strutwright.models.finding import Finding, Verdict, in_words, not_checked
from strutwright.models.resolve import Resolved
from strutwright.models.solids import watch
from strutwright.models.solids.watch import LOST_CODES, LostError
from strutwright.models.spec import Strut
from strutwright.params.part_kinds import STRUT
from strutwright.params.words import Words
from strutwright.progress import Progress

if TYPE_CHECKING:
    from strutwright.exporters.sheets import SheetContext
    from strutwright.guard import Guard, Tell
    from strutwright.kept import Earlier, Kept
    from strutwright.models.shop.draft import DraftRow
    from strutwright.models.solids import Built
    from strutwright.models.solids.casting import PatternSet
    from strutwright.models.tolerance_answers import Answers
    from strutwright.params.limits import Limits

ASIDE = ".aside"
"""Folder within the outputs, while they are made, of what another process makes of them."""
OUTPUTS = "outputs"
"""Group of the failures over which one output is left out and all others are written."""


class StopError(Exception):
    """Leave the output folder unfilled: a check fails."""


@dataclass(frozen=True, slots=True, kw_only=True)
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


@dataclass(frozen=True, slots=True, kw_only=True)
class OneHand:
    """One hand of a build. guard: of the process that starts another for the kernel; None in that one. kept: what
    earlier builds of this process made, None where nothing is kept. second: as guard, of one more process that makes
    some of the stages meanwhile."""

    resolved: Resolved
    strut: Strut
    parameters_name: str
    parameters_sha256: str
    order: Order
    folder: Path
    files: dict[str, str]
    findings: list[Finding]
    progress: Progress | Telling
    guard: Guard | None
    kept: Kept | None = None
    second: Guard | None = None

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
            raise StopError

    def left_out(self, code: str, what: str, why: Words, advice: Words, parameter: str) -> None:
        """Note the failure over which an output is left out."""
        told = in_words(code, Verdict.FAIL, why, advice, parameter, group=OUTPUTS)
        self.findings.append(told.leaving_out(what))

    def stand_at(self, stand: Stand) -> None:
        """Take over what was made and found so far, and clear away what is left of anything else."""
        self.findings[:] = stand.findings
        self.files.clear()
        self.files.update(stand.files)
        for path in sorted(self.folder.rglob("*"), reverse=True):
            if ASIDE in path.relative_to(self.folder).parts:
                continue
            if not path.is_dir():
                if path.relative_to(self.folder).as_posix() not in self.files:
                    path.unlink()
            elif not any(path.iterdir()):
                path.rmdir()

    def stand(self, *ended: str) -> Stand:
        """Return how the job stands when these stages have ended."""
        return Stand(ended, dict(self.files), list(self.findings))


@dataclass(frozen=True, slots=True)
class Stand:
    """How far a hand has come. ended: stages, with "" for the solids; files, findings: up to then, of all hands."""

    ended: tuple[str, ...]
    files: dict[str, str]
    findings: list[Finding]

    def since(self, before: Stand) -> tuple[list[Finding], dict[str, str]]:
        """Return what the stage that ended last found and wrote, before it the job stood as told."""
        return (
            self.findings[len(before.findings) :],
            {path: what for path, what in self.files.items() if before.files.get(path) != what},
        )


@dataclass(frozen=True, slots=True)
class Telling:
    """Progress in the process that has the kernel."""

    tell: Tell

    def step(self, text: str) -> None:
        """Have the other process show the step that begins now."""
        self.tell(text)


def with_kernel(
    tell: Tell, job: OneHand, stand: Stand, stages: tuple[str, ...], earlier: Mapping[str, Earlier] | None = None
) -> None:
    """Build the solids and make what the stages make, but for those that have ended; tell how the job stands.

    earlier: what builds before this one made of the same things, which is not made again; the solids are then
    remembered. None where nothing is kept.
    """
    job = replace(job, progress=Telling(tell))
    ended = stand.ended
    built = _built(job, "solids once more" if ended else "solids", remembered=earlier is not None)

    def tell_stand(stage: str) -> None:
        nonlocal ended
        ended = (*ended, stage)
        tell(job.stand(*ended))
        job.stop_if_failing()

    for kind in ("", *stages):
        if kind in ended:
            continue
        if kind:
            job.progress.step(STAGES[kind][0])
        if not (earlier and kind in earlier and earlier[kind].put(job)):
            make_kind(job, built, kind) if kind else _beside_boat(job, built)
        tell_stand(kind)


def _built(job: OneHand, told: str, *, remembered: bool) -> Built:
    """Build the solids, as told; remembered: keep them for the next build here, or take those of the last."""
    from strutwright.models.solids import Built, build

    def make() -> Built:
        job.progress.step(told)
        with watch.step("the solids", "arms.section"):
            return build(job.strut, job.order.limits)

    try:
        if not remembered:
            return make()
        from strutwright.kept import SOLIDS, shape_of

        return SOLIDS.of((shape_of(job.strut), job.order.limits), make)
    except LostError as error:
        return Built(job.stem, (), [error.lost.finding("build")], 0.0)


def _beside_boat(job: OneHand, built: Built) -> None:
    """Note what was found in building the solids, and of the boat beside them."""
    from strutwright.models.solids.boat import boat_findings

    job.findings.extend(built.findings)
    if not built.parts:
        return
    job.progress.step("boat beside the solids")
    try:
        with watch.step("the boat beside the solids", "propeller.hub_gap"):
            job.findings.extend(boat_findings(job.strut, built.parts, job.order.limits))
    except LostError as error:
        job.findings.append(error.lost.finding("build"))


def make_kind(job: OneHand, built: Built, kind: str) -> None:
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
        job.findings.append(error.lost.finding(OUTPUTS).leaving_out(text))
    except MeshError as error:
        job.stand_at(before)
        job.left_out("mesh_not_closed", text, error.why, error.advice, error.parameter or blame)
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


def _step_path(job: OneHand) -> str:
    return f"solids/{job.finished()}.step"


def _solids(job: OneHand, built: Built) -> None:
    """Write the STEP files, read the whole one back and hold it against the parameters."""
    from strutwright.exporters.files import step
    from strutwright.exporters.inspect.written import write_and_measure

    unit: Literal["mm", "in"] = "in" if job.order.step_units == "in" else "mm"
    whole = job.place(_step_path(job), f"STEP of the whole {called(job.strut)}, {unit}")
    job.progress.step("measuring again")
    again, curves = write_and_measure(whole, built.parts, job.finished(), unit, job.strut, job.order.limits)
    job.findings.extend(in_own_words(f, job.strut.family) for f in again)
    for part in built.parts:
        name = job.finished(part.name)
        path = job.place(f"solids/parts/{name}.step", f"STEP of the {part.name}, {unit}")
        step.write_part(path, part, name, unit, curves=curves)
    _script(job)


def _script(job: OneHand) -> None:
    """Write the script that builds the same solids with cadquery alone."""
    from strutwright.exporters.script.write import script
    from strutwright.params.limits import standard

    text = script(job.strut, job.order.limits or standard(), job.parameters_name, __version__)
    path = job.place(f"solids/{job.finished('script')}.py", "script that builds the same solids with cadquery alone")
    path.write_text(text, encoding="utf-8", newline="\n")


def _meshes(job: OneHand, built: Built) -> None:
    from strutwright.exporters.files.mesh import write_glb, write_stl

    write_stl(job.place(f"meshes/{job.finished()}.stl", f"mesh of the whole {called(job.strut)}, mm"), built.parts)
    write_glb(job.place(f"meshes/{job.finished()}.glb", f"mesh of the whole {called(job.strut)}, metres"), built.parts)


def _outlines(job: OneHand, built: Built) -> None:
    from strutwright.exporters.files.patterns import pattern_files

    for name, cut in sorted(pattern_files(job.strut).items()):
        cut.save(
            job.place(
                f"finished-size/{job.finished(name)}.dxf",
                f"full-size DXF of the finished part: {plain(name.replace('-', ' '), job.strut.family)}",
            ),
            job.resolved.said.drawing.dxf,
        )


def _templates(job: OneHand, built: Built) -> None:
    from strutwright.exporters.files.templates import template_files
    from strutwright.exporters.files.tiles import roll_pdf, tile_pdf
    from strutwright.models.bench.installation import that_count, torque_words
    from strutwright.models.shop.sides import DevelopmentError

    try:
        made = template_files(job.strut, torque_words(that_count(job.findings), job.strut.file_units))
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
        words = plain(name.replace("-", " "), job.strut.family)
        cut.save(
            job.place(f"templates/{job.finished(name)}.dxf", f"full-size template, DXF: {words}"),
            job.resolved.said.drawing.dxf,
        )
        for kind, pdf in (
            (paper.lower(), tile_pdf(cut, paper, f"{heading}: {words}")),
            ("roll", roll_pdf(cut, f"{heading}: {words}")),
        ):
            path = f"templates/{kind}/{job.finished(name)}.pdf"
            job.place(path, f"full-size template, {kind} paper: {words}").write_bytes(pdf)


def _tables(job: OneHand, built: Built) -> None:
    from strutwright.exporters.files.data_sheets import data_files
    from strutwright.exporters.files.naming import own_name

    for name, data in sorted(data_files(job.strut, built.parts, job.order.limits).items()):
        own = own_name(job.strut, name)
        job.place(f"tables/{job.stem}-{own}.csv", f"table: {own.replace('-', ' ')}").write_bytes(data)


def _context(job: OneHand, built: Built) -> SheetContext:
    """What the sheets of the job share."""
    from strutwright.exporters.sheets import SheetContext
    from strutwright.models.bench.installation import that_count
    from strutwright.params.limits import standard

    limits = job.order.limits or standard()
    found = that_count(job.findings)
    return SheetContext(
        job.resolved, job.strut, built, job.parameters_sha256, __version__, limits=limits, findings=found
    )


def _sheets(job: OneHand, built: Built) -> None:
    from strutwright.exporters.drawing.sheet import SheetFitError
    from strutwright.exporters.sheets.render_set import write_sheets

    context = _context(job, built)
    (job.folder / "sheets").mkdir(exist_ok=True)
    try:
        job.note_all("sheets", write_sheets(job.folder / "sheets", context))
        job.findings.extend(lost.finding(OUTPUTS).leaving_out(sheet) for sheet, lost in context.left_out)
    except SheetFitError as error:
        shutil.rmtree(job.folder / "sheets")
        job.findings.append(
            not_checked("sheets_not_made", "sheets", f"not drawn: {error}", parameter="drawing.sheets", group="sheets")
        )


def _foundry(job: OneHand, built: Built) -> None:
    """Write the pattern set of a cast strut; a welded one has none."""
    if job.strut.construction != "cast":
        return
    from strutwright.exporters.files import foundry
    from strutwright.models.shop.foundry import FoundryError, foundry_settings
    from strutwright.models.solids.casting import build_pattern

    try:
        made = build_pattern(job.strut, foundry_settings(job.resolved), job.order.limits)
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
    if wanting:
        job.findings.extend(replace(f, group=OUTPUTS).leaving_out(STAGES["foundry"][0]) for f in wanting)
        return
    rows = foundry.draft_rows(made)
    job.findings.extend(in_own_words(f, job.strut.family) for f in foundry.findings(made, rows))
    folder = job.folder / "pattern-size"
    folder.mkdir(exist_ok=True)
    written = foundry.write_foundry(folder, made, rows, job.resolved.said.drawing.dxf)
    job.note_all("pattern-size", {path.relative_to(folder).as_posix(): what for path, what in written.items()})
    _founder_sheets(job, built, made, rows)


def _founder_sheets(job: OneHand, built: Built, made: PatternSet, rows: Sequence[DraftRow]) -> None:
    """Write the founder's sheets beside the pattern set."""
    from strutwright.exporters.drawing.sheet import SheetFitError
    from strutwright.exporters.sheets.render_set import write_founder_sheets

    try:
        with watch.step("the founder's sheets", "pattern"):
            job.note_all(
                "pattern-size", write_founder_sheets(job.folder / "pattern-size", _context(job, built), made, rows)
            )
    except LostError as error:
        job.findings.append(error.lost.finding(OUTPUTS).leaving_out("founder's sheets"))
    except SheetFitError as error:
        job.findings.append(
            not_checked(
                "founder_sheets_not_made",
                "the founder's sheets",
                f"not drawn: {error}",
                parameter="drawing.sheets",
                group="sheets",
            )
        )


def _picture(job: OneHand, built: Built) -> None:
    from strutwright.exporters.web import frequency_picture, response_picture, tolerances
    from strutwright.exporters.web.picture import write_picture
    from strutwright.models.checks.vibration.response import response_curve

    write_picture(job.place(f"{job.stem}.png", f"picture of the whole {called(job.strut)}"), built.parts)
    if job.strut.family != STRUT:
        return  # the curves are those of arms on a hull
    if frequency_picture.write_frequency_picture(
        job.folder / f"{job.stem}-frequencies.svg", job.strut, job.order.limits
    ):
        job.place(f"{job.stem}-frequencies.svg", "natural frequencies against shaft speed")
    found = response_curve(job.strut, job.resolved.said.loads, job.order.limits)
    if found is not None:
        path = job.place(f"{job.stem}-response.svg", "answer of the strut to a lost blade, unbalance and pulses")
        response_picture.write_response_picture(path, job.strut.identity.name, found, job.strut.file_units)
    if (stack := _answers(job)) is not None:
        picture = tolerances.picture(job.strut.identity.name, stack)
        picture.write(job.place(f"{job.stem}-tolerances.svg", "shares of the tolerances from hull to shaft"))


def _view(job: OneHand, built: Built) -> None:
    """Write the model that the job's page shows."""
    from strutwright.exporters.web.model import write_model
    from strutwright.exporters.web.view_page import FOLDER, MODEL

    write_model(job.place(f"{FOLDER}/{job.stem}.js", MODEL), job.stem, job.strut, built.parts)


def _report(job: OneHand, built: Built) -> None:
    from strutwright.exporters.web import report
    from strutwright.models import cautions
    from strutwright.models.checks.strength.load_table import load_table
    from strutwright.models.metals import mass_kg
    from strutwright.models.working_list import from_memory
    from strutwright.params import readings
    from strutwright.params.limits import standard
    from strutwright.params.words import read

    identity, own = job.strut.identity, partial(plain, family=job.strut.family)
    # A heel bush is of the shop's choice and has no weight here.
    weights = [
        report.Weight(own(p.name), p.material, p.volume_mm3, mass)
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
        cautions=tuple(plain(c, job.strut.family) for c in cautions.for_all_work(job.strut)),
        loads=tuple(load_table(job.strut, job.resolved.said.loads, job.order.limits)),
        fatigue=_fatigue(job),
        from_memory=tuple(
            (str(i.count), own(i.name), i.value, own(read(i.source, job.strut.file_units)))
            for i in from_memory(job.findings, job.order.limits or standard())
        ),
        confirmed=tuple((r.called, f"{r.against} ({r.by}, {r.date})") for r in readings.current().listed()),
        tolerances=_answers(job),
    )
    for ending, text in (
        ("txt", report.report_text(data)),
        ("json", report.report_json(data)),
        ("html", report.report_html(data)),
    ):
        job.place(f"report/{job.stem}.{ending}", "report").write_text(text, encoding="utf-8", newline="\n")
    _summary(job, built)


def _summary(job: OneHand, built: Built) -> None:
    """Write the summary of one page."""
    from strutwright.exporters.bench.paper import pdf_of
    from strutwright.exporters.drawing.sheet import SheetFitError
    from strutwright.exporters.sheets.summary import summary_sheet

    hand = job.strut.identity.hand
    sheets = {
        path: int(number)
        for path, what in job.files.items()
        if path.startswith("sheets/") and what.endswith(f", {hand}")
        for number in re.findall(r"^sheet (\d+), ", what)
    }
    try:
        made = pdf_of([summary_sheet(_context(job, built), job.findings, sheets)], f"{job.stem}, summary")
    except SheetFitError as error:
        why = f"not drawn: {error}"
        job.findings.append(not_checked("sheets_not_made", "summary", why, parameter="drawing.paper", group="sheets"))
    else:
        job.place(f"report/{job.stem}-summary.pdf", "summary of the job on one page").write_bytes(made)


def _fatigue(job: OneHand) -> tuple[Mapping[str, object], ...]:
    """The table of fatigue; of a part that has no root there is none."""
    from strutwright.models.checks.strength.fatigue import fatigue_table

    return tuple(fatigue_table(job.strut, job.resolved.said.loads, job.order.limits))


def _answers(job: OneHand) -> Answers | None:
    """What the tolerances from hull to shaft come to; None of a part that stands on no hull."""
    if job.strut.family != STRUT:
        return None
    from strutwright.models.inputs import Inputs
    from strutwright.models.tolerance_answers import answers

    return answers(Inputs.from_strut(job.strut, job.resolved.said.loads, limits=job.order.limits))


STAGES: dict[str, tuple[str, Callable[[OneHand, Built], None]]] = {
    "solids": ("STEP files", _solids),
    "meshes": ("meshes", _meshes),
    "outlines": ("full-size DXF", _outlines),
    "templates": ("templates", _templates),
    "tables": ("tables", _tables),
    "sheets": ("sheets", _sheets),
    "foundry": ("pattern set", _foundry),
    "picture": ("picture", _picture),
    "view": ("model on the page", _view),
    "report": ("report", _report),
}
"""What a build writes, in order: name -> (words for the progress line, maker). The report comes last: it tells all."""

PLAIN = ("outlines", "templates", "tables", "report")
"""The stages that can do without the solids."""

FOLDERS = {**{kind: kind for kind in STAGES}, "finished-size": "outlines", "pattern-size": "foundry"}
"""Which kind of output each folder holds; pictures lie beside the folders."""
