"""The server of the page: on loopback alone, one window for each browser tab, its files by a token of its own."""

from __future__ import annotations

import asyncio
import shutil
from dataclasses import dataclass
from pathlib import Path

from nicegui import app, core, ui
from starlette.responses import FileResponse, Response

from strutwright.exporters.web.view_page import BUNDLE
from strutwright.page.desk import Desk, opened
from strutwright.page.gate import MOST_BODY, Gate
from strutwright.page.screen import Screen, head
from strutwright.page.window import Window
from strutwright.page.workers import Workers
from strutwright.params.loader import shipped

HOST = "127.0.0.1"
_TYPES = {".js": "text/javascript", ".html": "text/html; charset=utf-8", ".dxf": "application/dxf"}


@dataclass(frozen=True, slots=True)
class Start:
    """What the page begins with. file: a set, or None for the list of shipped ones; home: where sets are kept."""

    file: Path | None
    is_shipped: bool
    home: Path
    limits: str | None
    confirmations: str | None
    port: int
    show: bool


class Server:
    """The windows that are open, by their tokens."""

    def __init__(self, start: Start) -> None:
        self.start = start
        self.windows: dict[str, Window] = {}
        self.workers = Workers()

    def run(self) -> None:
        """Serve until Ctrl-C."""
        ui.page("/")(self._window)
        app.get("/viewer.js")(self._script)
        app.get("/model/{token}/{mark}.json")(self._model)
        app.get("/files/{token}/{path:path}")(self._file)
        app.get("/pack/{token}.zip")(self._pack)
        app.add_middleware(Gate, port=self.start.port)
        app.on_shutdown(self._close)
        core.sio.eio.max_http_buffer_size = MOST_BODY
        ui.run(
            host=HOST,
            port=self.start.port,
            title="strutwright",
            favicon=_ICON,
            show=self.start.show,
            reload=False,
            show_welcome_message=False,
            ws_max_size=MOST_BODY,
            reconnect_timeout=10.0,
        )

    def desk(self) -> Desk:
        """A set to begin a window with. Raises UserError."""
        path = self.start.file if self.start.file is not None else shipped()["harbour-launch"]
        return opened(path, self.start.home, shipped=self.start.is_shipped or self.start.file is None)

    async def _window(self) -> None:
        window = Window(self.desk(), self.workers, self.start.limits, self.start.confirmations)
        self.windows[window.token] = window
        client = ui.context.client
        window.inside = lambda: client
        client.on_delete(lambda: asyncio.ensure_future(self._gone(window)))
        head()
        Screen(window).show()
        await client.connected()
        window.renew()

    async def _gone(self, window: Window) -> None:
        self.windows.pop(window.token, None)
        await window.close()

    async def _close(self) -> None:
        for window in list(self.windows.values()):
            await self._gone(window)
        self.workers.close()

    def _script(self) -> FileResponse:
        return FileResponse(BUNDLE, media_type="text/javascript")

    def _model(self, token: str, mark: str) -> Response:
        window = self.windows.get(token)
        text = "" if window is None else window.exact or window.model
        if not text:
            return Response(status_code=404)
        return Response(text, media_type="application/json", headers={"cache-control": "no-store"})

    def _file(self, token: str, path: str) -> Response:
        window = self.windows.get(token)
        found = None if window is None else window.file(path)
        if found is None:
            return Response("not there", status_code=404)
        kind = _TYPES.get(found.suffix)
        return FileResponse(found, media_type=kind, headers={"cache-control": "no-store"})

    async def _pack(self, token: str) -> Response:
        window = self.windows.get(token)
        folder = None if window is None else window.bench.folder / "pack"
        if window is None or folder is None or not (folder / "index.html").is_file():
            return Response("nothing was built yet", status_code=404)
        name = str(window.bench.folder / "pack-to-take")
        made = await asyncio.to_thread(shutil.make_archive, name, "zip", folder)
        title = "".join(c if c.isalnum() else "-" for c in window.answer.title) or "strut"
        return FileResponse(made, media_type="application/zip", filename=f"{title}.zip")


def serve(start: Start) -> None:
    """Serve the page until Ctrl-C."""
    where = f"http://{HOST}:{start.port}/"
    print(f"the page: {where}  (this machine only; Ctrl-C ends it)", flush=True)
    Server(start).run()


_ICON = (
    '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 32 32"><rect width="32" height="32" rx="5" fill="#3f5b6b"/>'
    '<circle cx="16" cy="22" r="6" fill="none" stroke="#f7f5f0" stroke-width="4"/>'
    '<path d="M6 5h20v4H6z" fill="#f7f5f0"/><path d="M14 9h4v7h-4z" fill="#f7f5f0"/></svg>'
)
