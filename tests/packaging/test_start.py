"""Help and checks answer at once and without the CAD kernel."""
from __future__ import annotations

import os
import resource
import subprocess
import sys

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
    best = min(processor_seconds(command) for _ in range(7))
    assert best <= LIMIT_S, f"{best:.2f} s"


def processor_seconds(command: list[str]) -> float:
    """Return the processor time of one command: on an idle machine its waiting time, and the same on a busy one.

    The interpreter may keep compiled modules, as it does for any user, so the first of several calls is slower.
    """
    environment = {k: v for k, v in os.environ.items() if k != "PYTHONDONTWRITEBYTECODE"}
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    subprocess.run([sys.executable, "-m", "strutwright", *command], capture_output=True, check=False, env=environment)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
