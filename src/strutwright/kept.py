"""What earlier builds of one process made, so that the next one makes again only what something else was said of.

A stage is known by what it is made from. Where that is the same, its files are copied from the folder of the outputs,
provided that they still are what was written there, and its findings stand. The worker keeps the last solids besides.
"""

from __future__ import annotations

import pickle
import shutil
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from strutwright.exporters.files.manifest import sha256
from strutwright.models.bench.installation import that_count, torque_words
from strutwright.models.finding import Finding
from strutwright.models.spec import Strut
from strutwright.models.spec_boat import Duty, Protection
from strutwright.params import readings

if TYPE_CHECKING:
    from strutwright.models.solids import Built
    from strutwright.outputs import OneHand, Stand

MOST_SOLIDS = 2
"""Solids that a worker keeps: those of both hands."""
_OF_SOLIDS = ("", "solids", "meshes")
"""Stages for which it is the same what the boat does: they see the part alone. "" is the solids themselves."""
_AT_REST = Duty(
    power_kw=None,
    shaft_rpm=None,
    idle_rpm=None,
    boat_speed_kn=None,
    waterline_length_m=None,
    service="",
    rudder_area_m2=None,
)
_OF_PART = ("outlines", "templates", "tables", "picture", "view")
"""Stages that see the part, the boat's duty and the style of drawing; all others print what file they come from."""


@dataclass(frozen=True, slots=True)
class Earlier:
    """What a stage made. key: what it was made from; files: path -> what it is, and the SHA-256 of its bytes."""

    key: bytes
    folder: Path
    files: dict[str, tuple[str, str]]
    findings: tuple[Finding, ...]

    def put(self, job: OneHand) -> bool:
        """Have a job's folder filled with the files, if all are still there as they were; return whether it is so."""
        try:
            found = {path: (self.folder / path).read_bytes() for path in self.files}
        except OSError:
            return False
        if any(sha256(data) != self.files[path][1] for path, data in found.items()):
            return False
        for path in found:
            target = job.folder / path
            target.parent.mkdir(parents=True, exist_ok=True)
            shutil.copyfile(self.folder / path, target)
        job.files.update((path, what) for path, (what, _) in self.files.items())
        job.findings.extend(self.findings)
        return True


class Kept:
    """What the last builds of this process made, by hand and stage. folder: where the outputs go, and those of earlier
    builds are; taken: stages that were not made again."""

    def __init__(self) -> None:
        self._made: dict[tuple[str, str], Earlier] = {}
        self.folder, self.taken = Path(), set[str]()

    def into(self, folder: Path) -> Kept:
        """Return itself for outputs that go to a folder."""
        self.folder = folder
        return self

    def known(self, job: OneHand, stages: Sequence[str]) -> dict[str, Earlier]:
        """Return what is known of those stages of a job that would be made from the same again."""
        out = {}
        for kind in ("", *stages):
            earlier = self._made.get((job.strut.identity.hand, kind))
            if earlier is not None and earlier.folder == self.folder and earlier.key == key_of(job, kind):
                out[kind] = earlier
        self.taken |= out.keys() - {""}
        return out

    def note(self, job: OneHand, before: Stand, after: Stand) -> None:
        """Note what a stage made between two stands of a job: nothing where something was left out."""
        kind = after.ended[-1]
        findings, written = after.since(before)
        if any(f.left_out or f.lost_at for f in findings):
            self._made.pop((job.strut.identity.hand, kind), None)
            return
        files = {path: (what, sha256((job.folder / path).read_bytes())) for path, what in written.items()}
        self._made[job.strut.identity.hand, kind] = Earlier(key_of(job, kind), self.folder, files, tuple(findings))


def key_of(job: OneHand, kind: str) -> bytes:
    """Return what tells that from which a stage is made from other such things."""
    order, said = job.order, job.resolved.said
    common = (kind, order.limits, order.step_units, readings.current().sha256)
    if kind in _OF_SOLIDS:
        return _told((*common, shape_of(job.strut)))
    if kind in _OF_PART:
        torque = torque_words(that_count(job.findings), job.strut.file_units) if kind == "templates" else ""
        return _told((*common, job.strut, said.drawing, said.loads, torque))
    return _told((*common, job.strut, job.parameters_sha256, said))


def shape_of(strut: Strut) -> Strut:
    """Return the part without what the boat does and how it is protected, which makes no difference to a solid."""
    return replace(strut, duty=_AT_REST, protection=Protection())


def _told(what: object) -> bytes:
    return sha256(pickle.dumps(what)).encode()


class Solids:
    """The solids last made in a worker, newest last."""

    def __init__(self) -> None:
        self._made: dict[bytes, Built] = {}

    def of(self, what: object, make: Callable[[], Built]) -> Built:
        """Return what was made from the same, or make it. What was lost in making is not remembered."""
        key = _told(what)
        found = self._made.pop(key, None)
        if found is None:
            found = make()
        self._made[key] = found
        for old in list(self._made)[:-MOST_SOLIDS]:
            del self._made[old]
        return found


SOLIDS = Solids()
"""Those of this process, which is a worker."""
