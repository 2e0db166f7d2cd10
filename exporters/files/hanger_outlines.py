"""Full-size outlines of what lies between parts of a hanger: shims of its split, and shims under its foot."""

from __future__ import annotations

from strutwright.exporters.files.cutfile import CutFile, cut_file
from strutwright.exporters.files.lettering import Lettering, finish
from strutwright.models.outline import polygon
from strutwright.models.spec import Strut
from strutwright.models.spec_hanger import Cap, Hanger, SplitShims


def hanger_patterns(strut: Strut, hanger: Hanger) -> dict[str, CutFile]:
    """Return the outlines of the shims of a hanger, by what they are; none where it has no shims."""
    made = {}
    if hanger.cap is not None and hanger.cap.shims is not None:
        made["split-shim"] = _split_shim(strut, hanger.cap, hanger.cap.shims)
    if hanger.under.kind == "shims":
        made["foot-shim"] = _foot_shim(strut, hanger)
    return made


def _split_shim(strut: Strut, cap: Cap, shims: SplitShims) -> CutFile:
    """One shim of one side: forward to the right, the bore below. That of the other side is the same turned over."""
    cut = cut_file(strut, "split shim")
    barrel, bolt, dowels = strut.barrel, cap.bolt, cap.dowels
    bore, left, right = barrel.bore_mm / 2, barrel.x(cap.ear_from_mm), barrel.x(cap.ear_to_mm)
    shape = polygon([(left, bore), (right, bore), (right, cap.ear_out_mm), (left, cap.ear_out_mm)])
    cut.add_outline("CUT_OUTER", shape)
    holes = [(barrel.x(s), bolt.out_mm, bolt.hole_mm) for s in bolt.stations_mm]
    if dowels is not None:
        holes += [(barrel.x(s), dowels.out_mm, dowels.diameter_mm) for s in dowels.stations_mm]
    for x, y, wide in holes:
        cut.add_circle("CUT_INNER", (x, y), wide)
        cut.add_centre_mark((x, y), 1.4 * wide)
    Lettering(cut).inside(shape, ["split shim"], "FWD")
    facts = [
        f"{cut.length(shims.thickness_mm)} thick, {shims.material}; {shims.count} on each side, "
        f"{2 * shims.count} in all, all in when the bore is machined; {shims.taken_out} on each side taken out when "
        "the bearing is in",
        "the long edge without holes beside it is the bore's: it is bored with the barrel",
        "for the other side turn it over; flat, without burrs, all of one side from one sheet",
    ]
    finish(cut, strut, "split shim", "on the body's ear, left ear", facts, long_bars=True)
    return cut


def _foot_shim(strut: Strut, hanger: Hanger) -> CutFile:
    """The shim under the whole foot, seen on the bedding face: forward to the right, left side up."""
    palm, under = strut.palms[0], hanger.under
    cut = cut_file(strut, "foot shim")
    cut.add_outline("CUT_OUTER", palm.outline)
    for hole in palm.holes:
        cut.add_circle("CUT_INNER", (hole.u_mm, hole.v_mm), palm.bolt.hole_mm)
        cut.add_centre_mark((hole.u_mm, hole.v_mm), 1.4 * palm.bolt.hole_mm)
    letters = Lettering(cut)
    letters.number_holes([h.number for h in palm.holes], [(h.u_mm, h.v_mm) for h in palm.holes], palm.bolt.hole_mm / 2)
    letters.inside(palm.outline, ["foot shim", "this side to the bed"], "FWD")
    facts = [
        f"{cut.length(under.thickness_mm)} thick as drawn; made to the height measured in place, from "
        f"{cut.length(under.least_mm)} to {cut.length(under.most_mm)}, ground to a taper where bed and foot are not "
        "parallel; as few and as thick shims as make it up, flat and without burrs"
    ]
    finish(cut, strut, "foot shim", "side to the bed", facts, long_bars=True)
    return cut
