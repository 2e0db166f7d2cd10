"""Choose the tests of the second stage from a measured run, and write them to second_stage.txt.

    python -m pytest -n 2 --dist loadgroup --cov --cov-context=test --junitxml=run.xml
    python tests/choose_stages.py .coverage run.xml

The first stage keeps every test that is quick, and of the others those that reach lines of the program which no test
kept so far does, the most lines for its time first. What reaches next to nothing new for its time goes to the second,
where what the run left out as of the second stage stays.
"""

from __future__ import annotations

import heapq
import sqlite3
import sys
import xml.etree.ElementTree as ElementTree
from collections import defaultdict
from pathlib import Path

QUICK_S = 0.5
"""A test that takes less stays in the first stage."""
LEAST_LINES_A_S = 0.5
"""So many lines more a test has to reach for each second that it takes."""
KEPT_IN = Path(__file__).with_name("second_stage.txt")


def seconds_of(run: Path) -> tuple[dict[str, float], set[str]]:
    """Return test -> seconds, and the tests that were skipped, of a run's JUnit file."""
    took, skipped = dict[str, float](), set[str]()
    for case in ElementTree.parse(run).getroot().iter("testcase"):
        name = f"{case.attrib['classname'].replace('.', '/')}.py::{case.attrib['name']}"
        if case.find("skipped") is None:
            took[name] = float(case.attrib["time"])
        else:
            skipped.add(name)
    return took, skipped


def lines_of(measured: Path) -> dict[str, set[tuple[int, int]]]:
    """Return test -> the lines that it reaches, as numbers of file and line, of a file of the library `coverage`."""
    from coverage.numbits import numbits_to_nums

    lines = defaultdict[str, set[tuple[int, int]]](set)
    with sqlite3.connect(measured) as data:
        rows = data.execute("select context, file_id, numbits from line_bits join context on context_id = context.id")
        for context, file, bits in rows:
            lines[context.partition("|")[0]] |= {(file, line) for line in numbits_to_nums(bits)}
    return lines


def chosen(took: dict[str, float], lines: dict[str, set[tuple[int, int]]]) -> set[str]:
    """Return the tests of the second stage."""
    quick = {name for name, seconds in took.items() if seconds < QUICK_S}
    have = set[tuple[int, int]]().union(*(lines.get(name, set()) for name in quick))

    def worth(name: str) -> float:
        return len(lines.get(name, set()) - have) / took[name]

    waiting = [(-worth(name), name) for name in took.keys() - quick]
    heapq.heapify(waiting)
    while waiting:
        was, name = heapq.heappop(waiting)
        now = worth(name)
        if now < LEAST_LINES_A_S:
            continue
        if now < -was:
            heapq.heappush(waiting, (-now, name))
            continue
        have |= lines[name]
        quick.add(name)
    return took.keys() - quick


def listed(second: set[str], every: set[str]) -> list[str]:
    """Return the lines of the file: a test once where all its variants are of the second stage."""
    variants = defaultdict[str, set[str]](set)
    for name in every:
        variants[name.partition("[")[0]].add(name)
    out = []
    for test, all_of_it in variants.items():
        of_it = all_of_it & second
        out += [test] if of_it == all_of_it else sorted(of_it)
    return sorted(out)


def _short(name: str) -> str:
    return name.removeprefix("tests/")


def main() -> None:
    """Write the file, and say what the stages take."""
    took, skipped = seconds_of(Path(sys.argv[2]))
    before = set(KEPT_IN.read_text(encoding="utf-8").splitlines())
    still = {name for name in skipped if {_short(name), _short(name).partition("[")[0]} & before}
    second = chosen(took, lines_of(Path(sys.argv[1]))) | still
    names = listed(second, took.keys() | skipped)
    KEPT_IN.write_text("".join(f"{_short(name)}\n" for name in names), encoding="utf-8")
    print(f"first stage {sum(took[n] for n in took.keys() - second):.0f} s of {sum(took.values()):.0f} s of tests")


if __name__ == "__main__":
    main()
