"""The palm or palms: plate, outline and where each meets its arm."""

from __future__ import annotations

import functools
from collections.abc import Mapping
from types import SimpleNamespace
from typing import Any

import numpy as np

from strutwright.models import frames
from strutwright.models.arrays import Num
from strutwright.models.hull_curve import HullCurve
from strutwright.models.outline import OUTLINES, SIZES, Outline, OutlineError, draw
from strutwright.models.resolve.bolts import bolt_of, holes_of
from strutwright.models.resolve.book import Book
from strutwright.models.spec import Arm, Barrel, Palm, PalmHole, PalmPlane
from strutwright.params.words import Amount, Words, fine_mm, mm, say, told

STEEPEST = 0.5
"""Sine of the hull face's lean: at more, holes square to the palm meet the face too much aslant."""
MOST_FALL, MOST_RISE = 0.35, 1.0
"""By how much of its thickness a palm may be thinner or thicker at its edges. An arm ends half-way through its palm; of
an edge that is thicker the metal is to be no heavier than the palm."""
LEAST_CURVE_MM = 0.1
"""What is flatter than this is flat."""


def palms_of(
    book: Book, arms: tuple[Arm, ...] | None, barrel: Barrel | None, planes: tuple[PalmPlane, ...], metal: str
) -> tuple[Palm, ...]:
    """Return the palms, one to a plane; none where what is told leaves no outline or no bolt.

    metal: of the bolts. Raises MissingPartError without barrel and arms to go by.

    >>> strut, metal = shipped("canal-tender"), "A4-70"
    >>> palms = palms_of(book("canal-tender"), strut.arms, strut.barrel, (strut.palms[0].plane,), metal)
    >>> [len(palm.holes) for palm in palms]  # one palm, six bolts
    [6]
    """
    said: Any = book.said.palm
    bolt, shape, bevel = bolt_of(book, metal), outline_of(book, "palm.outline"), said.bevel
    if bevel is not None and bevel.height >= said.thickness:
        what, under = "thins the edge to nothing", said.thickness
        book.fault("palm.bevel.height", what, "make it smaller", given=bevel.height, under=under)
    if shape is None or bolt is None:
        return ()
    curves = _curves(book, shape, planes)
    middle = np.array([said.offset.forward, said.offset.port])
    holes = holes_of(book, shape, middle)
    arms, barrel = book.need(arms), book.need(barrel)
    placed = shape.translate(*middle)
    each = book.palm_on_each_arm
    palms = []
    for i, group in enumerate([(arm,) for arm in arms] if each else [arms]):
        plane = planes[i] if len(planes) > 1 else planes[0]
        zero = frames.palm_zero_mm(barrel, plane, group)
        if zero[2] <= 0:
            book.fault("arms.stance", "makes the arm miss the hull", "bring it nearer to vertical")
            return ()
        turn = frames.trace_to_projection_deg(plane.pitch_deg, plane.tilt_deg) if said.axes == "projection" else 0.0
        flip = each and i == 1  # the starboard palm of a vee is the mirror image of the port one, in its own axes
        palms.append(
            Palm(
                name=group[0].name.replace("arm", "palm") if each else "palm",
                plane=plane,
                zero_mm=zero,
                axes=said.axes,
                axes_deg=turn,
                thickness_mm=said.thickness,
                outline=placed.mirror("x") if flip else placed,
                bevel_width_mm=bevel.width if bevel else 0.0,
                bevel_height_mm=bevel.height if bevel else 0.0,
                bolt=bolt,
                holes=tuple(PalmHole(number=n + 1, u_mm=u, v_mm=-v if flip else v) for n, (u, v) in enumerate(holes)),
                curve=curves[i],
            )
        )
    return tuple(palms)


def _curves(book: Book, shape: Outline, planes: tuple[PalmPlane, ...]) -> tuple[HullCurve | None, HullCurve | None]:
    """What the hull faces of the palm, or of the port and the starboard one, are made to; what cannot be is told."""
    said: Any = book.said.palm
    faces = {"palm.hull_face": said.hull_face, "palm.hull_face_starboard": said.hull_face_starboard}
    if said.hull_face_starboard is not None and not book.palm_on_each_arm:
        book.no_meaning("palm.hull_face_starboard", "a single palm")
    box, made = shape.bounding_box(), list[HullCurve | None]()
    for at, face in faces.items():
        if face is None:
            made.append(None)
            continue
        along = face.along
        curve = HullCurve(
            radius_mm=face.radius,
            axis_deg=face.axis,
            crown_to_hull=face.crown == "toward_hull",
            along_radius_mm=None if along is None else along.radius,
            along_crown_to_hull=along is not None and along.crown == "toward_hull",
        )
        _can_be_made(book, at, curve, ((box.xmax - box.xmin) / 2, (box.ymax - box.ymin) / 2))
        made.append(curve)
    port, starboard = made
    if said.hull_face_starboard is None and port is not None:
        starboard = port.mirrored() if len(set(planes)) > 1 else port
    return port, starboard


def curve_fits(curve: HullCurve, half_mm: tuple[Num, Num], thickness_mm: Num) -> Num:
    """Return whether a palm, of a box of which these are half the sizes, can be made to a curve; broadcasts.

    >>> hollow = HullCurve(radius_mm=1000.0, axis_deg=0.0, crown_to_hull=False)
    >>> [bool(curve_fits(hollow, (100.0, half), 12.0)) for half in (10.0, 80.0, 160.0)]  # edges: 0.05, 3.2, 12.9
    [False, True, False]
    """
    low, high = curve.range_mm(*half_mm)
    seen = np.logical_and(curve.lean(*half_mm) <= STEEPEST, np.maximum(high, -low) >= LEAST_CURVE_MM)
    stands = np.logical_and(low >= -MOST_FALL * thickness_mm, high <= MOST_RISE * thickness_mm)
    return np.asarray(np.logical_and(seen, stands))[()]


def _can_be_made(book: Book, at: str, curve: HullCurve, half_mm: tuple[float, float]) -> None:
    """Tell where a palm is too wide or too thin for its curve, or as good as flat."""
    thick, (low, high) = book.said.palm.thickness, (float(end) for end in curve.range_mm(*half_mm))
    tight = min(curve.ways, key=lambda way: way.radius_mm)
    what: Words
    if curve_fits(curve, half_mm, thick):
        if _bevel_height_mm(book) < thick + low:
            return
        what = say("leaves no more at the edge than palm.bevel.height takes: {left}", left=mm(thick + low))
        advice = "make palm.bevel.height smaller"
    elif float(curve.lean(*half_mm)) > STEEPEST:
        what = "is too small for the palm: its edge would lean by more than 30 degrees"
        advice = "make the palm smaller"
    elif max(high, -low) < LEAST_CURVE_MM:
        what = say("leaves the edge out of flat by less than {least}", least=fine_mm(LEAST_CURVE_MM))
        advice = f"remove {at}: a flat face does"
    else:
        thinner = low < -MOST_FALL * thick
        by, way, most = (-low, "thinner", MOST_FALL) if thinner else (high, "thicker", MOST_RISE)
        template = "is too small for the thickness: the edge would be {by} {way}, more than {share} of it"
        what = say(template, by=fine_mm(by), way=way, share=Amount(100 * most, "%"))
        advice = "make palm.thickness more or the palm smaller, or pad the hull for a flat face"
        tight = min((w for w in curve.ways if w.crown_to_hull is thinner), key=lambda w: w.radius_mm, default=tight)
    place = f"{at}.radius" if tight.across else f"{at}.along.radius"
    book.fault(place, what, advice, given=mm(tight.radius_mm))


def _bevel_height_mm(book: Book) -> float:
    bevel = book.said.palm.bevel
    return 0.0 if bevel is None else bevel.height


@functools.lru_cache(maxsize=256)
def _drawn(shape: str, sizes: tuple[tuple[str, float | None], ...]) -> Outline:
    """An outline by its sizes: a search makes hundreds of sets, most with an outline that one before had."""
    return draw(shape, SimpleNamespace(**dict(sizes)))


def outline_of(book: Book, at: str, names: Mapping[str, str] | None = None) -> Outline | None:
    """Return the outline said at a path about its own middle, None where it lacks sizes or cannot be drawn, and that is
    told. names: what sizes are called there, where not as `OUTLINES` has them.

    >>> outline_of(book("canal-tender"), "palm.outline").bounding_box().xmax  # 160 long
    80.0
    """
    said, names = book.said_at(at), names or {}
    wanted, lacking, sizes = OUTLINES[said.shape].needs, False, {"corner_radius": said.corner_radius}
    for name in SIZES:
        here = names.get(name, name)
        sizes[name] = getattr(said, here, None)
        if name in wanted and sizes[name] is None:
            book.missing(f"{at}.{here}", f"the outline `{said.shape}`")
            lacking = True
        elif name not in wanted and sizes[name] is not None:
            book.no_meaning(f"{at}.{here}", f"the outline `{said.shape}`")
    if lacking:
        return None
    try:
        if sizes["points"] is None:
            return _drawn(said.shape, tuple(sizes.items()))
        return draw(said.shape, SimpleNamespace(**sizes))
    except OutlineError as error:
        book.fault(at, say("cannot be drawn: {error}", error=told(error)), "change the sizes")
        return None
