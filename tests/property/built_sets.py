"""Carry random parameter files through checking, building, writing, reading back and measuring.

    python -m tests.property.built_sets --first 0 --count 2000 --processes 2

prints how many were refused by the reader or a check (each names a parameter), how many were cleared and built, and
everything else, which is a fault. A set that only checks which do not touch the solid refuse is built as well: whether
it can be is told apart. Each file is taken in a process of its own, which may crash or hang.
"""

from __future__ import annotations

import argparse
import functools
import multiprocessing
import resource
import signal
import sys
import tempfile
import traceback
from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path
from typing import Any, Literal, NamedTuple

import trimesh
import yaml

sys.path.insert(0, str(Path(__file__).parents[1]))
from property.random_flanges import draw_flanged
from property.random_hangers import draw_hanger
from property.random_let_in import draw_let_in
from property.random_sets import draw_set
from property.random_shoes import draw_shoe

from strutwright.models.checks import geometry_checks
from strutwright.models.resolve import Resolved, resolve
from strutwright.models.spec import Strut
from strutwright.params.loader import loads
from strutwright.params.problems import ParameterError
from strutwright.params.words import read

LIMIT_S = 240  # of the processor's time, which another's work on the machine does not use up
WAIT_S = 3600.0  # for what hangs without working
TILT_DEG = 60.0  # of a palm to its arm; past it there is no room for a bead on the closed side
VOLUME_TOL = 0.02  # of a mesh of 0.05 mm chords against the solid, thin beads and shells among them
DRAWN = {
    *("screw_clear_of_end", "screw_clear_of_arm", "rim_to_arm_root", "palm_tilt"),
    *(
        "hanger_water",
        "height_covered",
        "cap_bolt_seat",
        "ears_clear_of_web",
        "ears_clear_of_foot",
        "cap_clear_of_foot",
    ),
    *("screw_clear_of_flange", "hole_to_base_bore", "spigot_in_base", "bolt_edge_distance", "bolt_pitch"),
    *("wall_left", "hole_deep_enough", "locking_clear", "collar_in_counterbore", "slots_let_in"),
    *("rudder_stays_in", "bore_fit", "boss_clear_of_keel"),
}
"""Checks that a random set often breaks and that seldom stand in the way of building: it is built all the same."""

DRAWS: dict[str, Callable[[int], dict[str, Any]]] = {
    "strut": draw_set,
    "flanged_housing": draw_flanged,
    "let_in_housing": draw_let_in,
    "rudder_shoe": draw_shoe,
    "shaft_hanger": draw_hanger,
}
"""What draws the random sets of each kind of part."""

Kind = Literal["refused by the reader", "refused by a check", "refused by a check and built", "built", "fault"]


class Outcome(NamedTuple):
    """What became of a set, and why."""

    number: int
    kind: Kind
    why: str


def judge(number: int, draw: Callable[[int], dict[str, Any]] = draw_set) -> Outcome:
    """Return what becomes of random set `number` of those that are drawn."""
    try:
        one = resolve(loads(yaml.safe_dump(draw(number)), f"random-{number}.yaml"))
    except ParameterError as error:
        return Outcome(number, "refused by the reader", str(error).partition("\n")[0])
    failing = [f for f in geometry_checks(one.strut) if f.fails]
    if nameless := [f.code for f in failing if not f.parameter]:
        return Outcome(number, "fault", f"{nameless} name no parameter")
    if refused := {
        f.code for f in failing if f.code not in DRAWN or (f.code == "palm_tilt" and abs(float(f.actual)) > TILT_DEG)
    }:
        return Outcome(number, "refused by a check", ", ".join(sorted(refused)))
    faults = _in_a_process(one)
    if failing:
        why = ", ".join(sorted({f.code for f in failing}))
        return (
            Outcome(number, "refused by a check", f"{why}; not built: {faults}")
            if faults
            else Outcome(number, "refused by a check and built", why)
        )
    return Outcome(number, "fault" if faults else "built", faults)


# Processes come from one that has loaded the kernel and never used it: a copy of one that has would wait for ever for
# threads of the kernel that were not copied.
_PROCESSES = multiprocessing.get_context("forkserver")
_PROCESSES.set_forkserver_preload(["cadquery", "strutwright.models.solids.assembly", "trimesh"])


def _in_a_process(one: Resolved) -> str:
    """Return what goes wrong with a set in a process of its own."""
    ours, theirs = multiprocessing.Pipe(duplex=False)
    child = _PROCESSES.Process(target=_tell, args=(one, theirs))
    child.start()
    theirs.close()
    try:
        faults = ours.recv() if ours.poll(WAIT_S) else [f"hung for {WAIT_S:g} s"]
    except EOFError:
        child.join()
        slow = child.exitcode == -signal.SIGXCPU
        faults = [f"took over {LIMIT_S} s" if slow else f"the process ended with {child.exitcode}"]
    child.kill()
    child.join()
    return "; ".join(faults)


def _tell(one: Resolved, pipe: multiprocessing.connection.Connection) -> None:
    resource.setrlimit(resource.RLIMIT_CPU, (LIMIT_S, LIMIT_S + 5))
    try:
        pipe.send([*faults_of(one.strut), *pattern_faults(one)])
    except Exception:  # told as a fault, whatever it is
        pipe.send([traceback.format_exc()[-600:]])


def faults_of(strut: Strut) -> Iterator[str]:
    """Build a strut, write it, read it back and measure it; yield what is wrong."""
    from strutwright.exporters.files.mesh import MeshError, write_glb, write_stl
    from strutwright.exporters.inspect.written import write_and_measure
    from strutwright.models.solids import build

    built = build(strut)
    yield from (f"{f.code}: {read(f.what, 'mm')}" for f in built.findings if f.fails)
    with tempfile.TemporaryDirectory() as folder:
        step, stl, glb = (Path(folder) / f"strut.{ending}" for ending in ("step", "stl", "glb"))
        # Triangulated once more from the file, too, in other ways than the mesh writer does.
        yield from (
            f"{f.code}: {read(f.what, 'mm')}: {f.actual} for {f.demanded}"
            for f in write_and_measure(step, built.parts, "strut", "mm", strut)[0]
            if f.fails
        )
        try:
            write_stl(stl, built.parts)
            write_glb(glb, built.parts)
        except MeshError as error:
            yield str(error)
            return
        volume, all_parts = trimesh.load(stl).volume, sum(p.volume_mm3 for p in built.parts)
        if abs(volume - all_parts) > VOLUME_TOL * all_parts:
            yield f"{volume:.0f} mm3 in the STL file, {all_parts:.0f} as built"
        scene = trimesh.load(glb)
        for part in built.parts:
            mesh = scene.geometry[part.name]
            mesh.merge_vertices(merge_tex=True, merge_norm=True)
            if abs(mesh.volume * 1e9 - part.volume_mm3) > VOLUME_TOL * part.volume_mm3:
                yield f"{part.name}: {mesh.volume * 1e9:.0f} mm3 in the GLB file, {part.volume_mm3:.0f} as built"


def pattern_faults(one: Resolved) -> Iterator[str]:
    """Make the pattern set of a casting and its meshes; yield what is wrong."""
    from strutwright.exporters.files.mesh import MeshError, part_mesh
    from strutwright.models.shop.foundry import foundry_settings
    from strutwright.models.solids import casting

    pattern = None if one.strut.construction != "cast" else casting.build_pattern(one.strut, foundry_settings(one))
    if pattern is None:
        return
    yield from (f"{f.code}: {read(f.what, 'mm')}" for f in pattern.findings if f.fails)
    for body in pattern.parts():
        try:
            part_mesh(body.shape, body.name)
        except MeshError as error:
            yield str(error)


def outcomes(part: str, numbers: Iterable[int], processes: int) -> Iterator[Outcome]:
    """Yield what becomes of random sets of a kind of part, in their order."""
    with ProcessPoolExecutor(processes, mp_context=_PROCESSES) as pool:
        yield from pool.map(functools.partial(judge, draw=DRAWS[part]), numbers)


def main(arguments: list[str] | None = None) -> int:
    """Run the command; return 1 when a set was a fault."""
    asked = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    asked.add_argument("--first", type=int, default=0)
    asked.add_argument("--count", type=int, default=2000)
    asked.add_argument("--processes", type=int, default=2)
    asked.add_argument("--part", choices=tuple(DRAWS), default="strut")
    asked.add_argument("--number", type=int, action="append", help="this set alone; may be said more than once")
    options = asked.parse_args(arguments)
    counts: Counter[str] = Counter()
    numbers = options.number or range(options.first, options.first + options.count)
    for outcome in outcomes(options.part, numbers, options.processes):
        counts[outcome.kind] += 1
        if outcome.kind == "fault" or "not built" in outcome.why:
            print(f"{outcome.number}, {outcome.kind}: {outcome.why}", flush=True)
        if sum(counts.values()) % 50 == 0:
            print(dict(counts), flush=True)
    print(dict(counts))
    return int(counts["fault"] > 0)


if __name__ == "__main__":
    sys.exit(main())
