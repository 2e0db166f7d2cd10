"""Checks of what is made of what: alloy and process, and metals that touch in sea water."""

from __future__ import annotations

from strutwright.models.checks.check import Check
from strutwright.models.checks.results import Results, bearing_path
from strutwright.models.finding import Standing
from strutwright.models.formulas.corrosion import Couple, Potential, couple
from strutwright.params import tables
from strutwright.params.tables import Material
from strutwright.params.words import Amount, say

_GROUP = "materials"
PROCESS = Check("alloy_suits_process", _GROUP, "the alloy can be cast, or welded, as the strut is made")
HULL = Check("strut_on_hull", _GROUP, "the strut's metal may touch the hull's", ("galvanic",))
SHELL = Check("shell_in_barrel", _GROUP, "the bearing's shell may touch the barrel's metal", ("galvanic",))
BOLTS = Check("bolts_in_palm", _GROUP, "the bolts do not waste against the palm", ("galvanic",))
CHECKS = (PROCESS, HULL, SHELL, BOLTS)
_YELLOW = ("bronze", "brass")


def check(out: Results) -> None:
    """Find on materials."""
    strut = out.strut
    metal = tables.material(strut.material)
    _process(out, metal)
    if strut.hull.isolated:
        out.holds(HULL, f"{metal.name} isolated from {strut.hull.material}", True, parameter="hull.isolated", advice="")
    else:
        _hull(out, metal, tables.material(strut.hull.material))
    for i, b in enumerate(strut.bearings):
        _shell(out, i, metal, tables.material(b.shell_material))
    bolt = tables.material(strut.palms[0].bolt.material)
    pair = _couple(metal, bolt)
    if pair is not None:
        small_anode = not pair.anode_is_first
        out.most(
            BOLTS,
            f"{bolt.name} bolts in {metal.name}" + ("" if small_anode else ": the bolts are the nobler"),
            pair.difference_mv if small_anode else 0.0,
            "galvanic",
            unit="mV",
            parameter="materials.bolts",
            advice="the bolts would waste: choose materials.bolts at least as noble as the strut",
        )


def _process(out: Results, metal: Material) -> None:
    if out.strut.construction == "cast":
        out.holds(
            PROCESS,
            f"{metal.name} for a casting",
            metal.cast,
            parameter="materials.strut",
            source="usual forms of the alloy",
            standing=Standing.MEMORY,
            advice="choose a casting alloy for materials.strut, such as C95800 or CF3M, or construction: welded",
        )
        return
    # The one alloy with fair marks in general tables that strut makers still do not weld: much zinc boils off.
    bad = metal.weldability in ("poor", "no") or metal.galvanic_group == "manganese bronze"
    out.holds(
        PROCESS,
        f"{metal.name} for a welded strut",
        metal.welded and not bad,
        warn=not bad,
        parameter="materials.strut",
        source="alloy data pages on weldability",
        standing=Standing.PUBLISHED if metal.galvanic_group == "manganese bronze" else Standing.MEMORY,
        advice="choose a weldable materials.strut, such as 316L, S32205 or 5083-H111, or construction: cast",
    )


def _hull(out: Results, metal: Material, hull: Material) -> None:
    if hull.family == "aluminium" and metal.family in _YELLOW:
        out.holds(
            HULL,
            f"{metal.name} on an aluminium hull",
            False,
            parameter="materials.strut",
            source="galvanic series in flowing sea water",
            standing=Standing.PUBLISHED,
            advice="no bronze on aluminium: choose materials.strut 5083-H111, or 316L or S32205 with isolation",
        )
        return
    pair = _couple(metal, hull)
    if pair is not None:
        out.most(
            HULL,
            f"{metal.name} on {hull.name}",
            pair.difference_mv,
            "galvanic",
            unit="mV",
            parameter="materials.strut",
            advice="isolate palm and bolts with gasket and sleeves (hull.isolated: true) and fit anodes, or "
            "choose materials.strut of the hull's family",
        )
    else:
        out.holds(HULL, f"{metal.name} on {hull.name}", True, parameter="materials.strut", advice="")


def _shell(out: Results, i: int, metal: Material, shell: Material) -> None:
    path = bearing_path(out.strut, i, "shell_material")
    what = f"{shell.name} in a {metal.name} barrel"
    pair = _couple(metal, shell)
    yellow_in_stainless = metal.family in ("stainless", "duplex") and shell.family in _YELLOW
    if yellow_in_stainless or pair is None:
        size = "" if pair is None else say(", {apart} apart", apart=Amount(pair.difference_mv, "mV"))
        out.holds(
            SHELL,
            say("{what}{size}", what=what, size=size),
            not yellow_in_stainless,
            warn=True,
            parameter=path,
            source="trade directory on strut bearings",
            standing=Standing.PUBLISHED,
            advice=f"set {path} to glass-epoxy shell: a metal shell wastes in a stainless barrel",
        )
    else:
        out.most(
            SHELL,
            what,
            pair.difference_mv,
            "galvanic",
            unit="mV",
            parameter=path,
            advice=f"set {path} to glass-epoxy shell, or to a metal of the barrel's family",
        )


def _couple(first: Material, second: Material) -> Couple | None:
    """Compare two metals; None when one is no metal of the series."""
    if first.galvanic_group is None or second.galvanic_group is None:
        return None
    return couple(*(Potential(*tables.galvanic_range_v(m.galvanic_group or "")) for m in (first, second)))
