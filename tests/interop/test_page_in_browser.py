"""The live page in a real browser: Debian's Chromium, which draws by software, led by Playwright."""

from __future__ import annotations

import io
import os
import re
import signal
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest
from PIL import Image, ImageChops
from playwright.sync_api import Browser, Page, sync_playwright
from support import THOROUGH

from strutwright.params.loader import shipped

FLAGS = (
    "--no-sandbox",
    "--use-gl=angle",
    "--use-angle=swiftshader",
    "--enable-unsafe-swiftshader",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--no-first-run",
)
LONG_MS = 120_000

pytestmark = pytest.mark.xdist_group("page_in_browser")


@dataclass(frozen=True)
class Served:
    address: str
    home: Path
    process: subprocess.Popen[str]


@pytest.fixture(scope="module")
def served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    home = tmp_path_factory.mktemp("home")
    (home / "launch.yaml").write_bytes(shipped()["canal-tender"].read_bytes())
    with socket.socket() as one:
        one.bind(("127.0.0.1", 0))
        port = one.getsockname()[1]
    words = ["page", str(home / "launch.yaml"), "--port", str(port), "--no-browser"]
    # The library serves otherwise under this name, for tests of its own kind.
    env = {key: value for key, value in os.environ.items() if key != "PYTEST_CURRENT_TEST"}
    process = subprocess.Popen(
        [sys.executable, "-m", "strutwright", *words],
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        env=env,
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.default_int_handler),  # ignored where tests run
    )
    address = f"http://127.0.0.1:{port}/"
    for _ in range(600):
        try:
            urllib.request.urlopen(address + "viewer.js", timeout=5).read()
            break
        except (urllib.error.URLError, ConnectionError, TimeoutError):
            time.sleep(0.1)
    yield Served(address, home, process)
    process.send_signal(signal.SIGINT)
    said = process.communicate(timeout=60)[0]
    assert "Traceback" not in said


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    path = os.environ.get("CHROMIUM", "/usr/bin/chromium")
    if not Path(path).exists():
        pytest.skip("no Chromium here")
    with sync_playwright() as play:
        made = play.chromium.launch(executable_path=path, args=list(FLAGS))
        yield made
        made.close()


def opened(browser: Browser, served: Served, wrong: list[str]) -> Page:
    page = browser.new_page(viewport={"width": 1500, "height": 1200})
    page.set_default_timeout(LONG_MS)
    page.on("console", lambda m: wrong.append(m.text) if m.type == "error" else None)
    page.on("pageerror", lambda e: wrong.append(str(e)))
    page.goto(served.address)
    page.locator(".view canvas").wait_for(state="visible")
    return page


def give(page: Page, group: str, path: str, value: str) -> None:
    page.get_by_label("values", exact=True).get_by_text(group, exact=True).first.click()
    entry = page.get_by_label(path, exact=True)
    entry.fill(value)
    entry.press("Enter")


def shot(page: Page) -> Image.Image:
    return Image.open(io.BytesIO(page.locator(".view .stage").screenshot()))


def test_a_change_turns_the_finding_and_its_way_out_mends_it(browser: Browser, served: Served) -> None:
    wrong: list[str] = []
    page, other = opened(browser, served, wrong), opened(browser, served, wrong)
    state = page.locator(".state")
    give(page, "palm", "palm.thickness", "4")
    page.wait_for_function("document.querySelector('.state').innerText.includes('fail')")
    assert "fail" not in other.locator(".state").inner_text()  # two windows do not mix
    other.close()
    before = state.inner_text()
    way = page.get_by_role("button", name=re.compile("^change palm.thickness"))
    way.first.click()
    page.wait_for_function("was => document.querySelector('.state').innerText != was", arg=before)
    page.get_by_role("button", name="back", exact=True).click()
    page.wait_for_function("was => document.querySelector('.state').innerText == was", arg=before)
    page.get_by_label("palm.thickness", exact=True).fill("ten")
    page.get_by_label("palm.thickness", exact=True).press("Enter")
    page.locator(".fault", has_text="palm.thickness").first.wait_for()
    page.close()
    assert not wrong


def test_the_model_turns_and_a_set_is_kept_and_opened_again(browser: Browser, served: Served) -> None:
    wrong: list[str] = []
    page = opened(browser, served, wrong)
    page.wait_for_timeout(500)
    first = shot(page)
    page.get_by_role("button", name="from aft").click()
    page.wait_for_timeout(500)
    assert ImageChops.difference(first.convert("RGB"), shot(page).convert("RGB")).getbbox() is not None
    give(page, "barrel", "barrel.wall", "9")
    page.get_by_text("by the last change").wait_for()
    page.get_by_role("button", name="keep ...").click()
    page.get_by_label("name of the file").fill("../over")
    page.get_by_role("button", name="write it").click()
    page.get_by_text("give a plain name").wait_for()
    page.get_by_label("name of the file").fill("kept")
    page.get_by_role("button", name="write it").click()
    page.get_by_text("kept in kept.yaml").wait_for()
    assert "wall: 9" in (served.home / "kept.yaml").read_text(encoding="utf-8")
    assert sorted(p.name for p in served.home.iterdir()) == ["kept.yaml", "launch.yaml"]
    page.close()
    assert not wrong


@pytest.mark.skipif(not THOROUGH, reason="builds the whole pack: long form")
def test_the_pack_is_built_and_taken_and_a_killed_kernel_leaves_the_page(
    browser: Browser, served: Served, tmp_path: Path
) -> None:
    wrong: list[str] = []
    page = opened(browser, served, wrong)
    page.get_by_role("button", name="exact solid").click()
    page.get_by_text("the exact solid, as built").wait_for()
    page.get_by_role("button", name="whole pack").click()
    page.wait_for_timeout(3000)
    for process in subprocess.run(["pgrep", "-f", "strutwright.guard"], capture_output=True, text=True).stdout.split():
        os.kill(int(process), signal.SIGKILL)
    page.wait_for_function("document.body.innerText.includes('the whole pack: ')")
    give(page, "palm", "palm.thickness", "11")
    page.get_by_text("by the last change").wait_for()
    page.get_by_role("button", name="whole pack").click()
    page.get_by_text("the whole pack: done").wait_for()
    with page.expect_download() as taken:
        page.get_by_text("take the pack").click()
    taken.value.save_as(tmp_path / "pack.zip")
    with zipfile.ZipFile(tmp_path / "pack.zip") as pack:
        assert "index.html" in pack.namelist()
    page.close()


@pytest.mark.parametrize(
    "path", ["files/x/../../etc/passwd", "files/none/set.yaml", "model/none/x.json", "pack/none.zip"]
)
def test_paths_lead_nowhere_else(served: Served, path: str) -> None:
    with pytest.raises(urllib.error.HTTPError) as told:
        urllib.request.urlopen(served.address + path)
    assert told.value.code in (403, 404)


def test_a_foreign_host_is_refused(served: Served) -> None:
    request = urllib.request.Request(served.address, headers={"Host": "evil.example"})
    with pytest.raises(urllib.error.HTTPError, match="403"):
        urllib.request.urlopen(request)
