"""How long a person waits for an answer: `python -m tests.benchmark.start`."""
from __future__ import annotations

import os
import subprocess
import sys
import time

COMMANDS = (["--help"], ["sets"], ["explain", "arms"], ["values", "harbour-launch"], ["check", "harbour-launch"],
            ["check", "patrol-vee-pair"])


def main() -> None:
    """Print the best of nine waiting times for each command, in seconds."""
    environment = {k: v for k, v in os.environ.items() if k != "PYTHONDONTWRITEBYTECODE"}
    for command in COMMANDS:
        times = []
        for _ in range(9):
            start = time.perf_counter()
            subprocess.run([sys.executable, "-m", "strutwright", *command], capture_output=True, check=False,
                           env=environment)
            times.append(time.perf_counter() - start)
        print(f"{min(times):.2f} s  strutwright {' '.join(command)}")


if __name__ == "__main__":
    main()
