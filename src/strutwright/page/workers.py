"""The processes in which the page's answers are worked out: kept warm, a lost one replaced."""

from __future__ import annotations

import asyncio
import multiprocessing
import os
from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from typing import TypeVar

from strutwright.exporters.files import stop
from strutwright.page.answers import ready

T = TypeVar("T")


class Workers:
    """A pool of processes. count: as many as processors, at most four, when left out."""

    def __init__(self, count: int | None = None) -> None:
        self.count = count or max(1, min(4, os.cpu_count() or 1))
        self._pool = self._new()
        self._closed = False
        self._beside = asyncio.Semaphore(max(1, self.count // 2))

    def _new(self) -> ProcessPoolExecutor:
        # A fresh interpreter each: the server has threads, which a fork would lose.
        return ProcessPoolExecutor(self.count, multiprocessing.get_context("spawn"), initializer=_begin)

    async def ask(self, work: Callable[..., T], *what: object) -> T:
        """Return what a function gives, in another process; once more where the process was lost meanwhile."""
        loop = asyncio.get_running_loop()
        pool = self._pool
        try:
            return await loop.run_in_executor(pool, work, *what)
        except BrokenProcessPool:
            if self._closed:
                raise
            if pool is self._pool:
                self._pool = self._new()
                pool.shutdown(wait=False)
            return await loop.run_in_executor(self._pool, work, *what)

    async def ask_beside(self, work: Callable[..., T], *what: object) -> T:
        """As `ask`, of what takes long and nobody waits for: it leaves half of the processes to those who do."""
        await self._beside.acquire()
        task = asyncio.ensure_future(self.ask(work, *what))
        task.add_done_callback(lambda _: self._beside.release())
        return await asyncio.shield(task)  # who asked may go; the process is at work until the answer is there

    def close(self) -> None:
        """End the processes at once, also in the middle of an answer: nobody waits for it any more."""
        self._closed = True
        at_work = list((self._pool._processes or {}).values())
        self._pool.shutdown(wait=False, cancel_futures=True)
        for process in at_work:
            process.kill()


def _begin() -> None:
    """Begin a process: it goes with the server, however that ends."""
    stop.go_with_parent()
    server = multiprocessing.parent_process()
    if server is not None and not server.is_alive():  # it ended before the system was asked
        os._exit(0)
    ready()
