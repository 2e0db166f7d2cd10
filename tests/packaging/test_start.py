"""Help and checks answer at once and without the CAD kernel."""
from __future__ import annotations

import subprocess
import sys
import time

import pytest

COMMANDS = (["--help"], ["check", "harbour-launch"], ["explain", "arms"], ["sets"])
LIMIT_S = 0.5


@pytest.mark.parametrize("command", COMMANDS, ids=lambda c: c[0].strip("-"))
def test_starts_without_the_kernel(command: list[str]) -> None:
    code = ("import sys\nfrom strutwright.cli import main\n"
            f"try:\n    main({command!r})\nexcept SystemExit:\n    pass\n"
            "heavy = {'cadquery', 'OCP', 'trimesh', 'ezdxf', 'reportlab', 'vtkmodules', 'scipy'} & set(sys.modules)\n"
            "sys.exit(f'loaded {heavy}' if heavy else 0)")
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True)
    assert run.returncode == 0, run.stderr


@pytest.mark.parametrize("command", COMMANDS[:2], ids=lambda c: c[0].strip("-"))
def test_starts_within_half_a_second(command: list[str]) -> None:
    best = min(_seconds(command) for _ in range(7))
    assert best <= LIMIT_S, f"{best:.2f} s"


def _seconds(command: list[str]) -> float:
    start = time.perf_counter()
    subprocess.run([sys.executable, "-m", "strutwright", *command], capture_output=True, check=False)
    return time.perf_counter() - start
