"""What was measured and what came of it, kept in the job's folder: a record is added, never written over.

    out/harbour-launch/records/survey-1/readings.csv   the file of readings, byte for byte
                                        survey.json    the answer
                                        survey.pdf     the sheet
                                        record.json    the SHA-256 of each file

A build carries the folder `records` along as it is (exporters.files.outdir).
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path

from strutwright.exporters.files import stop
from strutwright.exporters.files.manifest import sha256
from strutwright.exporters.files.outdir import RECORDS_NAME, OutputFolderError, added_to

LIST_NAME = "record.json"
_PROGRAM = "strutwright"
_MOST = 10_000


def add_record(job: Path, work: str, files: Mapping[str, bytes]) -> Path:
    """Put a record into a job's folder and return its place, `records/WORK-N`; the folder is made when missing.

    work: what was done, as its command is called. files: what the record holds, by name. Where a record of this work
    holds the same bytes already, nothing is written and its place is returned. The record appears whole or not at all.
    Raises OutputFolderError when the folder cannot be written, or a build into it is under way.
    """
    if LIST_NAME in files or any(Path(name).name != name for name in files):
        raise ValueError(f"names of a record's files: {', '.join(files)}")
    listed = {name: sha256(data) for name, data in sorted(files.items())}
    text = json.dumps({"program": _PROGRAM, "work": work, "files": listed}, indent=1) + "\n"
    with added_to(job) as new:
        folder = job / RECORDS_NAME
        taken = _taken(folder, work)
        for place in taken.values():
            if _holds(place, files, text):
                return place
        for name, data in files.items():
            (new / name).write_bytes(data)
        (new / LIST_NAME).write_text(text, encoding="utf-8", newline="\n")
        folder.mkdir(exist_ok=True)
        number = max(taken, default=0) + 1
        if number > _MOST:
            raise OutputFolderError(f"{folder}: holds {_MOST} records of this work; begin another job's folder")
        place = folder / f"{work}-{number}"
        with stop.held():
            stop.heed()
            new.rename(place)
            stop.note_placed(str(place))
    return place


def records(job: Path, work: str) -> list[Path]:
    """Return the records of a work in a job's folder, in the order in which they were added."""
    return [place for _, place in sorted(_taken(job / RECORDS_NAME, work).items())]


def changed_files(record: Path) -> list[str]:
    """Return the files of a record that are not as they were written; all where its list is gone."""
    try:
        listed = json.loads((record / LIST_NAME).read_text(encoding="utf-8"))["files"]
    except (OSError, ValueError, KeyError, TypeError):
        return [LIST_NAME]
    return [n for n, d in listed.items() if not (record / n).is_file() or sha256((record / n).read_bytes()) != d]


def _taken(folder: Path, work: str) -> dict[int, Path]:
    """The places of earlier records of a work by number, whatever they hold."""
    if not folder.is_dir():
        return {}
    named = ((p, p.name.removeprefix(f"{work}-")) for p in folder.iterdir() if p.name.startswith(f"{work}-"))
    return {int(n): p for p, n in sorted(named) if n.isascii() and n.isdigit() and len(n) < 9}


def _holds(place: Path, files: Mapping[str, bytes], text: str) -> bool:
    """Whether a record holds these files and no others."""
    try:
        same = (place / LIST_NAME).read_bytes() == text.encode()
        return same and all((place / name).read_bytes() == data for name, data in files.items())
    except OSError:
        return False
