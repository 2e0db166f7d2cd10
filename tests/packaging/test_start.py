"""Help and checks start without the CAD kernel. How long they take is a benchmark: tests/benchmark/start.py."""

from __future__ import annotations

import subprocess
import sys

import pytest

COMMANDS = (["--help"], ["check", "harbour-launch"], ["meaning", "arms"], ["sets"])


@pytest.mark.parametrize("command", COMMANDS, ids=lambda c: c[0].strip("-"))
def test_starts_without_the_kernel(command: list[str]) -> None:
    code = (
        "import sys\nfrom strutwright.cli import main\n"
        f"try:\n    main({command!r})\nexcept SystemExit:\n    pass\n"
        "heavy = {'cadquery', 'OCP', 'trimesh', 'ezdxf', 'reportlab', 'vtkmodules', 'scipy'} & set(sys.modules)\n"
        "sys.exit(f'loaded {heavy}' if heavy else 0)"
    )
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert run.returncode == 0, run.stderr
