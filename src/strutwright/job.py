"""The whole job: checks, solids, outputs, measuring again, and one step that puts it all in place."""

from __future__ import annotations

import contextlib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, get_args

from strutwright import __version__
from strutwright.errors import Exit, UserError
from strutwright.exporters.web.job_page import PAGE
from strutwright.models.families import in_own_words
from strutwright.models.finding import Finding, Verdict, worst
from strutwright.models.resolve import Resolved
from strutwright.models.spec import Hand
from strutwright.one_hand import make
from strutwright.outputs import FOLDERS, OneHand, Order, StopError
from strutwright.params.words import say
from strutwright.progress import Progress

if TYPE_CHECKING:
    from strutwright.exporters.files.manifest import FileEntry, Manifest
    from strutwright.guard import Guard
    from strutwright.kept import Kept
    from strutwright.params.limits import Limits


@dataclass(frozen=True, slots=True, kw_only=True)
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
            return "nothing was written, because a check fails; `--despite-failures` writes anyway"
        lines = [f"{len(self.files)} files in {self.folder}"]
        if self.kept:
            lines[0] += f", {len(self.kept)} of them kept from an earlier build of the same parameters"
        if self.removed:
            lines.append(
                "removed, because they came from other parameters, limits or another version of the program: "
                f"{', '.join(self.removed)}"
            )
        if out := dict.fromkeys(f.left_out for f in self.findings if f.left_out):
            lines.append(f"left out, because of failures: {', '.join(out)}")
        if not self.measured:
            lines.append("no solid was written, so nothing was measured again")
        lines.append(f"open {self.folder / PAGE} in a browser: for each person the files that are theirs")
        return "\n".join(lines)


def run_checks(resolved: Resolved, hand: Hand | None = None, limits: Limits | None = None) -> list[Finding]:
    """Return every finding that needs no solid, for a hand (default: as written) and limits (default: shipped)."""
    from strutwright.models.checks import geometry_checks, said_findings
    from strutwright.models.checks.engineering import engineering_findings

    strut = resolved.of_hand(hand or resolved.strut.identity.hand)
    found = geometry_checks(strut, limits) + said_findings(resolved, limits)
    found += engineering_findings(strut, resolved.said.loads, limits)
    return [in_own_words(f, strut.family) for f in found]


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


def build_set(
    resolved: Resolved,
    source: Path,
    order: Order,
    guard: Guard | None = None,
    kept: Kept | None = None,
    *,
    jobs: int = 1,
) -> Outcome:
    """Build every hand asked for, write the outputs and measure the solids again.

    Nothing reaches the output folder unless everything went well: it is filled beside its place and moved in one
    step. What an earlier build of the same parameters wrote there and this one does not make is kept. guard: that has
    the kernel loaded already, and keeps it; one of the build's own when left out. kept: what builds before this one
    made, which is not made again. jobs: processes for the kernel; two at most are used, beside a lent one none.
    Raises UserError when the folder cannot be used.
    """
    from strutwright.exporters.files.manifest import Manifest, sha256
    from strutwright.exporters.files.outdir import OutputFolderError, output_folder, slug

    name, hands = slug(resolved.strut.identity.name), hands_for(resolved, order.hand)
    folder = order.out or Path("out") / name
    digest = sha256(as_read := source.read_bytes())  # once: it may be edited while the build runs
    progress = Progress(len(hands) * (4 + len(order.what)), quiet=order.quiet)
    findings, files = list[Finding](), dict[str, str]()
    try:
        with output_folder(folder) as new, _guards(guard, progress, jobs if kept is None else 1) as (guard, second):
            whole = OneHand(
                resolved=resolved,
                strut=resolved.strut,
                parameters_name=source.name,
                parameters_sha256=digest,
                order=order,
                folder=new,
                files=files,
                findings=findings,
                progress=progress,
                guard=guard,
                kept=None if kept is None else kept.into(folder),
                second=second,
            )
            found = _every_hand(whole, hands)
            (new / "parameters.yaml").write_bytes(as_read)
            left, gone = _complete(whole, found, folder, Manifest(__version__, digest, (), order.limits_sha256))
    except StopError:
        return Outcome(name=name, folder=None, files={}, findings=findings, status=Exit.FAILURE)
    except OutputFolderError as error:
        raise UserError(str(error)) from None
    finally:
        progress.end()
    return Outcome(
        name=name,
        folder=folder,
        files=dict(sorted(files.items())),
        findings=findings,
        status=exit_for(findings),
        kept=tuple(sorted(e.path for e in left)),
        removed=tuple(sorted({_removed(*_kind_and_hand(e.path, e.what), hands) for e in gone})),
        measured=any(path.startswith("solids/") for path in files.keys() - {e.path for e in left}),
    )


@contextlib.contextmanager
def _guards(lent: Guard | None, progress: Progress, jobs: int) -> Iterator[tuple[Guard, Guard | None]]:
    """The guard that is lent, or one of the build's own and, where there are jobs for it, a second."""
    from strutwright.guard import Guard

    if lent is not None:
        yield lent, None
        return
    with Guard(shown=progress.part) as own, Guard() as second:
        yield own, second if jobs > 1 else None


def _complete(
    whole: OneHand, found: Mapping[Hand, Sequence[Finding]], folder: Path, origin: Manifest
) -> tuple[list[FileEntry], list[FileEntry]]:
    """Put beside what was made the set as read, what an earlier build left, the job's page and the manifest; return
    what is kept of earlier builds and what is gone. folder: where the earlier build is."""
    from strutwright.exporters.files.manifest import write_manifest
    from strutwright.exporters.files.outdir import keep_earlier

    new, files = whole.folder, whole.files
    files["parameters.yaml"] = "the parameter set, as read"
    made = {_kind_and_hand(path, what) for path, what in files.items()}
    left, gone = keep_earlier(folder, new, files, origin, lambda e: _kind_and_hand(e.path, e.what) in made)
    files.update((e.path, e.what) for e in left)
    _write_page(whole, found)
    write_manifest(new, files, **origin.origin())
    return left, gone


def _write_page(whole: OneHand, found: Mapping[Hand, Sequence[Finding]]) -> None:
    """Write the page of the job, and where there are models the script that shows them."""
    from strutwright.exporters.web.view_page import BUNDLE, FOLDER, SCRIPT

    new, files = whole.folder, whole.files
    (new / PAGE).write_text(_page(whole, found), encoding="utf-8", newline="\n")
    files[PAGE] = "the job's page: open it first"
    if any(path.startswith(f"{FOLDER}/") for path in files):
        (new / SCRIPT).write_bytes(BUNDLE.read_bytes())
        files[SCRIPT] = "script by which the page shows the models"


def _page(whole: OneHand, found: Mapping[Hand, Sequence[Finding]]) -> str:
    """Return the page of the job: the hands made now, and another that an earlier build left here."""
    from strutwright.exporters.web.job_page import OneHand as Shown
    from strutwright.exporters.web.job_page import page

    resolved, there = whole.resolved, {what.rpartition(", ")[2] for what in whole.files.values()}
    shown = []
    for hand in (hand for hand in get_args(Hand) if hand in found or hand in there):
        earlier = hand not in found
        findings = run_checks(resolved, hand, whole.order.limits) if earlier else found[hand]
        shown.append(
            Shown(strut=resolved.of_hand(hand), findings=tuple(findings), filled_in=resolved.filled_in, earlier=earlier)
        )
    return page(shown, whole.files)


def _every_hand(whole: OneHand, hands: Sequence[Hand]) -> dict[Hand, list[Finding]]:
    """Make one hand after the other and return what was found of each; the findings of the whole are those of all, also
    when one of them is given up."""
    found: dict[Hand, list[Finding]] = {}
    for hand in hands:
        found[hand] = []
        one = replace(whole, strut=whole.resolved.of_hand(hand), findings=found[hand])
        try:
            _one_hand(one)
        finally:
            whole.findings.extend(one.findings if len(hands) == 1 else [_of_hand(f, hand) for f in one.findings])
    return found


def _one_hand(one: OneHand) -> None:
    make(one, partial(run_checks, one.resolved, one.strut.identity.hand, one.order.limits))


def _of_hand(finding: Finding, hand: Hand) -> Finding:
    out = finding.left_out and f"{hand}: {finding.left_out}"
    return replace(finding, what=say("{hand}: {what}", hand=hand, what=finding.what), left_out=out)


def _kind_and_hand(path: str, what: str) -> tuple[str, str | None]:
    """Return the kind of an output, as in STAGES, and its hand; ("other outputs", None) for those of other commands."""
    top, folder, _ = path.partition("/")
    hand = what.rpartition(", ")[2]
    kind = FOLDERS.get(top) if folder else "picture"
    return (kind, hand) if kind is not None and hand in get_args(Hand) else ("other outputs", None)


def _removed(kind: str, hand: str | None, hands: tuple[Hand, ...]) -> str:
    return kind if hand is None or hand in hands else f"{kind} of the {hand} strut"
