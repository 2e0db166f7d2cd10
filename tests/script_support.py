"""Runs scripts of parts in an interpreter that refuses strutwright, and measures there what they make.

The measuring is cadquery's and the kernel's own, on the bodies and on what the same interpreter reads from a STEP file.
"""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

RUN = r"""
import json, runpy, sys, time

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

out = []
for script, step in json.loads(sys.argv[1]):
    begun, said = time.perf_counter(), {}
    try:
        made = runpy.run_path(script)
        said["parts"] = {body.name: measured(body.shape) for body in made["bodies"]}
        said["shown"] = [one.name for one in made["result"].children]
    except Exception as error:
        said["error"] = f"{type(error).__name__}: {error}"
    said["seconds"] = time.perf_counter() - begun
    if step:
        said["step"] = [measured(s) for s in cq.importers.importStep(step).solids().vals()]
    out.append(said)
assert not [name for name in sys.modules if name.partition(".")[0] == "strutwright"]
print(json.dumps(out))
"""


def run_scripts(folder: Path, texts: Sequence[str], steps: Sequence[Path | None] | None = None) -> list[dict[str, Any]]:
    """Return what scripts make, each of them: parts by name, what stands in the result, or the error; and what is in a
    STEP file beside it. All in one interpreter without strutwright."""
    jobs = []
    for k, text in enumerate(texts):
        path = folder / f"script-{k}.py"
        path.write_text(text, encoding="utf-8")
        step = steps[k] if steps else None
        jobs.append((str(path), str(step) if step else ""))
    done = subprocess.run(
        [sys.executable, "-I", "-c", RUN, json.dumps(jobs)], capture_output=True, text=True, check=False, timeout=600
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
