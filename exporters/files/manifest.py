"""The manifest: which files a job wrote, what each is, and the SHA-256 by which it can be told unchanged.

Plain JSON, sorted, without clock or machine: the same parameter file and version give the same bytes.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

MANIFEST_NAME = "manifest.json"
PROGRAM = "strutwright"


class ManifestError(ValueError):
    """A manifest cannot be read, or the files do not agree with what was said of them."""


@dataclass(frozen=True, slots=True)
class FileEntry:
    """One output file: path within the folder with "/" between parts, size in bytes, SHA-256 in hex, what it is."""

    path: str
    size: int
    sha256: str
    what: str


@dataclass(frozen=True, slots=True)
class Manifest:
    """All files of one output folder, by path, with the version and the SHA-256 of the parameter file they came from,
    and that of the file of limits, "" for the shipped ones."""

    version: str
    parameters_sha256: str
    files: tuple[FileEntry, ...]
    limits_sha256: str = ""

    def origin(self) -> dict[str, str]:
        """Return what the files came from, as `write_manifest` takes it."""
        return {
            "version": self.version,
            "parameters_sha256": self.parameters_sha256,
            "limits_sha256": self.limits_sha256,
        }

    def same_origin(self, other: Manifest) -> bool:
        """Return whether both sets of files came from the same version, parameters and limits."""
        return self.origin() == other.origin()


def sha256(data: bytes) -> str:
    """Return the SHA-256 of data in hex."""
    return hashlib.sha256(data).hexdigest()


def write_manifest(
    folder: Path, what: Mapping[str, str], *, version: str, parameters_sha256: str, limits_sha256: str = ""
) -> Manifest:
    """Write the manifest of a folder and return it.

    folder: where the outputs lie. what: path within the folder ("/" between parts) -> what the file is, in words.
    version: of the program. parameters_sha256: of the parameter file. limits_sha256: of a file of other limits.
    Raises ManifestError when the folder holds a file that `what` does not name, or lacks one that it does.
    """
    there = {p.relative_to(folder).as_posix() for p in folder.rglob("*") if p.is_file()} - {MANIFEST_NAME}
    odd = sorted(there ^ set(what))
    if odd:
        raise ManifestError(f"{folder.name}: written and named files differ: {', '.join(odd)}")
    entries = []
    for path in sorted(what):
        data = (folder / path).read_bytes()
        entries.append(FileEntry(path, len(data), sha256(data), what[path]))
    manifest = Manifest(version, parameters_sha256, tuple(entries), limits_sha256)
    (folder / MANIFEST_NAME).write_bytes(manifest_bytes(manifest))
    return manifest


def manifest_bytes(manifest: Manifest) -> bytes:
    """Return the manifest as JSON text, UTF-8."""
    data = {
        "program": PROGRAM,
        "version": manifest.version,
        "parameters_sha256": manifest.parameters_sha256,
        **({"limits_sha256": manifest.limits_sha256} if manifest.limits_sha256 else {}),
        "files": [{"path": f.path, "bytes": f.size, "sha256": f.sha256, "what": f.what} for f in manifest.files],
    }
    return (json.dumps(data, indent=1, ensure_ascii=False) + "\n").encode("utf-8")


def read_manifest(path: Path) -> Manifest:
    """Return the manifest read from a file. Raises ManifestError when it is missing or not one of this program."""
    try:
        data = json.loads(path.read_text("utf-8"))
        if data["program"] != PROGRAM:
            raise ManifestError(f"{path}: written by another program")
        files = tuple(
            FileEntry(str(f["path"]), int(f["bytes"]), str(f["sha256"]), str(f["what"])) for f in data["files"]
        )
        return Manifest(str(data["version"]), str(data["parameters_sha256"]), files, str(data.get("limits_sha256", "")))
    except ManifestError:
        raise
    except (OSError, ValueError, KeyError, TypeError, RecursionError) as error:
        raise ManifestError(f"{path}: cannot be read as a manifest of {PROGRAM}") from error


def changed_files(folder: Path) -> list[str]:
    """Return the paths of a folder's files that are missing or no longer as its manifest says. Raises ManifestError."""
    out = []
    for entry in read_manifest(folder / MANIFEST_NAME).files:
        path = folder / entry.path
        if not path.is_file() or sha256(path.read_bytes()) != entry.sha256:
            out.append(entry.path)
    return out
