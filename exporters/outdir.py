"""The output folder: filled beside its place and moved there whole, so that a failed job leaves the earlier one.

    with output_folder(Path("out")) as new:
        (new / "strut.step").write_bytes(...)
        write_manifest(new, ...)

The folder must hold its manifest when the block ends. A folder that is there already is replaced only when it is one
of ours: empty, or with a manifest of this program, and with no other files in it than the manifest names.
"""

from __future__ import annotations

import os
import shutil
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from strutwright.exporters.manifest import MANIFEST_NAME, ManifestError, read_manifest

_NEW = "strutwright-new"
_OLD = "strutwright-old"
_LITTER = frozenset({".DS_Store", "Thumbs.db", "desktop.ini"})
"""What file browsers leave behind in any folder."""
_STALE_S = 24 * 3600.0
_SHOWN = 3


class OutputFolderError(RuntimeError):
    """The output folder cannot be used; the text says why and what to do."""


def slug(text: str) -> str:
    """Return text as a safe part of a file name: lower-case ASCII letters and digits with single dashes.

    At most 60 characters; "part" when nothing is left. Accents and signs are dropped, so no name can leave its
    folder.
    """
    kept = "".join(c if c.isascii() and c.isalnum() else " " for c in text.lower())
    return "-".join(kept.split())[:60].strip("-") or "part"


@contextmanager
def output_folder(target: Path) -> Iterator[Path]:
    """Give a new empty folder to fill, and put it in place of `target` when the block ends without an error.

    target: the folder wanted; its parent is made when missing. On an error in the block the new folder is removed
    and `target` is as before. A process killed while it fills leaves `target` as before and a hidden folder beside
    it, which the next call removes. A process killed in the instant between the two renames leaves the earlier
    folder whole beside `target`; the next call puts it back. Raises OutputFolderError when `target` is not ours to
    replace.
    """
    target = Path(os.path.realpath(target))
    if not target.name:
        raise OutputFolderError(f"{target}: this is no folder for outputs; name one inside it")
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        _recover(target)
        _check_ours(target)
        new = _beside(target, f"{_NEW}-{os.getpid()}")
        shutil.rmtree(new, ignore_errors=True)
        new.mkdir()
    except OSError as error:
        raise OutputFolderError(f"{target}: cannot be written ({error.strerror}); choose another folder") from error
    try:
        yield new
        if not (new / MANIFEST_NAME).is_file():
            raise OutputFolderError(f"{target}: nothing was put in place, as the new folder has no {MANIFEST_NAME}")
        _swap(new, target)
    finally:
        shutil.rmtree(new, ignore_errors=True)


def _beside(target: Path, what: str) -> Path:
    return target.with_name(f".{target.name}.{what}")


def _swap(new: Path, target: Path) -> None:
    old = _beside(target, _OLD)
    try:
        if target.exists():
            target.rename(old)
        new.rename(target)
    except OSError as error:
        if old.exists() and not target.exists():
            old.rename(target)
        raise OutputFolderError(f"{target}: cannot be replaced ({error.strerror}); close what has it open") from error
    shutil.rmtree(old, ignore_errors=True)


def _recover(target: Path) -> None:
    """Put back an earlier folder left aside by a killed process, and remove what dead processes left."""
    old = _beside(target, _OLD)
    if old.exists():
        if target.exists():
            shutil.rmtree(old)
        else:
            old.rename(target)
    prefix = f".{target.name}.{_NEW}-"
    for left in sorted(target.parent.glob(f"{_escaped(prefix)}*")):
        pid = left.name[len(prefix) :]
        if pid.isdigit() and not _running(int(pid), left):
            shutil.rmtree(left, ignore_errors=True)


def _escaped(text: str) -> str:
    return "".join(f"[{c}]" if c in "*?[" else c for c in text)


def _running(pid: int, folder: Path) -> bool:
    """True when the process that fills the folder may still run."""
    if os.name != "posix":
        # Asking after a process is no portable question elsewhere; a day is longer than any job.
        return time.time() - folder.stat().st_mtime < _STALE_S
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return False
    except PermissionError:
        return True
    return True


def _check_ours(target: Path) -> None:
    if not target.exists():
        return
    if not target.is_dir():
        raise OutputFolderError(f"{target}: is a file; give a folder for the outputs")
    there = sorted(
        p.relative_to(target).as_posix() for p in target.rglob("*") if not p.is_dir() and p.name not in _LITTER
    )
    if not there:
        return
    try:
        known = {entry.path for entry in read_manifest(target / MANIFEST_NAME).files} | {MANIFEST_NAME}
    except ManifestError as error:
        raise OutputFolderError(
            f"{target}: holds files but no manifest of this program, so it is not overwritten; "
            f"choose an empty or a new folder"
        ) from error
    strange = [name for name in there if name not in known]
    if strange:
        more = f" and {len(strange) - _SHOWN} more" if len(strange) > _SHOWN else ""
        raise OutputFolderError(
            f"{target}: holds files that an earlier job did not write ({', '.join(strange[:_SHOWN])}"
            f"{more}); move them, or choose another folder"
        )
