"""Checks of what is made of what: alloy and process, and metals that touch in sea water."""

from __future__ import annotations

from strutwright.models.checks.check import rows_of
from strutwright.models.checks.results import Results, bearing_path
from strutwright.models.finding import Standing
from strutwright.models.formulas.corrosion import Couple, Potential, couple
from strutwright.models.spec import Strut
from strutwright.params import tables
from strutwright.params.tables import Material
from strutwright.params.words import Amount, say

CHECKS = (PROCESS, HULL, SHELL, BOLTS) = rows_of("materials")
_YELLOW = ("bronze", "brass")


def check(out: Results) -> None:
    """Check materials.

    >>> round(found(check, "harbour-launch")["shell_in_barrel"].actual)  # mV between C46400 and C95800
    175
    """
    strut = out.strut
    metal = tables.material(strut.material)
    _process(out, metal)
    if strut.flange is not None or strut.let_in is not None:
        pass  # a base of metal: `flange_on_base`, `housing_on_structure`
    elif strut.hull.isolated:
        out.holds(HULL, True, metal=metal.name, material=strut.hull.material)
    else:
        _hull(out, metal, tables.material(strut.hull.material))
    for i, b in enumerate(strut.bearings):
        _shell(out, i, metal, tables.material(b.shell_material))
    if strut.let_in is not None and not (strut.let_in.locking or strut.let_in.drawing):
        return
    bolt = tables.material(strut.plates[0].bolt.material if strut.plates else _screws_of(strut))
    pair = _couple(metal, bolt)
    if pair is not None:
        small_anode = not pair.anode_is_first
        out.most(
            BOLTS,
            pair.difference_mv if small_anode else 0.0,
            "galvanic",
            unit="mV",
            thing=f"{bolt.name} {'bolts' if strut.plates else 'screws'} in {metal.name}"
            + ("" if small_anode else ", the bolts the nobler"),
        )


def _screws_of(strut: Strut) -> str:
    assert strut.let_in is not None
    return strut.let_in.screw_material


def _process(out: Results, metal: Material) -> None:
    if out.strut.construction == "cast":
        out.holds(PROCESS, metal.cast, source="usual forms of the alloy", standing=Standing.MEMORY, metal=metal.name)
        return
    if not out.strut.heated:
        return  # a part that is turned is of any alloy
    # The one alloy with fair marks in general tables that strut makers still do not weld: much zinc boils off.
    bad = metal.weldability in ("poor", "no") or metal.galvanic_group == "manganese bronze"
    out.holds(
        PROCESS,
        metal.welded and not bad,
        form="welded",
        warn=not bad,
        source="alloy data pages on weldability",
        standing=Standing.PUBLISHED if metal.galvanic_group == "manganese bronze" else Standing.MEMORY,
        metal=metal.name,
    )


def _hull(out: Results, metal: Material, hull: Material) -> None:
    if hull.family == "aluminium" and metal.family in _YELLOW:
        out.holds(
            HULL,
            False,
            form="yellow metal",
            source="galvanic series in flowing sea water",
            standing=Standing.PUBLISHED,
            metal=metal.name,
        )
        return
    pair = _couple(metal, hull)
    if pair is not None:
        out.most(HULL, pair.difference_mv, "galvanic", form="apart", unit="mV", metal=metal.name, hull=hull.name)
    else:
        out.holds(HULL, True, form="alike", metal=metal.name, hull=hull.name)


def _shell(out: Results, i: int, metal: Material, shell: Material) -> None:
    path = bearing_path(out.strut, i, "shell_material")
    what = f"{shell.name} in a {metal.name} barrel"
    pair = _couple(metal, shell)
    yellow_in_stainless = metal.family in ("stainless", "duplex") and shell.family in _YELLOW
    if yellow_in_stainless or pair is None:
        size = "" if pair is None else say(", {apart} apart", apart=Amount(pair.difference_mv, "mV"))
        out.holds(
            SHELL,
            not yellow_in_stainless,
            warn=True,
            source="trade directory on strut bearings",
            standing=Standing.PUBLISHED,
            pair=what,
            size=size,
            path=path,
        )
    else:
        out.most(SHELL, pair.difference_mv, "galvanic", form="apart", unit="mV", thing=what, path=path)


def _couple(first: Material, second: Material) -> Couple | None:
    """Compare two metals; None when one is no metal of the series."""
    if first.galvanic_group is None or second.galvanic_group is None:
        return None
    return couple(*(Potential(*tables.galvanic_range_v(m.galvanic_group or "")) for m in (first, second)))
