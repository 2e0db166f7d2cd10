"""The palm or palms: plate, outline and where each meets its arm."""

from __future__ import annotations

from typing import Any

import numpy as np

from strutwright.models import frames
from strutwright.models.outline import OUTLINES, SIZES, Outline, OutlineError, draw
from strutwright.models.resolve.bolts import bolt_of, holes_of
from strutwright.models.resolve.book import Book
from strutwright.models.spec import Arm, Barrel, Palm, PalmHole, PalmPlane
from strutwright.params.words import say, told


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
    bolt, shape, bevel = bolt_of(book, metal), _outline(book), said.bevel
    if bevel is not None and bevel.height >= said.thickness:
        what, under = "thins the edge to nothing", said.thickness
        book.fault("palm.bevel.height", what, "make it smaller", given=bevel.height, under=under)
    if shape is None or bolt is None:
        return ()
    middle = np.array([said.offset.forward, said.offset.port])
    holes = holes_of(book, shape, middle)
    arms, barrel = book.need(arms), book.need(barrel)
    placed = shape.translate(*middle)
    each = book.palm_on_each_arm
    palms = []
    for i, group in enumerate([(arm,) for arm in arms] if each else [arms]):
        plane = planes[i] if len(planes) > 1 else planes[0]
        zero = _zero(barrel, plane, group)
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
            )
        )
    return tuple(palms)


def _zero(barrel: Barrel, plane: PalmPlane, arms: tuple[Arm, ...]) -> tuple[float, float, float]:
    """The palm zero (mm), where the middle of the arms meets the hull face; below the shaft where it never does."""
    clock = sum(a.clock_deg for a in arms) / len(arms)
    origin = np.array([barrel.x(arms[0].station_mm), 0.0, 0.0])
    try:
        x, y, z = frames.meet_plane(plane, origin, frames.arm_direction(clock, arms[0].rake_deg))
    except frames.FrameError:
        return -1.0, -1.0, -1.0
    return float(x), float(y), float(z)


def _outline(book: Book) -> Outline | None:
    """The outline about its own middle, None where it lacks sizes or cannot be drawn and that is told."""
    said: Any = book.said.palm.outline
    at, wanted, lacking = "palm.outline", OUTLINES[said.shape].needs, False
    for name in SIZES:
        value = getattr(said, name)
        if name in wanted and value is None:
            book.missing(f"{at}.{name}", f"the outline `{said.shape}`")
            lacking = True
        elif name not in wanted and value is not None:
            book.no_meaning(f"{at}.{name}", f"the outline `{said.shape}`")
    if lacking:
        return None
    try:
        return draw(said.shape, said)
    except OutlineError as error:
        book.fault(at, say("cannot be drawn: {error}", error=told(error)), "change the sizes")
        return None
