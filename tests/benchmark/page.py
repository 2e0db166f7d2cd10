"""How the live page bears many sessions at once: `python -m tests.benchmark.page [--sessions 50] [--seconds 60]`.

Each session is what a browser tab is to the server: it takes the page, opens a websocket by the framework's own
protocol (engine.io and socket.io), opens the group of the palm, and then changes the palm's thickness again and again,
waiting each time until the page shows its own value as answered. Every session gives values that no other gives, so
that one that is shown a stranger's is found out. Ends with status 1 when that happens, when an answer does not come, or
when the memory of server and workers grows by more than a fifth from the first quarter of the time to its end.
"""

from __future__ import annotations

import argparse
import asyncio
import contextlib
import json
import os
import random
import re
import signal
import statistics
import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any
from urllib.parse import urlencode

import httpx
import socketio

sys.path.insert(0, str(Path(__file__).parents[1]))
from hardening.processes import below, taken_mb

from strutwright.page_command import free_port

GROUP, VALUE = "palm", "palm.thickness"
FIRST_MM = 14.0
"""What the set says, harbour-launch."""
STARTS_S, ANSWERS_S = 180.0, 300.0
AT_ONCE = 5
"""Tabs that are opened in the same moment."""
GROWTH = 1.2
_SHOWN = re.compile(r"([\d.]+) mm, given")
_ELEMENTS = re.compile(r"parseElements\(String\.raw`(.*?)`\)", re.DOTALL)
_QUERY = re.compile(r"query: (\{.*?\}),")
_SIGNS = (("&#36;", "$"), ("&#96;", "`"), ("&gt;", ">"), ("&lt;", "<"), ("&amp;", "&"))


def values_of(number: int) -> tuple[float, float]:
    """Return the two thicknesses, mm, that a session gives in turn and no other does."""
    return round(8.0 + 0.2 * number, 1), round(8.1 + 0.2 * number, 1)


@dataclass(slots=True)
class Session:
    """One tab. elements: what its screen is made of, by number, as the server has told it; took_s: of each change, the
    time until it was answered; odd: what was shown that it never gave."""

    number: int
    address: str
    elements: dict[str, Any] = field(default_factory=dict)
    took_s: list[float] = field(default_factory=list)
    odd: list[str] = field(default_factory=list)
    client: str = ""
    wire: Any = None
    news: asyncio.Event = field(default_factory=asyncio.Event)

    async def open(self) -> None:
        """Take the page and open the group of the palm."""
        async with httpx.AsyncClient(timeout=STARTS_S) as web:
            page = (await web.get(self.address)).text
        found, asked = _ELEMENTS.search(page), _QUERY.search(page)
        assert found is not None
        assert asked is not None
        text = found[1]
        for sign, own in _SIGNS:
            text = text.replace(sign, own)
        self.elements = json.loads(text)
        query = json.loads(asked[1].replace("'", '"').replace("True", '"true"'))
        self.client = query["client_id"]
        self.wire = socketio.AsyncClient(reconnection=False)
        self.wire.on("update", self._update)
        place = self.address + "?" + urlencode({**query, "tab_id": f"t{self.number}", "document_id": f"d{self.number}"})
        await self.wire.connect(place, socketio_path="/_nicegui_ws/socket.io", transports=["websocket"])
        group = await self._until(lambda: self._found("label", GROUP, "nicegui-expansion"))
        await self._emit(group, "update:modelValue", True)
        await self._until(lambda: self._found("aria-label", VALUE))
        await self._until(lambda: _SHOWN.search(self._origin()))

    async def change(self, mm: float) -> None:
        """Give a thickness and wait until it is answered."""
        entry = self._found("aria-label", VALUE)
        began = time.monotonic()
        await self._emit(entry, "update:value", f"{mm:g}")
        await self._emit(entry, "keydown", None)
        await self._until(lambda: (found := _SHOWN.search(self._origin())) and float(found[1]) == mm)
        self.took_s.append(time.monotonic() - began)

    async def close(self) -> None:
        """Leave."""
        if self.wire is not None:
            await self.wire.disconnect()

    async def _update(self, told: dict[str, Any]) -> None:
        last = told.pop("_id", None)
        for number, element in told.items():
            if element is None:
                self.elements.pop(number, None)
            else:
                self.elements[number] = element
        if last is not None:
            await self.wire.emit("ack", {"client_id": self.client, "next_message_id": last + 1})
        shown = _SHOWN.search(self._origin())
        if shown and float(shown[1]) not in (FIRST_MM, *values_of(self.number)):
            self.odd.append(shown[0])
        self.news.set()

    async def _until(self, there: Any) -> Any:
        async with asyncio.timeout(ANSWERS_S):
            while not (found := there()):
                self.news.clear()
                await self.news.wait()
        return found

    def _found(self, key: str, value: str, tag: str = "") -> str | None:
        for number, element in self.elements.items():
            if element.get("props", {}).get(key) == value and tag in ("", element["tag"]):
                return number
        return None

    def _origin(self) -> str:
        """What stands below the entry of the value: the value as answered, and where it comes from."""
        entry = self._found("aria-label", VALUE)
        if entry is None:
            return ""
        column: dict[str, Any] = next((e for e in self.elements.values() if int(entry) in e.get("children", ())), {})
        return " ".join(str(self.elements.get(str(c), {}).get("text", "")) for c in column.get("children", ()))

    async def _emit(self, number: str | None, kind: str, value: Any) -> None:
        assert number is not None
        listener = next(e["listener_id"] for e in self.elements[number]["events"] if e["type"] == kind)
        said = {"id": int(number), "client_id": self.client, "listener_id": listener, "args": [json.dumps(value)]}
        await self.wire.emit("event", said)


async def _work(session: Session, until: float) -> None:
    """Change values until a time, with the pauses of a person who looks at the answer."""
    draw = random.Random(session.number)
    turn = 0
    while time.monotonic() < until:
        await session.change(values_of(session.number)[turn % 2])
        turn += 1
        await asyncio.sleep(draw.uniform(0.5, 3.0))


def _memory_mb(pid: int) -> float:
    return sum(taken_mb(p) for p in (pid, *below(pid)))


async def _measured(address: str, pid: int, count: int, seconds: float) -> int:
    sessions = [Session(n, address) for n in range(count)]
    began = time.monotonic()
    for k in range(0, count, AT_ONCE):
        await asyncio.gather(*(s.open() for s in sessions[k : k + AT_ONCE]))
    print(f"{count} sessions open after {time.monotonic() - began:.1f} s", flush=True)
    until = time.monotonic() + seconds
    working = [asyncio.create_task(_work(s, until)) for s in sessions]
    memory = []
    for _ in range(20):
        await asyncio.sleep(seconds / 20)
        memory.append(await asyncio.to_thread(_memory_mb, pid))
    ended = await asyncio.gather(*working, return_exceptions=True)
    for session in sessions:
        with contextlib.suppress(Exception):
            await session.close()
    took = sorted(t for s in sessions for t in s.took_s)
    wrong = [f"session {s.number} was shown {', '.join(s.odd[:3])}" for s in sessions if s.odd]
    wrong += [f"session {n}: {type(e).__name__}: {e}" for n, e in enumerate(ended) if isinstance(e, BaseException)]
    wrong += [f"session {s.number} was never answered" for s in sessions if not s.took_s]
    early, late = statistics.median(memory[3:8]), statistics.median(memory[-5:])
    if late > GROWTH * early:
        wrong.append(f"memory grew from {early:.0f} MB to {late:.0f} MB")
    if took:
        at = {f"{q} %": took[min(len(took) - 1, len(took) * q // 100)] for q in (50, 95)}
        print(f"{len(took)} changes answered, {len(took) / seconds:.1f} a second; least {took[0]:.2f} s, ", end="")
        print(", ".join(f"{name} within {value:.2f} s" for name, value in at.items()) + f", longest {took[-1]:.2f} s")
    print(f"memory of server and workers: {early:.0f} MB early, {late:.0f} MB at the end, {max(memory):.0f} MB at most")
    print("\n".join(wrong) if wrong else "none was shown another's values; every change was answered")
    return int(bool(wrong))


def main(arguments: list[str] | None = None) -> int:
    """Serve a page, load it and print what was measured; return the exit status."""
    asked = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    asked.add_argument("--sessions", type=int, default=50, choices=range(1, 101), metavar="COUNT")
    asked.add_argument("--seconds", type=float, default=60.0)
    options = asked.parse_args(arguments)
    signal.signal(signal.SIGTERM, lambda *_: sys.exit(1))  # so that the server does not outlive this
    port = free_port(0)
    with tempfile.TemporaryDirectory() as home:
        words = ["page", "harbour-launch", "--folder", home, "--port", str(port), "--no-browser"]
        # Standard input is no terminal, so that Ctrl-C comes to this process alone.
        server = subprocess.Popen(
            [sys.executable, "-m", "strutwright", *words],
            stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
            start_new_session=True,
            preexec_fn=lambda: signal.signal(signal.SIGINT, signal.default_int_handler),
            env={key: value for key, value in os.environ.items() if key != "PYTEST_CURRENT_TEST"},
        )
        try:
            address = f"http://127.0.0.1:{port}/"
            until = time.monotonic() + STARTS_S
            while time.monotonic() < until:
                with contextlib.suppress(httpx.HTTPError):
                    httpx.get(address + "viewer.js", timeout=5.0)
                    break
                time.sleep(0.2)
            return asyncio.run(_measured(address, server.pid, options.sessions, options.seconds))
        finally:
            server.send_signal(signal.SIGINT)
            try:
                server.wait(30.0)
            except subprocess.TimeoutExpired:
                server.kill()
                print("the server did not end by itself within 30 s")


if __name__ == "__main__":
    sys.exit(main())
