"""The command `page`: a set to look at and to change in a browser on this machine."""

from __future__ import annotations

import argparse
import importlib.util
import socket
from pathlib import Path
from typing import Any

from strutwright.errors import Exit, UserError

NEEDS = ("nicegui", "mapbox_earcut")
"""What the optional extra brings."""
PORT = 8420


def add_command(add: Any) -> None:
    """Add the command to the command line."""
    from strutwright.cli import add_limits

    page = add("page", run, "look at a set and change it in a browser on this machine (optional extra)")
    page.add_argument("file", metavar="FILE", nargs="?", help="a YAML file or the name of a shipped set")
    page.add_argument("--folder", metavar="FOLDER", help="where sets are kept (default: that of FILE, else this one)")
    page.add_argument(
        "--port", type=int, default=PORT, help=f"of the page on 127.0.0.1 (default {PORT}; 0: any free one)"
    )
    page.add_argument("--no-browser", action="store_true", help="open no browser, only tell the address")
    add_limits(page)


def run(arguments: argparse.Namespace) -> int:
    """Serve the page until stopped. Raises UserError where it cannot be."""
    lacking = [name for name in NEEDS if importlib.util.find_spec(name) is None]
    if lacking:
        raise UserError("the page is an optional extra; install it with: pip install 'strutwright[page]'")
    from strutwright.cli import find, limits_in
    from strutwright.confirm_command import beside, in_force
    from strutwright.params.loader import shipped

    file = None if arguments.file is None else find(arguments.file)
    is_shipped = file is not None and file in shipped().values()
    home = Path(arguments.folder) if arguments.folder else Path() if file is None or is_shipped else file.parent
    if not home.is_dir():
        raise UserError(f"{home}: is not a folder")
    limits_in(arguments.limits)  # tell its faults now, not in every window
    read = arguments.confirmations
    if read is None and file is not None and not is_shipped:
        there = beside(str(file))
        read = str(there) if there is not None and there.is_file() else None
    with in_force(read, None):
        pass
    from strutwright.page.serve import Start, serve

    serve(
        Start(
            file=file,
            is_shipped=is_shipped,
            home=home.resolve(),
            limits=arguments.limits,
            confirmations=read,
            port=free_port(arguments.port),
            show=not arguments.no_browser,
        )
    )
    return Exit.PASS


def free_port(wanted: int) -> int:
    """Return a port of loopback that is free, the one wanted. Raises UserError."""
    if not 0 <= wanted <= 65535:
        raise UserError(f"--port: {wanted} is no port; give 0 to 65535")
    try:
        with socket.socket(socket.AF_INET, socket.SOCK_STREAM) as one:
            one.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            one.bind(("127.0.0.1", wanted))
            return int(one.getsockname()[1])
    except OSError as error:
        raise UserError(f"--port: {wanted} cannot be used ({error.strerror}); give another one") from None
