"""The palm: its outline made thick toward the water, edges bevelled, bolt holes."""

from __future__ import annotations

import math

import numpy as np

from strutwright.models import frames
from strutwright.models.formulas import hull_curve
from strutwright.models.frames import Axes
from strutwright.models.hull_curve import HullCurve
from strutwright.models.outline import Outline
from strutwright.models.solids import kernel
from strutwright.models.solids.kernel import KernelError, Solid
from strutwright.models.spec import Bolt, Palm, Plate
from strutwright.params.words import mm, say

CLEAR_MM = 5.0  # how far cutters stand out of the hull face
MITRE_SHARE = 1.05  # corners up to this share of a bevel's width are mitred: the kernel leaves slivers there


def plate(palm: Palm) -> Solid:
    """Return the palm without holes, its hull face in the hull-face plane or made to the hull's curve. Raises
    KernelError on a bad bevel.

    >>> round(plate(shipped("canal-tender").palms[0]).Volume() / 1000, 1)  # cm3, (6.8 x 9.2 + pi 4.6^2) x 1
    129.0
    """
    axes = frames.palm_axes(palm)
    if palm.curve is None:
        solid = kernel.prism(kernel.outline_wire(palm.outline, axes), -palm.thickness_mm * axes.n)
    else:
        top = palm.stands_out_mm + CLEAR_MM
        whole = kernel.prism(kernel.outline_wire(palm.outline, axes, top), -(palm.thickness_mm + top) * axes.n)
        solid = kernel.drilled(whole, [over_hull_face(palm, palm.curve)])
    if palm.bevel_width_mm <= 0 or palm.bevel_height_mm <= 0:
        return solid
    return bevelled(solid, palm.outline, axes, palm.thickness_mm, palm.bevel_width_mm, palm.bevel_height_mm)


def over_second_order(axes: Axes, half_mm: tuple[float, float], bends: tuple[float, float], high_mm: float) -> Solid:
    """Return what stands over a face of second order, so many mm high everywhere; its height over the origin is the
    bends (per mm) times u^2 and v^2, over a rectangle of which half the sizes are given.

    Such a face is a Bezier patch of second degree, exactly: over half a size a, b a^2 at its ends and -b a^2 between.

    >>> made = over_second_order(Axes(np.zeros(3), *np.eye(3)), (20.0, 10.0), (1e-3, -2e-3), 5.0)
    >>> round(made.Volume(), 6), round(made.BoundingBox().zmin, 6)  # 40 x 20 x 5; 2e-3 x 10^2
    (4000.0, -0.2)
    """
    import cadquery as cq
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeFace
    from OCP.BRepPrimAPI import BRepPrimAPI_MakePrism
    from OCP.Geom import Geom_BezierSurface
    from OCP.gp import gp_Pnt
    from OCP.TColgp import TColgp_Array2OfPnt

    poles = TColgp_Array2OfPnt(1, 3, 1, 3)
    rises = [[b * a * a * way for way in (1.0, -1.0, 1.0)] for a, b in zip(half_mm, bends, strict=True)]
    for i, j in ((i, j) for i in range(3) for j in range(3)):
        along, aside = (i - 1) * half_mm[0] * axes.u, (j - 1) * half_mm[1] * axes.v
        place = axes.origin + along + aside + (rises[0][i] + rises[1][j]) * axes.n
        poles.SetValue(i + 1, j + 1, gp_Pnt(*(float(c) for c in place)))
    face = BRepBuilderAPI_MakeFace(Geom_BezierSurface(poles), 1e-7).Face()
    up = cq.Vector(*(float(c) for c in high_mm * axes.n)).wrapped
    return kernel.one_solid(cq.Shape.cast(BRepPrimAPI_MakePrism(face, up).Shape()))


def over_hull_face(palm: Palm, curve: HullCurve) -> Solid:
    """Return what is cut away over a hull face that is made to a curve: a bar along a cylinder's axis, or the room over
    a face of second order.

    >>> palm, alike = shipped("canal-tender").palms[0], {"radius_mm": 500.0, "axis_deg": 0.0, "crown_to_hull": True}
    >>> [kernel.is_sound(over_hull_face(palm, HullCurve(**alike, along_radius_mm=r))) for r in (None, 900.0)]
    [True, True]
    """
    axes, box = frames.palm_axes(palm), palm.outline.bounding_box()
    half = (box.xmax - box.xmin) / 2, (box.ymax - box.ymin) / 2
    wide, long = (float(hull_curve.most_off_mm(*half, curve.axis_deg + more)) + CLEAR_MM for more in (0.0, 90.0))
    turn = math.radians(curve.axis_deg)
    along = math.cos(turn) * axes.u + math.sin(turn) * axes.v
    # Off the axis lies its second direction.
    own = Axes(axes.to_strut(np.array([palm.middle_mm]))[0], along, np.cross(axes.n, along), axes.n)
    if curve.second_order:
        across, lengthwise = (way.by_square for way in curve.ways)
        fall = min(across, 0.0) * wide**2 + min(lengthwise, 0.0) * long**2
        return over_second_order(own, (long, wide), (lengthwise, across), palm.stands_out_mm - fall + 2 * CLEAR_MM)
    edge, top = float(hull_curve.sagitta_mm(wide, curve.radius_mm)), palm.stands_out_mm + 2 * CLEAR_MM
    rise = -edge if curve.crown_to_hull else edge
    bulge = math.tan(math.asin(wide / curve.radius_mm) / 2) * (-1.0 if curve.crown_to_hull else 1.0)
    profile = Outline(np.array([(-wide, rise, bulge), (wide, rise, 0.0), (wide, top, 0.0), (-wide, top, 0.0)]))
    # The profile stands across the axis: x across, y toward the hull.
    start = Axes(own.origin - long * along, own.v, axes.n, along)
    return kernel.prism(kernel.outline_wire(profile, start), 2 * long * along)


def blamed(palm: Palm) -> str:
    """Return the path of the parameter to change where a palm's plate cannot be made.

    >>> blamed(shipped("canal-tender").palms[0])  # its edge is square
    'palm.outline'
    """
    return "palm.bevel.width" if palm.bevel_width_mm > 0 else "palm.outline"


def bevelled(solid: Solid, outline: Outline, axes: Axes, below_mm: float, width_mm: float, height_mm: float) -> Solid:
    """Return a plate with the rim of its water face thinned, by height_mm over width_mm.

    below_mm: depth of the water face under the axes' origin. Raises KernelError when it cannot be made.

    >>> round_, axes = Outline(np.array([(-10.0, 0.0, 1.0), (10.0, 0.0, 1.0)])), Axes(np.zeros(3), *np.eye(3))
    >>> made = bevelled(kernel.cylinder(-5 * axes.n, axes.n, 10.0, 5.0), round_, axes, 5.0, 2.0, 1.0)
    >>> round(made.Volume() / np.pi, 3)  # 10^2 x 4 + (10^2 + 10 x 8 + 8^2) / 3
    481.333
    """
    if _mitred(outline, width_mm):
        return kernel.drilled(solid, _edge_cutters(outline, axes, below_mm, width_mm, height_mm))
    made = kernel.bevel(solid, axes.origin - below_mm * axes.n, axes.n, width_mm, height_mm)
    if made is None:
        raise KernelError(
            say("the edge cannot be thinned by {height} over {width}", height=mm(height_mm), width=mm(width_mm))
        )
    return made


def _mitred(outline: Outline, width_mm: float) -> bool:
    """Return whether a bevel is cut edge by edge, plane to plane: where corners are less round than it is wide, so that
    its planes meet in mitres. Only an outline without hollows can be cut so."""
    seg = outline.normalised().segments()
    turned = np.roll(seg.end - seg.start, -1, axis=0)
    cross = (seg.end - seg.start)[:, 0] * turned[:, 1] - (seg.end - seg.start)[:, 1] * turned[:, 0]
    bent = seg.sweep_rad > 0.0
    sharp = bool((cross[~bent & ~np.roll(bent, -1)] > 1e-6).any())
    tight = bool((seg.radius[bent] <= MITRE_SHARE * width_mm).all()) and (sharp or bool(bent.any()))
    return tight and bool((seg.bulge >= 0.0).all()) and bool((cross > -1e-6).all())


def _edge_cutters(outline: Outline, axes: Axes, below_mm: float, width_mm: float, height_mm: float) -> list[Solid]:
    """Return a block for each straight edge, on the outer side of its bevel."""
    seg = outline.normalised().segments()
    reach = 4.0 * float(np.abs(outline.vertices[:, :2]).max()) + 100.0
    out = []
    for start, end, sweep in zip(seg.start, seg.end, seg.sweep_rad, strict=True):
        if sweep != 0.0:
            continue
        along = frames.unit((end - start)[0] * axes.u + (end - start)[1] * axes.v)
        outward = np.cross(along, axes.n)
        normal = frames.unit(height_mm * outward - width_mm * axes.n)
        origin = axes.to_strut(start[None], height_mm - below_mm)[0]
        out.append(kernel.box(Axes(origin, along, np.cross(normal, along), normal), reach, reach, 0.0, reach))
    return out


def _hole_profile(bolt: Bolt, thickness_mm: float, out_mm: float, above_mm: float) -> Outline:
    """Return the half section of a bolt hole: (distance from the hull-face plane toward the water, radius), mm.

    out_mm: how far it is cut free the other way; above_mm: how far the head's recess is beyond the water face.
    """
    top, r = thickness_mm + above_mm, bolt.hole_mm / 2
    wall = [(thickness_mm - below, radius) for below, radius in bolt.recess]
    rows = [(-out_mm, r), *wall, (top, wall[-1][1] if wall else r)]
    if len(wall) > 1 and wall[-1][1] == wall[-2][1]:
        del rows[-2]  # no edge in the middle of a straight wall
    rows += [(top, 0.0), (-out_mm, 0.0)]
    return Outline(np.array([(x, y, 0.0) for x, y in rows]))


def hole_cutters(plate: Plate, axes: Axes, above_mm: float) -> list[Solid]:
    """Return what is drilled away at each bolt hole, square to the plate, in order of hole number.

    axes: of the plate.

    >>> palm = shipped("canal-tender").palms[0]
    >>> len(hole_cutters(palm, frames.palm_axes(palm), 1.0))
    6
    """
    profile = _hole_profile(plate.bolt, plate.thickness_mm, plate.stands_out_mm + CLEAR_MM, above_mm)
    return [
        kernel.revolve(profile, axes.to_strut(np.array([[h.u_mm, h.v_mm]]))[0], -axes.n, axes.u)
        for h in sorted(plate.holes, key=lambda h: h.number)
    ]
