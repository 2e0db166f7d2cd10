"""How long the sheets and templates of a single-arm strut take once its solid exists.

    python -m tests.benchmark.sheets [set]

Prints the hidden-line time of each view, beside it the kernel's own hidden-line removal of the same view, and the time
of everything written. Ends with status 1 when a limit is passed: 10 s for all, 1.5 times the bare kernel for a view.
"""

from __future__ import annotations

import hashlib
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

from strutwright.exporters.drawing.projection import FRONT, LEFT, TOP, Viewpoint, project
from strutwright.exporters.files.templates import template_files
from strutwright.exporters.sheets import SheetContext, common
from strutwright.exporters.sheets.render_set import write_sheets
from strutwright.models.resolve import resolve
from strutwright.models.solids import build
from strutwright.params import loader

ALL_S, OVER_KERNEL = 10.0, 1.5


def by_kernel_s(shape: Any, view: Viewpoint) -> float:
    """Return the seconds the kernel's own hidden-line removal takes, curves taken out but not looked at."""
    from OCP.gp import gp_Ax2, gp_Dir, gp_Pnt
    from OCP.HLRAlgo import HLRAlgo_Projector
    from OCP.HLRBRep import HLRBRep_Algo, HLRBRep_HLRToShape

    begun = time.perf_counter()
    algorithm = HLRBRep_Algo()
    algorithm.Add(shape.wrapped)
    algorithm.Projector(HLRAlgo_Projector(gp_Ax2(gp_Pnt(*view.origin), gp_Dir(*view.toward), gp_Dir(*view.right))))
    algorithm.Update()
    algorithm.Hide()
    out = HLRBRep_HLRToShape(algorithm)
    for take in (out.VCompound, out.OutLineVCompound, out.Rg1LineVCompound, out.HCompound, out.OutLineHCompound):
        take()
    return time.perf_counter() - begun


def main(name: str = "harbour-launch") -> int:
    """Run the benchmark on a shipped set and return the exit status."""
    path = loader.shipped()[name]
    resolved = resolve(loader.load(path))
    strut = resolved.strut
    built = build(strut)
    print(f"{name}: solids in {built.seconds:.2f} s")
    shape = common.bare_strut(SheetContext(resolved, strut, built, "", ""))
    ours = kernel = 0.0
    for words, view in (("side", FRONT), ("aft", LEFT), ("plan", TOP)):
        mine, bare = project(shape, view).seconds, by_kernel_s(shape, view)
        ours, kernel = ours + mine, kernel + bare
        print(f"  {words:6} {mine:6.2f} s, bare kernel {bare:6.2f} s")
    print(f"  hidden lines {ours / kernel:.2f} times the bare kernel, limit {OVER_KERNEL}")
    # A fresh build, so that nothing is kept from the views above.
    context = SheetContext(resolved, strut, build(strut), hashlib.sha256(path.read_bytes()).hexdigest(), "benchmark")
    with tempfile.TemporaryDirectory() as folder:
        begun, processor = time.perf_counter(), time.process_time()
        files = write_sheets(Path(folder), context)
        sheets_s = time.perf_counter() - begun
        for cut_name, cut in sorted(template_files(strut).items()):
            cut.save(Path(folder) / f"{cut_name}.dxf")
        total, busy = time.perf_counter() - begun, time.process_time() - processor
    for words, seconds in context.seconds.items():
        print(f"  view {words:24} {seconds:6.2f} s")
    print(f"{len(files)} files of sheets in {sheets_s:.2f} s, templates in {total - sheets_s:.2f} s")
    print(
        f"all {total:.2f} s by the clock, {busy:.2f} s of processor, limit {ALL_S:g} s of processor: one core does it "
        "all, so on an idle machine the two are the same"
    )
    return int(busy > ALL_S or ours > OVER_KERNEL * kernel)


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:2]))
