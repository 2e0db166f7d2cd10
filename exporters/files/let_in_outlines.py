"""The full-size template of the hole that a let-in housing needs in its structure, seen from outside on its face.

The shaft line stands at (0, 0), up is up.
"""

from __future__ import annotations

import math

from strutwright.exporters.files.cutfile import CutFile, cut_file
from strutwright.exporters.files.lettering import Lettering, angle_text, finish
from strutwright.models.geometry.bore_in_structure import face_mm
from strutwright.models.spec import Strut
from strutwright.models.spec_let_in import LetIn, Seat
from strutwright.params import tables


def structure_template(strut: Strut, it: LetIn) -> CutFile:
    """Return the template of the hole: bores, counterbore, the structure's sides, the clocks of screws across it."""
    cut = cut_file(strut, "structure hole")
    own, mouth = it.structure, it.seats[0].hole_mm
    cut.add_circle("CUT_INNER", (0.0, 0.0), mouth)
    for seat in it.seats[1:]:
        cut.add_circle("PHANTOM", (0.0, 0.0), seat.hole_mm)
    widest = max(mouth, own.counterbore_mm, 0.0 if it.collar is None else it.collar.diameter_mm)
    if own.counterbore_mm > 0:
        cut.add_circle("ENGRAVE", (0.0, 0.0), own.counterbore_mm)
    elif it.collar is not None:
        cut.add_circle("PHANTOM", (0.0, 0.0), it.collar.diameter_mm)
    far = widest / 2 + 20.0
    if own.outside_mm is not None:
        cut.add_circle("TEMPLATE", (0.0, 0.0), own.outside_mm)
        side = own.outside_mm / 2
        far = max(far, side)
    else:
        side = (own.thickness_mm or 0.0) / 2
        up, down = (min(edge if edge is not None else far, far) for edge in (own.above_mm, own.below_mm))
        corners = [(-side, -down), (side, -down), (side, up), (-side, up)]
        for a, b in zip(corners, [*corners[1:], corners[0]], strict=True):
            cut.add_line("TEMPLATE", a, b)
    cut.add_centre_mark((0.0, 0.0), 0.5 * mouth)
    cut.add_line("CENTRE", (-side - 4.0, 0.0), (side + 4.0, 0.0))
    cut.add_line("CENTRE", (0.0, -far - 10.0), (0.0, far + 10.0))
    port = -1.0 if it.inward > 0 else 1.0  # its face is seen from aft, or from ahead
    facts = _facts(cut, it)
    face = face_mm(strut)
    ways = [(f"locking screw {s.number}", s.station_mm, s.clock_deg, tables.tapped(s.thread)) for s in it.locking]
    ways += [
        (f"way in to set screw {s.number}", s.station_mm, s.clock_deg, s.thread)
        for s in strut.set_screws
        if it.inward * (s.station_mm - face) + s.major_mm / 2 > 0
    ]
    for name, station, clock, thread in ways:
        c = math.radians(clock)
        to = (port * math.sin(c), math.cos(c))
        reach = min(float(own.reach_at_mm(clock)), far)
        cut.add_line("CENTRE", (0.55 * mouth * to[0], 0.55 * mouth * to[1]), (reach * to[0], reach * to[1]))
        inward = cut.length(it.inward * (station - face))
        facts.append(f"{name}, {thread}: {inward} in from the face, clock {angle_text(clock)} deg")
    letters = Lettering(cut)
    letters.beside("UP", (0.0, far + 10.0), way_deg=90.0)
    for name, way in ((strut.identity.side("port"), port), (strut.identity.side("starboard"), -port)):
        # Upright, so that a hole that fits a page takes one.
        letters.put(name.upper(), [(way * (side + 6.6 + k), 0.0) for k in range(60)], turn=math.pi / 2)
    finish(cut, strut, "structure hole", "face of the structure", facts)
    return cut


def _facts(cut: CutFile, it: LetIn) -> list[str]:
    """Return what the template says of its use, the bores and the counterbore."""
    own, mouth = it.structure, it.seats[0].hole_mm
    facts = [
        "hold the sheet on the structure's face with its crossing on the shaft line and UP upward, this side to you",
        f"bore {cut.length(mouth)} dia, {cut.length(own.depth_mm)} deep, along the shaft line, not square to the face "
        "where that leans",
        *(
            f"{cut.length(seat.hole_mm)} dia from {cut.length(abs(it.mouth_mm - _outer_mm(it, seat)))} deep on"
            for seat in it.seats[1:]
        ),
    ]
    if own.counterbore_mm > 0:
        deep = cut.length(own.counterbore_depth_mm)
        facts.append(f"counterbore {cut.length(own.counterbore_mm)} dia, {deep} deep, from the face")
    return facts


def _outer_mm(it: LetIn, seat: Seat) -> float:
    """The station at which a seat begins, from outside."""
    return seat.from_station_mm if it.inward > 0 else seat.to_station_mm
