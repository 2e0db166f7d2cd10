"""Solids of a split hanger's pattern set: ears with draft, the faces of the split, half-round core and its box."""

from __future__ import annotations

import numpy as np

from strutwright.models import frames
from strutwright.models.frames import Axes, Vector
from strutwright.models.outline import Outline
from strutwright.models.shop import foundry, split_casting
from strutwright.models.shop.foundry import FoundrySpec
from strutwright.models.shop.split_casting import SplitCasting
from strutwright.models.solids import kernel
from strutwright.models.solids.drafting import roofed
from strutwright.models.solids.kernel import Solid
from strutwright.models.spec import Strut

ROOM_MM = 5.0  # beyond a face that a roof then cuts off
_X = np.array([1.0, 0.0, 0.0])


def ears(strut: Strut, spec: FoundrySpec, split: SplitCasting, way: float, pull: Vector) -> Solid:
    """Return the block of the ears of the cap (way 1) or the body (-1), with draft, reaching to where the split's room
    begins. pull: unit vector (3,) in which the pattern is drawn; of the cap its joint is one face.

    >>> one = resolved("tunnel-hanger")
    >>> spec = foundry.foundry_settings(one)
    >>> split = split_casting.split_casting(one.strut, spec)
    >>> made = ears(one.strut, spec, split, -1.0, np.eye(3)[1])
    >>> round(made.BoundingBox().ylen, 3)  # twice ear_out
    148.0
    """
    cap, (x0, x1) = split.cap, split_casting.ear_face_mm(strut, spec)
    out, thick, deep = cap.ear_out_mm, cap.ear_thickness_mm, split.open_mm
    axes = split.axes((x0 + x1) / 2, way)
    half = (x1 - x0) / 2
    corners = np.array(
        [
            axes.origin + a * half * axes.u + b * out * axes.v + c * axes.n
            for a in (-1, 1)
            for b in (-1, 1)
            for c in (-deep, thick)
        ]
    )
    faces = [(axes.u, half), (-axes.u, half), (axes.v, out), (-axes.v, out), (axes.n, thick)]
    leaning = [n for n, _ in faces if split_casting.along_pull(n, pull)] if not spec.draft.none else []
    high = float(np.max(np.abs(corners @ pull)))
    more = ROOM_MM + foundry.draft_offset_mm(2 * high + deep, max(split.lean_deg, spec.draft.at(thick + deep)))
    grown = [more if any(n is w for w in leaning) else 0.0 for n, _ in faces]
    made = kernel.box(axes, half + max(grown[:2]), out + max(grown[2:4]), -deep, thick + grown[4])
    lean, joint = (split.lean_deg, 0.0) if way < 0 else (spec.draft.at(thick + deep), -deep)
    for n in leaning:
        outward = frames.unit(n - float(n @ pull) * pull)
        rim = corners[(corners - axes.origin) @ n > np.max((corners - axes.origin) @ n) - 1e-6]
        made = roofed(made, pull, rim, outward, (lean, lean), joint)
    return made


def opened(strut: Strut, spec: FoundrySpec, split: SplitCasting, body: Solid, pull: Vector) -> Solid:
    """Return the body cut off in its face of the split as cast, which has draft where it lies along the pull.

    >>> one = resolved("tunnel-hanger")
    >>> spec = foundry.foundry_settings(one)
    >>> split = split_casting.split_casting(one.strut, spec)
    >>> bar = kernel.cylinder(np.zeros(3), _X, 30.0, 9.0)
    >>> left = opened(one.strut, spec, split, bar, np.eye(3)[1])
    >>> round(left.BoundingBox().zmin + split.open_mm, 3) + 0.0  # highest in the joint
    0.0
    """
    n, out = split.toward, max(split.cap.ear_out_mm, strut.barrel.outside_mm / 2)
    if spec.draft.none or not split_casting.along_pull(n, pull):
        reach = 4 * spec.largest_mm + 100.0
        return kernel.drilled(body, [kernel.box(split.axes(0.0, 1.0), reach, reach, split.rough_mm, reach)])
    points = np.array([side * out * split.across + split.rough_mm * n for side in (1.0, -1.0)])
    return roofed(body, pull, points, frames.unit(n - float(n @ pull) * pull), (split.lean_deg, split.lean_deg))


def cut_flat(split: SplitCasting, spec: FoundrySpec, whole: Solid) -> Solid:
    """Return the cap cut off in its face of the split as cast, a plane.

    >>> one = resolved("tunnel-hanger")
    >>> spec = foundry.foundry_settings(one)
    >>> split = split_casting.split_casting(one.strut, spec)
    >>> left = cut_flat(split, spec, kernel.cylinder(np.zeros(3), _X, 30.0, 9.0))
    >>> round(left.BoundingBox().zmax - split.open_mm, 3)
    0.0
    """
    reach = 4 * spec.largest_mm + 100.0
    return kernel.drilled(whole, [kernel.box(split.axes(0.0, -1.0), reach, reach, split.open_mm, reach)])


def rod(split: SplitCasting, way: float, radius_mm: float, aft_mm: float, fore_mm: float) -> Solid:
    """Return half a round bar along the shaft line, in the cap (way 1) or the body (-1), with straight sides from the
    shaft line to the core's flat.

    >>> one = resolved("tunnel-hanger")
    >>> split = split_casting.split_casting(one.strut, foundry.foundry_settings(one))
    >>> box = rod(split, -1.0, 20.0, -50.0, 50.0).BoundingBox()
    >>> round(box.zmax, 3), round(box.zmin + split.open_mm, 3) + 0.0
    (20.0, 0.0)
    """
    r, axes, e = radius_mm, split.axes(0.0, way), split.open_mm
    shape = Outline(np.array([(-r, -e, 0.0), (r, -e, 0.0), (r, 0.0, 1.0), (-r, 0.0, 0.0)]))
    flat = Axes(np.array([aft_mm, 0.0, 0.0]), axes.v, axes.n, np.cross(axes.v, axes.n))
    return kernel.prism(kernel.outline_wire(shape, flat), (fore_mm - aft_mm) * _X)


def core_box(
    split: SplitCasting, factor: float, radius_mm: float, ends_mm: tuple[float, float], wall_mm: float
) -> Solid:
    """Return the box of the half-round core at pattern scale, open at the flat and at both ends, where sand is struck
    off. radius_mm, ends_mm: of the core, without contraction. wall_mm: least wood round it.

    >>> one = resolved("tunnel-hanger")
    >>> split = split_casting.split_casting(one.strut, foundry.foundry_settings(one))
    >>> round(core_box(split, 1.0, 20.0, (-50.0, 50.0), 20.0).BoundingBox().ylen, 3)
    80.0
    """
    aft, fore = (factor * x for x in ends_mm)
    half, flat = factor * radius_mm + wall_mm, factor * split.open_mm
    block = kernel.box(split.axes((aft + fore) / 2, -1.0), (fore - aft) / 2, half, -flat, half)
    hollow = rod(split, -1.0, radius_mm, ends_mm[0] - 1.0, ends_mm[1] + 1.0).scale(factor)
    return kernel.drilled(block, [hollow])


def straight(split: SplitCasting, spec: FoundrySpec, radius_mm: float, aft_mm: float, fore_mm: float) -> Solid:
    """Return what is under the shaft line of a round cap, down to its joint, with sides that draw.

    >>> one = resolved("tunnel-hanger")
    >>> spec = foundry.foundry_settings(one)
    >>> made = straight(split_casting.split_casting(one.strut, spec), spec, 42.0, -60.0, 60.0)
    >>> made.BoundingBox().ylen > 84.0
    True
    """
    axes, e = split.axes((aft_mm + fore_mm) / 2, 1.0), split.open_mm
    lean = 0.0 if spec.draft.none else spec.draft.at(e)
    more = foundry.draft_offset_mm(e, lean)
    made = kernel.box(axes, (fore_mm - aft_mm) / 2, radius_mm + more, -e, 0.0)
    for side in (axes.v, -axes.v) if more > 0 else ():
        rim = np.array([x * _X + radius_mm * side for x in (aft_mm, fore_mm)])
        made = roofed(made, axes.n, rim, side, (lean, lean), -e)
    return made
