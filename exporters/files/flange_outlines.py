"""Full-size outlines of a flanged housing: the flange, its gasket, and the template of the base.

Each is seen square to the face named, up is up; the shaft line stands at (0, 0).
"""

from __future__ import annotations

import math

import numpy as np

from strutwright.exporters.drawing.shapes import P
from strutwright.exporters.files.cutfile import CutFile, cut_file
from strutwright.exporters.files.lettering import Lettering, finish, hand_text
from strutwright.models import frames
from strutwright.models.geometry.flange import face_x_mm, off_square_deg, rib_profile
from strutwright.models.outline import Floats, Outline, circle, polygon
from strutwright.models.spec import Strut
from strutwright.models.spec_flange import Flange
from strutwright.params.words import deg

GASKET_PUNCH = 1.1
"""Hole of a gasket over that of the flange; common practice, no source."""


def flange_pattern(strut: Strut, flange: Flange) -> CutFile:
    """Return the flange full size, seen on its free face, as it is drilled."""
    cut = cut_file(strut, "flange, free face")
    shape = seen_on_free_face(flange)
    cut.add_outline("CUT_OUTER", shape)
    places, bolt = _places(flange), flange.bolt
    for at in places:
        cut.add_circle("DRILL", at, bolt.hole_mm)
        if bolt.recess:
            cut.add_circle("COUNTERSINK", at, bolt.head_diameter_mm)
        cut.add_centre_mark(at, 1.4 * max(bolt.hole_mm, bolt.head_diameter_mm))
    welded = strut.construction == "welded"
    hole = barrel_on_free_face(strut, flange)
    cut.add_outline("CUT_INNER" if welded and flange.plane.square else "ENGRAVE" if welded else "PHANTOM", hole)
    _axes(cut, shape)
    letters = Lettering(cut)
    rim = bolt.head_diameter_mm if bolt.recess else bolt.hole_mm
    letters.number_holes([h.number for h in flange.holes], places, rim / 2)
    _sides(cut, letters, strut, shape, flange)
    head = f", {bolt.head.recess} to {cut.length(bolt.head_diameter_mm)} dia on this face" if bolt.recess else ""
    facts = [
        "seen on the FREE FACE, on which barrel and heads are; the shaft line at the crossing, up is up",
        f"{len(flange.holes)} holes {cut.length(bolt.hole_mm)} dia for {bolt.size}, square to the flange{head}",
        f"flange {cut.length(flange.thickness_mm)} thick; {_hole_words(cut, strut, flange)}",
        *_slant(cut, flange),
    ]
    finish(cut, strut, "flange", "free face", facts, long_bars=True)
    return cut


def _hole_words(cut: CutFile, strut: Strut, flange: Flange) -> str:
    """What the line of the barrel means."""
    if strut.construction != "welded":
        return "the barrel's outside dashed"
    across = cut.length(strut.barrel.outside_mm)
    if flange.plane.square:
        return f"hole {across} dia for the barrel, which is welded in"
    return (
        f"hole for the barrel bored {across} dia along the shaft line, not square: the oval is its edge on this face, "
        "the one on the bedding face lies beside it"
    )


def barrel_on_free_face(strut: Strut, flange: Flange) -> Outline:
    """Return the line in which the barrel's outside meets the free face, as it is seen on it: a circle, or an oval."""
    return _on_face(strut, flange, strut.barrel.outside_mm, flange.thickness_mm)


def _on_face(strut: Strut, flange: Flange, across_mm: float, deep_mm: float = 0.0) -> Outline:
    """A cylinder along the shaft where it meets a plane so deep under the bedding face, as it is seen on the free
    face: a circle, or an oval."""
    if flange.plane.square:
        return circle(across_mm)
    r = across_mm / 2
    turn = np.radians(np.linspace(0.0, 360.0, 145)[:-1])
    around = np.stack([np.zeros_like(turn), r * np.sin(turn), r * np.cos(turn)], axis=1)
    return polygon(seen_through(strut, flange, around, deep_mm))


def _bored(cut: CutFile, strut: Strut, flange: Flange, across_mm: float) -> None:
    """A hole along the shaft where it meets the bedding face; none where nothing goes through."""
    if across_mm <= 0.0:
        return
    if flange.plane.square:
        cut.add_circle("CUT_INNER", (0.0, 0.0), across_mm)
    else:
        cut.add_outline("CUT_INNER", _on_face(strut, flange, across_mm))


def seen_through(strut: Strut, flange: Flange, across: Floats, deep_mm: float) -> list[P]:
    """Return where lines along the shaft, (n, 3) across it in mm, go through a plane so deep under the bedding face,
    as it is seen on the free face."""
    axes = frames.flange_axes(flange, strut.barrel)
    x = axes.origin[0] - (deep_mm + across @ axes.n) / axes.n[0]
    uv = axes.from_strut(across + x[:, None] * np.array([1.0, 0.0, 0.0]))
    return [(float(v), float(u)) for u, v, *_ in uv]


def rib_pattern(strut: Strut, flange: Flange) -> CutFile:
    """Return the ribs of a welded housing side by side, each seen from its clockwise side, cut to barrel and flange.

    The barrel is below, the flange to the right where its bedding face looks forward, else to the left.
    """
    cut, ribs, barrel = cut_file(strut, "ribs"), flange.ribs, strut.barrel
    assert ribs is not None
    at, letters = 0.0, Lettering(cut)
    for k, clock in enumerate(ribs.clocks_deg):
        inside = rib_profile(flange, barrel, clock)
        (_, out), (end, out_end), (toe, up) = inside[1], inside[2], inside[3]
        r = barrel.outside_mm / 2
        face = [(face_x_mm(flange, barrel, flange.thickness_mm, clock, h), h) for h in (r, out)]
        corners = np.array([(toe, r), *face, (end, out_end), (toe, up)]) - (0.0, r)
        left = float(corners[:, 0].min())
        corners += (at - left, 0.0)
        shape = polygon(corners.tolist())
        cut.add_outline("CUT_OUTER", shape)
        letters.beside(f"RIB {k + 1}", (float(corners[:, 0].mean()), -4.0), way_deg=-90.0)
        at += float(np.ptp(corners[:, 0])) + 30.0
    facts = [
        f"{ribs.count} ribs of plate {cut.length(ribs.thickness_mm)}, numbered from clock "
        f"{cut.said(deg(ribs.first_clock_deg))}, positive toward port; the barrel below, the flange at the long side",
        "cut in the middle plane of the plate: leave the foot full and grind it to the barrel's round",
        "nip off the inner corner to clear the weld between flange and barrel",
    ]
    finish(cut, strut, "ribs", "either face", facts, long_bars=True)
    return cut


def gasket_pattern(strut: Strut, flange: Flange) -> CutFile:
    """Return the gasket of the bedding face; of a recess, or round the bore of the base over the whole face."""
    cut = cut_file(strut, "gasket")
    gasket = flange.gasket
    inside = flange.base.bore_mm
    if gasket is not None and gasket.recess_mm > 0:
        cut.add_circle("CUT_OUTER", (0.0, 0.0), gasket.recess_mm)
        facts = [f"ring for the recess of the bedding face, {cut.length(gasket.recess_depth_mm)} deep"]
        shape = circle(gasket.recess_mm)
    else:
        shape = seen_on_free_face(flange)
        cut.add_outline("CUT_OUTER", shape)
        hole = GASKET_PUNCH * flange.bolt.hole_mm
        for at in _places(flange):
            cut.add_circle("CUT_INNER", at, hole)
        facts = [f"{len(flange.holes)} holes punched {cut.length(hole)} dia"]
    if flange.spigot is not None:
        inside = max(inside, flange.spigot.outside_mm)
    _bored(cut, strut, flange, inside)
    _axes(cut, shape)
    keel = _keel_end(cut, strut, flange, shape)
    _sides(cut, Lettering(cut), strut, shape, flange)
    thick = 0.0 if gasket is None else gasket.thickness_mm
    round_hole = f"inside {cut.length(inside)} dia along the shaft; " if inside > 0.0 else ""
    facts += [f"{round_hole}{cut.length(thick)} thick as fitted", *keel]
    finish(cut, strut, "gasket", "free side", facts, long_bars=True)
    return cut


def base_template(strut: Strut, flange: Flange, torque: str = "") -> CutFile:
    """Return the template of the base: the printed side is seen, as it is held against deadwood, post or transom.

    torque: of the fasteners, in words.
    """
    cut = cut_file(strut, "base template")
    shape = seen_on_free_face(flange)
    cut.add_outline("TEMPLATE", shape)
    places = _places(flange)
    for at in places:
        cut.add_circle("DRILL", at, flange.bolt.major_mm)
        cut.add_centre_mark(at, 3.0 * flange.bolt.major_mm)
    _bored(cut, strut, flange, flange.base.bore_mm)
    bore = flange.base.bore_mm
    cut.add_centre_mark((0.0, 0.0), 0.5 * bore if bore > 0.0 else strut.shaft.diameter_mm)
    _axes(cut, shape)
    keel = _keel_end(cut, strut, flange, shape)
    letters = Lettering(cut)
    letters.number_holes([h.number for h in flange.holes], places, flange.bolt.major_mm / 2)
    _sides(cut, letters, strut, shape, flange)
    engaged = flange.engaged_mm
    how = {
        "through_bolt": f"drill through for {flange.bolt.size}",
        "stud": f"drill and tap, or bond, for {flange.bolt.size}",
        "lag_screw": f"pilot holes for lag screws {flange.bolt.size}, by trial in an offcut of the same timber",
    }[flange.fastener]
    facts = [
        "hold the sheet on the base with its crossing on the shaft line and UP upward, this side to you",
        f"bore of the base {cut.length(bore)} dia along the shaft line; {how}" if bore > 0.0 else how,
        *([f"thread in the base {cut.length(engaged)}"] if engaged is not None else []),
        "the finished flange may differ: hold this sheet to it before the base is marked, or drill through its holes",
        *([f"fasteners {flange.bolt.size}: torque {torque}"] if torque else []),
        *_slant(cut, flange),
        *(["the oval is the edge of that bore in the face"] if bore > 0.0 and not flange.plane.square else []),
        *keel,
    ]
    finish(cut, strut, "base template", "base", facts)
    return cut


def seen_on_free_face(flange: Flange, outline: Outline | None = None) -> Outline:
    """Return the outline as it is seen on the free face, up upward. outline: another one in the flange's axes."""
    return (flange.outline if outline is None else outline).rotate(math.pi / 2).mirror("y")


def _places(flange: Flange) -> list[P]:
    return [(h.v_mm, h.u_mm) for h in flange.holes]


def _axes(cut: CutFile, shape: Outline) -> None:
    box = shape.bounding_box()
    cut.add_line("CENTRE", (box.xmin - 10.0, 0.0), (box.xmax + 10.0, 0.0))
    cut.add_line("CENTRE", (0.0, box.ymin - 10.0), (0.0, box.ymax + 10.0))


def _sides(cut: CutFile, letters: Lettering, strut: Strut, shape: Outline, flange: Flange) -> None:
    box = shape.bounding_box()
    letters.inside(shape, [f"flange: {hand_text(strut)}", "this side to you"], "")
    letters.beside("UP", (0.0, box.ymax + 10.0), way_deg=90.0)
    side = strut.identity.side
    right, left = side("starboard"), side("port")
    if flange.plane.looks == "aft":  # its free face is seen from ahead
        right, left = left, right
    letters.beside(right.upper(), (box.xmax + 10.0, 0.0), way_deg=0.0)
    letters.beside(left.upper(), (box.xmin - 10.0, 0.0), way_deg=180.0)


def _slant(cut: CutFile, flange: Flange) -> list[str]:
    off = off_square_deg(flange.plane)
    if off < 0.005:
        return []
    told = f"the flange stands {cut.said(deg(off))} off square to the shaft"
    return [f"{told}: bore the base along the shaft, not square" if flange.base.bore_mm > 0.0 else told]


def _keel_end(cut: CutFile, strut: Strut, flange: Flange, shape: Outline) -> list[str]:
    """Draw where the keel over a rudder shoe ends, before anything is lettered, and return what the line means.
    Nothing of other parts."""
    if strut.shoe is None:
        return []
    end, box = strut.shoe.keel_end_mm, shape.bounding_box()
    cut.add_line("ENGRAVE", (box.xmin, end), (box.xmax, end))
    return [f"the line across is the keel's after end, {cut.length(end)} from the crossing, the stock's axis"]
