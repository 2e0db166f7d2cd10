"""The output folder: filled beside its place and moved there whole, so that a failed job leaves the earlier one.

    with output_folder(Path("out")) as new:
        (new / "strut.step").write_bytes(...)
        write_manifest(new, ...)

The folder must hold its manifest when the block ends. A folder that is there already is replaced only when it is one
of ours: empty, with records (exporters.files.records) of a job not built yet, or with a manifest of this program, none
of the files that it names changed since, and nothing write-protected. Other files in it, a note or a record, are
somebody's own: they are carried into the new folder as they are. While one process fills it, another one is refused.
"""

from __future__ import annotations

import errno
import os
import shutil
import sys
import time
from collections.abc import Callable, Collection, Iterable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

try:
    import fcntl
    import resource
except ImportError:  # another kind of system: two builds into one folder are not kept apart there
    fcntl = resource = None  # type: ignore[assignment]

from strutwright.exporters.files import stop
from strutwright.exporters.files.manifest import (
    MANIFEST_NAME,
    FileEntry,
    Manifest,
    ManifestError,
    read_manifest,
    sha256,
)

RECORDS_NAME = "records"
"""The folder in a job's folder that holds what was measured, and what came of it."""
_A_RECORD = f"{RECORDS_NAME}/*/record.json"
_NEW = "strutwright-new"
_OLD = "strutwright-old"
_LOCK = "strutwright-lock"
_held: set[Path] = set()
"""Folders that this process fills: the system's locks do not keep a process from itself."""
_LITTER = frozenset({".DS_Store", "Thumbs.db", "desktop.ini"})
"""What file browsers leave behind in any folder."""
_STALE_S = 24 * 3600.0
_PROBE = 65_536
_NO_ROOM = {
    errno.ENOSPC: "the disk is full; free some room on it (a full build takes up to some hundred megabytes while it "
    "runs, once more than its outputs), or name a folder on another disk",
    errno.EDQUOT: "your share of the disk is used up; remove files of your own, or name a folder on another disk",
    errno.EFBIG: "a file would be larger than this session allows; raise the limit (`ulimit -f unlimited`), or leave "
    "the largest outputs out with `--only`",
}
_SHOWN = 3


class OutputFolderError(RuntimeError):
    """The output folder cannot be used; the text says why and what to do."""


def slug(text: str) -> str:
    """Return text as a safe part of a file name: lower-case ASCII letters and digits with single dashes.

    At most 60 characters; "part" when nothing is left. Accents and signs are dropped, so no name can leave its folder.
    """
    kept = "".join(c if c.isascii() and c.isalnum() else " " for c in text.lower())
    return "-".join(kept.split())[:60].strip("-") or "part"


@contextmanager
def output_folder(target: Path) -> Iterator[Path]:
    """Give a new empty folder to fill, and put it in place of `target` when the block ends without an error.

    target: the folder wanted; its parent is made when missing. On an error in the block the new folder is removed
    and `target` is as before. A stop that was asked for while the block ran counts as an error, also when it was lost
    on the way. A process killed while it fills leaves `target` as before and a hidden folder beside it, which the next
    call removes; its lock ends with it. A process killed in the instant between the two renames leaves the earlier
    folder whole beside `target`; the next call puts it back. Raises OutputFolderError when `target` is not ours to
    replace, or another process fills it.
    """
    target = Path(os.path.realpath(target))
    if not target.name:
        raise OutputFolderError(f"{target}: this is no folder for outputs; name one inside it")
    new = _beside(target, f"{_NEW}-{os.getpid()}")
    lacking = lacking_of(target.parent)
    lock: int | None = None
    try:
        with _told_plainly(target):
            target.parent.mkdir(parents=True, exist_ok=True)
            with stop.held():
                lock = _locked(target)
            stop.heed()
            _recover(target)
            _check_ours(target)
            shutil.rmtree(new, ignore_errors=True)
            new.mkdir()
        with _told_when_no_room(target, new):
            yield new
        if not (new / MANIFEST_NAME).is_file():
            raise OutputFolderError(f"{target}: nothing was put in place, as the new folder has no {MANIFEST_NAME}")
        with stop.held():
            stop.heed()
            with _told_plainly(target):
                _carry(_check_ours(target), target, new)  # looked at once more: a build takes minutes
            _swap(new, target)
            stop.note_placed(str(target))
    finally:
        with stop.held():
            if lock is not None:
                shutil.rmtree(new, ignore_errors=True)
                _unlock(target, lock)
            remove_empty(lacking)


@contextmanager
def added_to(target: Path) -> Iterator[Path]:
    """Give a new empty folder to fill beside a job's folder, whose caller moves it into `target` when it is whole.

    target: the job's folder, made when missing. While the block runs no other process builds into it. What is left in
    the new folder goes when the block ends. Raises OutputFolderError when another process fills `target`, or when it
    cannot be written.
    """
    target = Path(os.path.realpath(target))
    if not target.name:
        raise OutputFolderError(f"{target}: this is no folder for outputs; name one inside it")
    new = _beside(target, f"{_NEW}-{os.getpid()}")
    lacking = lacking_of(target)
    lock: int | None = None
    try:
        with _told_plainly(target):
            target.parent.mkdir(parents=True, exist_ok=True)
            with stop.held():
                lock = _locked(target)
            stop.heed()
            _recover(target)
            target.mkdir(exist_ok=True)
            shutil.rmtree(new, ignore_errors=True)
            new.mkdir()
        with _told_when_no_room(target, new), _told_plainly(target):
            yield new
    finally:
        with stop.held():
            if lock is not None:
                shutil.rmtree(new, ignore_errors=True)
                _unlock(target, lock)
            remove_empty(lacking)


def lacking_of(folder: Path) -> list[Path]:
    """Return what is to be made for a folder to be there: it and those on the way to it, the innermost first."""
    return [p for p in (folder, *folder.parents) if not os.path.exists(p)]


def remove_empty(folders: Iterable[Path]) -> None:
    """Remove folders that were made in vain: those that hold nothing. folders: the innermost first."""
    for folder in folders:
        with suppress(OSError):  # it holds something now, or was never made
            folder.rmdir()


def recovered(target: Path) -> None:
    """Clear away what a process that died left while it filled a folder. Raises OutputFolderError when another fills it
    now."""
    target = Path(os.path.realpath(target))
    with stop.held():
        lock = _locked(target)
        try:
            _recover(target)
        finally:
            _unlock(target, lock)


@contextmanager
def _told_plainly(target: Path) -> Iterator[None]:
    try:
        yield
    except OSError as error:
        file = next((p for p in target.parents if p.exists() and not p.is_dir()), None)
        why = f"{error.filename}: {error.strerror}" if file is None else f"{file} is not a folder"
        raise OutputFolderError(
            no_room(error, str(target.parent)) or f"{target}: cannot be written ({why}); choose another folder"
        ) from error


@contextmanager
def _told_when_no_room(target: Path, new: Path) -> Iterator[None]:
    """Tell a failure for want of room as what it is, also where a library has lost the reason on the way."""
    try:
        yield
        _stop_at_limit(new)
    except OutputFolderError:
        raise
    except Exception as error:
        words = no_room(error, str(target.parent))
        if not words:
            try:
                _stop_at_limit(new)
                (new / ".room").write_bytes(bytes(_PROBE))
            except OSError as reason:
                words = no_room(reason, str(target.parent))
        if words:
            raise OutputFolderError(words) from error
        raise


def _stop_at_limit(folder: Path) -> None:
    """Raise OSError when a file is as large as this session allows, for then its end may be lacking."""
    if resource is not None:
        most = resource.getrlimit(resource.RLIMIT_FSIZE)[0]
        if most != resource.RLIM_INFINITY and any(p.stat().st_size >= most for p in folder.rglob("*") if p.is_file()):
            raise OSError(errno.EFBIG, os.strerror(errno.EFBIG))


def no_room(error: BaseException | None, where: str) -> str:
    """Return what to say of an error that comes from a full disk, a used-up quota or a limit of the size of files; ""
    of any other.

    where: what was to be written, or its folder. The error may have come of such a one.
    """
    while error is not None:
        if isinstance(error, OSError) and error.errno in _NO_ROOM:
            return f"{where}: cannot be written ({error.strerror}): {_NO_ROOM[error.errno]}; nothing was replaced"
        error = error.__cause__ or error.__context__
    return ""


def keep_earlier(
    target: Path, new: Path, made: Collection[str], origin: Manifest, replaced: Callable[[FileEntry], bool]
) -> tuple[list[FileEntry], list[FileEntry]]:
    """Copy the outputs of an earlier job that still hold into a new folder; return those, and those left behind.

    target: the folder of the earlier job, which need not be there. new: the folder being filled. made: the paths of
    the files written anew. origin: version, parameters and limits they come from; earlier files hold when their
    manifest says the same. replaced: whether the new job stands in for an earlier file though it may have another
    name now; such a file is neither kept nor told. Raises OutputFolderError when an earlier file was changed.
    """
    if not (target / MANIFEST_NAME).is_file():
        return [], []
    earlier = read_manifest(target / MANIFEST_NAME)
    others = [e for e in earlier.files if e.path not in made and not replaced(e) and (target / e.path).is_file()]
    if not earlier.same_origin(origin):
        return [], others
    for entry in others:
        data = (target / entry.path).read_bytes()
        if sha256(data) != entry.sha256:
            raise OutputFolderError(_changed(target, [entry.path]))
        (new / entry.path).parent.mkdir(parents=True, exist_ok=True)
        (new / entry.path).write_bytes(data)
    return others, []


def _locked(target: Path) -> int:
    """Return the open lock of a folder. The system ends it with its process, so that a killed one blocks no one."""
    path = _beside(target, _LOCK)
    if target in _held:
        raise OutputFolderError(_busy(target, str(os.getpid())))
    while True:
        lock = os.open(path, os.O_RDWR | os.O_CREAT, 0o666)
        try:
            if fcntl is not None:
                # Not flock: a worker forked from a killed build would keep it.
                fcntl.lockf(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
            if os.fstat(lock).st_ino == path.stat().st_ino:
                break
        except FileNotFoundError:
            pass  # the process that held it has just taken it away
        except OSError as error:
            if error.errno not in (errno.EAGAIN, errno.EACCES):
                break  # a file system without locks
            holder = os.read(lock, 20).decode("ascii", "replace")
            os.close(lock)
            raise OutputFolderError(_busy(target, holder)) from None
        os.close(lock)
    _held.add(target)
    with suppress(OSError):  # it is a lock without a word in it too
        os.truncate(lock, 0)
        os.write(lock, str(os.getpid()).encode("ascii"))
    return lock


def _busy(target: Path, holder: str) -> str:
    return (
        f"{target}: another run of this program (process {holder}) is writing to this folder; wait until it has "
        "ended, or name another folder"
    )


def _unlock(target: Path, lock: int) -> None:
    with suppress(OSError):
        _beside(target, _LOCK).unlink()
    os.close(lock)
    _held.discard(target)


def _beside(target: Path, what: str) -> Path:
    return target.with_name(f".{target.name}.{what}")


def _exchanged(one: Path, other: Path) -> bool:
    """Exchange two folders in one step, so that neither is ever absent; False where the system has no such step."""
    if sys.platform != "linux":
        return False
    import ctypes

    try:
        exchange = ctypes.CDLL(None, use_errno=True).renameat2
    except (OSError, AttributeError):
        return False
    here = -100  # AT_FDCWD
    done = exchange(here, os.fsencode(one), here, os.fsencode(other), 2)  # RENAME_EXCHANGE
    return bool(done == 0)


def _swap(new: Path, target: Path) -> None:
    old = _beside(target, _OLD)
    try:
        if target.exists():
            new.chmod(target.stat().st_mode & 0o7777)
            if _exchanged(new, target):
                shutil.rmtree(new, ignore_errors=True)
                return
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


def _check_ours(target: Path) -> list[Path]:
    """Return what is somebody's own in a folder, by its path within. Raises OutputFolderError when it is not ours to
    replace."""
    if not target.exists():
        return []
    if not target.is_dir():
        raise OutputFolderError(f"{target}: is a file; give a folder for the outputs")
    entries = [target, *sorted(target.rglob("*"))]
    for path in entries:
        if _protected(path):
            what = "it" if path == target else path.relative_to(target).as_posix()
            raise OutputFolderError(
                f"{target}: {what} is write-protected, so nothing was replaced; make it writable, "
                "or name another folder"
            )
    inside = [p.relative_to(target) for p in entries[1:]]
    there = [p for p in inside if _is_leaf(target / p) and p.name not in _LITTER]
    if not there:
        return []
    records_only = all(p.parts[0] == RECORDS_NAME for p in there)
    if records_only or (not (target / MANIFEST_NAME).exists() and any(p.match(_A_RECORD) for p in inside)):
        return there  # a job that nothing was built of yet, with what its people laid beside the records
    try:
        known = {entry.path: entry.sha256 for entry in read_manifest(target / MANIFEST_NAME).files}
    except ManifestError as error:
        raise OutputFolderError(
            f"{target}: holds files but no manifest of this program, so it is not overwritten; "
            f"choose an empty or a new folder"
        ) from error
    ours = [p.as_posix() for p in there if p.as_posix() in known]
    changed = [name for name in ours if sha256((target / name).read_bytes()) != known[name]]
    if changed:
        raise OutputFolderError(_changed(target, changed))
    return [p for p in there if p.as_posix() not in known and p.as_posix() != MANIFEST_NAME]


def _is_leaf(path: Path) -> bool:
    """True of what is no folder, and of a folder with nothing in it."""
    return path.is_symlink() or not path.is_dir() or not any(path.iterdir())


def _carry(own: list[Path], target: Path, new: Path) -> None:
    """Give somebody's own files a place in the new folder too, under the same name; the earlier folder keeps them until
    it goes. Raises OutputFolderError where a new output needs the name."""
    taken = [p.as_posix() for p in own if os.path.lexists(new / p) and not (new / p).is_dir()]
    taken += [p.as_posix() for p in own if any((new / q).is_file() for q in p.parents)]
    if taken:
        raise OutputFolderError(
            f"{target}: holds files that an earlier job did not write, where this one writes its own "
            f"({_some(taken)}); move them, or choose another folder"
        )
    for path in own:
        old, place = target / path, new / path
        place.parent.mkdir(parents=True, exist_ok=True)
        if old.is_symlink():
            place.symlink_to(os.readlink(old))
        elif old.is_dir():
            place.mkdir(exist_ok=True)
        else:
            try:
                os.link(old, place)  # the same file: what is written into it meanwhile is not lost
            except OSError:
                shutil.copy2(old, place)


def _protected(path: Path) -> bool:
    """True when a file or folder is not to be written: by this user or, whatever root may do, by anyone."""
    return not path.is_symlink() and not (path.stat().st_mode & 0o222 and os.access(path, os.W_OK))


def _changed(target: Path, names: list[str]) -> str:
    return (
        f"{target}: changed by hand since it was written, so nothing was replaced: {_some(names)}; "
        "move what you want to keep, or name another folder"
    )


def _some(names: list[str]) -> str:
    more = f" and {len(names) - _SHOWN} more" if len(names) > _SHOWN else ""
    return ", ".join(names[:_SHOWN]) + more
