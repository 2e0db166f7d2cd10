"""`python -m strutwright`."""

import sys

from strutwright.cli import main

sys.exit(main())
