"""Runs scripts of parts in an interpreter that refuses strutwright, and measures there what they make.

The measuring is cadquery's and the kernel's own, on the bodies and on what the same interpreter reads from a STEP file.
"""

from __future__ import annotations

import dataclasses
import json
import subprocess
import sys
from collections.abc import Mapping, Sequence
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest
from support import built_of

from strutwright.exporters.files.step import write_assembly
from strutwright.exporters.script.write import script
from strutwright.models.outline import Outline
from strutwright.models.spec import Strut
from strutwright.params.limits import standard

RUN = r"""
import json, runpy, sys

class Refuse:
    def find_spec(self, name, path=None, target=None):
        if name.partition(".")[0] == "strutwright":
            raise ModuleNotFoundError(name)

sys.meta_path.insert(0, Refuse())
try:
    import strutwright
except ModuleNotFoundError:
    pass
else:
    raise SystemExit("strutwright is here")

import cadquery as cq
from OCP.BRepGProp import BRepGProp
from OCP.GProp import GProp_GProps

def measured(solid):
    props = GProp_GProps()
    BRepGProp.VolumeProperties_s(solid.wrapped, props, 1e-9, False, True)
    box = solid.BoundingBox(1e-4)
    return {"volume": props.Mass(), "faces": len(solid.Faces()),
            "box": [box.xmin, box.xmax, box.ymin, box.ymax, box.zmin, box.zmax]}

def on_the_command_line(script, to):
    sys.argv = [script, to]
    runpy.run_path(script, run_name="__main__")
    return [measured(s) for s in cq.importers.importStep(to).solids().vals()]

asked, export = sys.argv[1], sys.argv[2]
out = []
for script, step in json.loads(asked):
    said, editor = {}, []
    try:
        sys.argv = [script]
        made = runpy.run_path(script, init_globals={"show_object": editor.append})
        assert editor == [made["result"]]
        said["parts"] = {body.name: measured(body.shape) for body in made["bodies"]}
        said["shown"] = [one.name for one in made["result"].children]
    except Exception as error:
        said["error"] = f"{type(error).__name__}: {error}"
    if step:
        said["step"] = [measured(s) for s in cq.importers.importStep(step).solids().vals()]
    out.append(said)
if export:
    out.append({"parts": out[-1]["parts"], "shown": out[-1]["shown"], "step": on_the_command_line(script, export)})
assert not [name for name in sys.modules if name.partition(".")[0] == "strutwright"]
print(json.dumps(out))
"""


def run_scripts(
    folder: Path, texts: Sequence[str], steps: Sequence[Path | None] | None = None, export: str = ""
) -> list[dict[str, Any]]:
    """Return what scripts make, each of them: parts by name, what stands in the result, or the error; and what is in a
    STEP file beside it. All in one interpreter without strutwright.

    export: a file that the last one is told to write; then what stands in that comes last.
    """
    jobs = []
    for k, text in enumerate(texts):
        path = folder / f"script-{k}.py"
        path.write_text(text, encoding="utf-8")
        step = steps[k] if steps else None
        jobs.append((str(path), str(step) if step else ""))
    done = subprocess.run(
        [sys.executable, "-I", "-c", RUN, json.dumps(jobs), export and str(folder / export)],
        capture_output=True,
        text=True,
        check=False,
        timeout=600,
    )
    assert done.returncode == 0, done.stderr
    found: list[dict[str, Any]] = json.loads(done.stdout.splitlines()[-1])
    return found


def alike(one: Mapping[str, Any], other: Mapping[str, Any]) -> bool:
    """Whether two bodies have the same volume within a millionth, the same box and as many faces."""
    return (
        abs(one["volume"] - other["volume"]) <= 1e-6 * other["volume"]
        and one["faces"] == other["faces"]
        and all(abs(a - b) <= 1e-4 for a, b in zip(one["box"], other["box"], strict=True))
    )


def text_of(strut: Strut) -> str:
    """The script of a part under the shipped limits."""
    return script(strut, standard(), "a-set.yaml", "0")


def written(folder: Path, strut: Strut) -> Path:
    """The STEP file of a part."""
    path = folder / f"{strut.identity.number}.step"
    write_assembly(path, built_of(strut).parts, "a part")
    return path


def same_bodies(found: dict[str, Any]) -> bool:
    """Whether what a script made is what stands in the STEP file beside it."""
    assert "error" not in found, found["error"]

    assert list(found["parts"]) == found["shown"]
    left = list(found["step"])
    for body in found["parts"].values():
        left.remove(next(one for one in left if alike(body, one)))
    return not left


def ran(text: str) -> dict[str, Any]:
    """What a script defines, without building."""
    head, mark, _ = text.rpartition("\nbodies = ")
    assert mark
    module = ModuleType("script")
    sys.modules["script"] = module  # dataclasses look there
    try:
        exec(compile(head, "script", "exec"), module.__dict__)
    finally:
        del sys.modules["script"]
    return module.__dict__


def assert_same(one: Any, other: Any) -> None:
    """Every field that a script's record has is that of the program's."""
    if isinstance(one, tuple):
        assert len(one) == len(other)
        for a, b in zip(one, other, strict=True):
            assert_same(a, b)
    elif type(one).__name__ == Outline.__name__:
        assert one.closed == other.closed
        assert one.vertices == pytest.approx(other.vertices, rel=1e-11, abs=1e-11)
    elif dataclasses.is_dataclass(one):
        assert type(one).__name__.endswith(type(other).__name__)
        for f in dataclasses.fields(one):
            if f.name != "family":
                assert_same(getattr(one, f.name), getattr(other, f.name))
    elif isinstance(one, float):
        assert one == pytest.approx(other, rel=1e-11, abs=1e-11)
    else:
        assert one == other
