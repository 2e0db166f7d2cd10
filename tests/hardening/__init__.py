"""What the program is to bear: spoiled files, kills, full disks, other surroundings: `python -m tests.hardening`."""
