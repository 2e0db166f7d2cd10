"""The wheel holds what the repository holds; nothing outside is referred to."""

from __future__ import annotations

import json
import re
import shlex
import shutil
import subprocess
import sys
import tomllib
import zipfile
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
PACKAGES = {
    "src/strutwright": "strutwright",
    "params": "strutwright/params",
    "models": "strutwright/models",
    "exporters": "strutwright/exporters",
}
DATA = {".yaml", ".json", ".ttf", ".typed", ".txt", ".md", ".js"}


def tracked() -> list[str]:
    """Return the repository's files, also those not yet committed."""
    out = subprocess.run(
        ["git", "ls-files", "--cached", "--others", "--exclude-standard"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=True,
    ).stdout
    return [line for line in out.splitlines() if (ROOT / line).is_file()]


@pytest.fixture(scope="module")
def wheel_names(tmp_path_factory: pytest.TempPathFactory) -> set[str]:
    """Return the names in a freshly built wheel."""
    folder, copy = tmp_path_factory.mktemp("wheel"), tmp_path_factory.mktemp("source")
    for name in tracked():
        (copy / name).parent.mkdir(parents=True, exist_ok=True)
        shutil.copy(ROOT / name, copy / name)
    subprocess.run(
        [sys.executable, "-m", "pip", "wheel", "-q", "--no-deps", "-w", str(folder), str(copy)],
        check=True,
        capture_output=True,
    )
    with zipfile.ZipFile(next(folder.glob("*.whl"))) as wheel:
        return set(wheel.namelist())


def test_wheel_holds_every_module_and_data_file(wheel_names: set[str]) -> None:
    expected = set()
    for name in tracked():
        for top, package in PACKAGES.items():
            if name.startswith(top + "/") and Path(name).suffix in DATA | {".py"}:
                expected.add(package + name[len(top) :])
    assert len(expected) > 60
    assert expected - wheel_names == set()


def test_wheel_holds_nothing_else(wheel_names: set[str]) -> None:
    inside = {n for n in wheel_names if ".dist-info/" not in n}
    known = {
        package + name[len(top) :]
        for name in tracked()
        for top, package in PACKAGES.items()
        if name.startswith(top + "/")
    }
    assert inside - known == set()


def test_nothing_refers_to_what_lies_outside_the_project() -> None:
    outside = ("/work" + "/", ".." + "/shared", "hand" + "book/", ".." + "/.library")
    for name in tracked():
        if Path(name).suffix in {".py", ".md", ".yaml", ".toml", ".json"} or name == ".ci/run":
            text = (ROOT / name).read_text(encoding="utf-8")
            assert not [o for o in outside if o in text], name


def command_of(name: str) -> str:
    """Return a command of the README."""
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    return readme.partition(f"<!-- command: {name} -->\n```sh\n")[2].partition("\n```")[0]


def test_the_container_runs_the_first_command_of_the_readme() -> None:
    """Word for word, so that whoever tries that command tries the container's lines."""
    command = command_of("build").splitlines()
    lines = (ROOT / "Containerfile").read_text(encoding="utf-8").splitlines()
    runs = [line.removeprefix("RUN ") for line in lines if line.startswith("RUN ")]
    assert len(command) == 3
    assert runs == ["apt-get update && apt-get install -y sudo", *command]


def test_the_bill_of_materials_has_all_that_is_needed(tmp_path: Path) -> None:
    """The README's command, here for the tests' own environment: every dependency with its version."""
    tool, *words = shlex.split(command_of("materials"))
    assert tool == ".venv/bin/cyclonedx-py"
    file = tmp_path / "bill.json"
    places = {"dist/strutwright.cdx.json": str(file), "clean/bin/python": sys.executable}
    assert places.keys() <= set(words)
    subprocess.run([sys.executable, "-m", "cyclonedx_py", *(places.get(w, w) for w in words)], cwd=ROOT, check=True)
    bill = json.loads(file.read_bytes())
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    assert bill["bomFormat"] == "CycloneDX"
    of = bill["metadata"]["component"]
    assert (of["name"], of["version"]) == (project["name"], project["version"])
    held = {_plain(part["name"]): part for part in bill["components"]}
    for line in project["dependencies"]:
        assert held[_plain(re.split(r"[<>=]", line)[0])]["version"], line


def _plain(name: str) -> str:
    return re.sub(r"[-_.]+", "-", name).lower()
