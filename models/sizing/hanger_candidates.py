"""A batch of candidates of one hanger; see `sizing.candidates`."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import numpy as np

from strutwright.models import frames, rules
from strutwright.models.arrays import Num, as_field
from strutwright.models.bolt_patterns import PATTERNS
from strutwright.models.input_parts import ArmInputs, PalmInputs
from strutwright.models.outline import OUTLINES
from strutwright.models.resolve import Resolved
from strutwright.models.sections import kind_of
from strutwright.models.sizing.batch import BARREL, PITCHES, PLAIN, Batch, boxed, edges, why_no_barrel
from strutwright.models.spec_hanger import Cap, CapBolt, Dowels, SplitShims, UnderFoot
from strutwright.models.struts import PalmShape, Struts

_WEB = ("web.length", "web.thickness", "web.length_at_foot", "web.thickness_at_foot")
_EDGE, _PLACE = "web.edge_radius", "web.position.distance"
_ROOTS = {
    "cast": ("web.root_fillet.barrel", "web.root_fillet.foot"),
    "welded": ("welds.web_to_barrel_leg", "welds.web_to_foot_leg"),
}
_HEIGHT, _THICK = "foot.height", "foot.thickness"
_OUTLINE = ("foot.outline.length", "foot.outline.width", "foot.outline.corner_radius")
_OFFSET = ("foot.offset.forward", "foot.offset.port")
_DOWELS = ("cap.dowels.diameter", "cap.dowels.out", "cap.dowels.into")
_SHIMS = "cap.shims.thickness"
_CAP = (
    "cap.turned",
    "cap.ear_out",
    "cap.ear_thickness",
    "cap.ear_length",
    "cap.bolts.out",
    "cap.bolts.from_end",
    "cap.bolts.engaged",
    *_DOWELS,
    _SHIMS,
)
_CHOCK = ("under_foot.thickness", "under_foot.least", "under_foot.most")
_WITHIN = ("under_foot.bed_within", "under_foot.bore_within", "under_foot.line_within")
_PLAIN = {path: name for path, name in PLAIN.items() if not path.startswith("propeller.")} | {
    "base.thickness": "hull_mm"
}
VARIABLES = (
    *BARREL,
    *_WEB,
    _EDGE,
    _PLACE,
    *_ROOTS["cast"],
    *_ROOTS["welded"],
    _HEIGHT,
    _THICK,
    *_OUTLINE,
    *_OFFSET,
    *PITCHES,
    *_CAP,
    *_CHOCK,
    *_WITHIN,
    "line.aft",
    "set_screws.dimple_depth",
    *_PLAIN,
)
"""Paths whose values can be arrays; all others are resolved one by one."""


def why_not(resolved: Resolved, names: set[str]) -> str | None:
    """Return why values at these paths of VARIABLES cannot be followed as arrays, or None when they can.

    >>> why_not(resolved("shaft-log-hanger"), {"cap.ear_out"})
    'the barrel is in one piece'
    """
    strut = resolved.strut
    said: Any = resolved.said
    if reason := why_no_barrel(strut, names, slots=True):
        return reason
    if _PLACE in names and said.web.position is None:
        return "web.position is not given in the file"
    return _why_not_foot(said, names) or _why_not_beside(said, names)


def _why_not_foot(said: Any, names: set[str]) -> str | None:
    shape, grid = said.foot.outline.shape, said.bolts.pattern.kind
    kind, pattern, outline = OUTLINES[shape], PATTERNS[grid], names & set(_OUTLINE)
    if outline - {f"foot.outline.{name}" for name in kind.sought}:
        return f"an outline of the shape {shape} is drawn one by one"
    if outline and pattern.along_edge:
        return "bolts along the edge are placed one by one"
    if names & set(PITCHES) and not pattern.pitched:
        return f"bolts.pattern of the kind {grid} has no pitches"
    if names & set(_OFFSET) and not pattern.centred:
        return f"bolts.pattern of the kind {grid} is not moved with foot.offset"
    for path in sorted(names & set(PITCHES)):
        if getattr(said.bolts.pattern, path.rpartition(".")[2]) is None:
            return f"{path} is not given in the file"
    return None


def _why_not_beside(said: Any, names: set[str]) -> str | None:
    cap = said.cap
    if names & set(_CAP) and cap is None:
        return "the barrel is in one piece"
    if names & set(_DOWELS) and cap.dowels is None:
        return "the cap has no dowels"
    if _SHIMS in names and cap.shims is None:
        return "the split has no shims"
    if "cap.bolts.engaged" in names and cap.bolts.hold != "tapped":
        return "bolts that go through have no thread in the body"
    if names & set(_CHOCK) and said.under_foot.kind == "none":
        return "the foot lies on its bed"
    return None


class Candidates(Batch):
    """Candidates of one hanger."""

    def run(self) -> Struts:
        """Return them."""
        own = self.strut.hanger
        assert own is not None
        made, bearings, screws = self.barrel()
        length = made.get("barrel_length_mm", self.base.barrel_length_mm)
        outside = made.get("barrel_outside_mm", self.base.barrel_outside_mm)
        height: Num = self.at(_HEIGHT, own.height_mm)
        drop: Num = self.base.drop_mm
        if self.varies(_HEIGHT):
            plane = self.strut.palms[0].plane
            drop = height * math.hypot(1.0, *(math.tan(math.radians(a)) for a in (plane.pitch_deg, plane.tilt_deg)))
        web = self.web(length, outside, drop)
        foot, shape = self.foot(web, drop)
        hanger = replace(
            own,
            height_mm=as_field(height),
            aft_span_mm=as_field(self.at("line.aft", own.aft_span_mm)),
            cap=None if own.cap is None else self.cap(own.cap, length, outside),
            under=self.under(own.under),
        )
        for path, name in _PLAIN.items():
            if path in self.values:
                made[name] = self.values[path]
        sizes: dict[str, Any] = dict(made)  # by their names in `Inputs`
        inputs = replace(self.base, arms=(web,), palms=(foot,), hanger=hanger, drop_mm=drop, **sizes)
        return Struts(
            own=self.strut,
            count=self.count,
            made_inputs=lambda: inputs,
            buildable=np.array(~np.broadcast_to(self.bad, (self.count,))),
            palms=(shape,),
            bearings_mm=bearings,
            screws_mm=screws,
            drop_mm=drop,
        )

    # --- web and foot -----------------------------------------------------------------------------------------------

    def web(self, length: Num, outside: Num, drop: Num) -> ArmInputs:
        """The web from barrel to foot."""
        own = self.base.arms[0]
        long, thick = self.at(_WEB[0], own.chord_barrel_mm), self.at(_WEB[1], own.thickness_barrel_mm)
        long_foot = self.at(_WEB[2], own.chord_palm_mm if self.loaded.says(_WEB[2]) else long)
        thick_foot = self.at(_WEB[3], own.thickness_palm_mm if self.loaded.says(_WEB[3]) else thick)
        self.bad = self.bad | (thick > long) | (thick_foot > long_foot)
        foot_mm = self.at(_THICK, self.base.palms[0].thickness_mm)
        x: Num = own.x_mm
        if (place := self.said.web.position) is not None and self.varies("barrel.length", _PLACE):
            away = self.at(_PLACE, place.distance)
            x = away - length / 2 if place.end == "barrel_aft" else length / 2 - away
        # The axis stands square to the shaft, and the bedding face crosses it where it lies by its lean.
        n = frames.plane_axes(0.0, self.strut.palms[0].plane.pitch_deg, self.strut.palms[0].plane.tilt_deg).n
        end: Num = own.end_mm
        if self.varies(_HEIGHT, "barrel.length", _PLACE):
            end = drop - x * float(n[0]) / float(n[2])
        water = end - foot_mm / float(n[2]) if end is not own.end_mm or self.varies(_THICK) else own.water_mm
        start = outside / 2 if self.varies(*BARREL) else own.start_mm
        self.bad = self.bad | (end <= outside / 2 + foot_mm)
        return replace(
            own,
            x_mm=x,
            start_mm=start,
            water_mm=water,
            end_mm=end,
            chord_barrel_mm=long,
            thickness_barrel_mm=thick,
            chord_palm_mm=long_foot,
            thickness_palm_mm=thick_foot,
            edge_radius_mm=self.edge(thick if thick is thick_foot else np.minimum(thick, thick_foot)),
            barrel_root_mm=self.root(0, own.barrel_root_mm, thick, (outside - self.base.bore_mm) / 2),
            palm_root_mm=self.root(1, own.palm_root_mm, thick_foot, foot_mm),
        )

    def edge(self, least: Num) -> Num:
        """Radius of the web's edges; least: the lesser thickness of both ends."""
        own = self.base.arms[0]
        kind = kind_of(own.shape)
        if self.says(_EDGE):
            radius = self.at(_EDGE, own.edge_radius_mm)
        else:
            radius = kind.usual_edge_mm(least) if self.varies(*_WEB) else own.edge_radius_mm
        low, most = kind.edge_range_mm(least, self.base.limit("arm_edge_least"))
        self.bad = self.bad | (radius < low - 1e-9) | (radius > most + 1e-9)
        return radius

    def root(self, end: int, own: Num, thick: Num, neighbour: Num) -> Num:
        """Fillet or weld leg at the barrel (0) or at the foot (1)."""
        path = _ROOTS[self.strut.construction][end]
        if path in self.values:
            return self.values[path]
        if self.loaded.says(path) or not self.varies(*_WEB, *(BARREL if end == 0 else (_THICK,))):
            return own
        if self.strut.construction == "cast":
            return rules.up_mm(rules.fillet_mm(thick, neighbour, self.base.limits), self.half_mm)
        return rules.leg_mm(thick, neighbour, rules.leg_share(self.said.welds.prep), inch=self.inch)

    def foot(self, web: ArmInputs, drop: Num) -> tuple[PalmInputs, PalmShape]:
        """Outline, thickness and holes of the foot, and where it stands."""
        said, own, plate = self.said.foot, self.base.palms[0], self.strut.palms[0]
        u, v = self.at(_OFFSET[0], said.offset.forward), self.at(_OFFSET[1], said.offset.port)
        change: dict[str, Any] = {
            "thickness_mm": self.at(_THICK, own.thickness_mm),
            "zero_mm": (web.x_mm, 0.0, web.end_mm),
        }
        box = self.box("foot.outline", said.outline)
        if box is not None:
            long, wide, radius = box
            change |= boxed(long, wide, radius, u, v)
            shape = PalmShape.boxed(plate.outline, u, v, long, wide, radius)
        else:
            du, dv = u - said.offset.forward, v - said.offset.port
            change |= {name: getattr(own, name) + du for name in ("centroid_u_mm", "aft_mm", "forward_mm")}
            change |= {name: getattr(own, name) + dv for name in ("centroid_v_mm", "starboard_mm", "port_mm")}
            shape = PalmShape.moved(plate.outline, du, dv)
        if self.varies(*PITCHES, *_OFFSET):
            change |= self.holes(plate.holes, (said.offset.forward, said.offset.port), u, v)
        made = replace(own, **change)
        if self.varies(*PITCHES, *_OFFSET, *_OUTLINE):
            edge, to_box = edges(made, shape)
            made = replace(made, edge_lost_mm=np.maximum(to_box - edge, 0.0))
        return made, shape

    # --- cap and chock ----------------------------------------------------------------------------------------------

    def cap(self, own: Cap, length: Num, outside: Num) -> Cap:
        """The cap with what varies of ears, bolts, dowels and shims."""
        if not self.varies(*BARREL, *_CAP):
            return own
        said = self.said.cap
        long: Num = self.at("cap.ear_length", length if said.ear_length is None else said.ear_length)
        out, thick = self.at("cap.ear_out", own.ear_out_mm), self.at("cap.ear_thickness", own.ear_thickness_mm)
        start, end = length / 2 - long / 2, length / 2 + long / 2
        shims = None if own.shims is None else self.shims(own.shims)
        gap: Num = 0.0 if shims is None else shims.bored_mm
        self.bad = self.bad | (long > length + 1e-9) | (gap / 2 >= thick)
        self.bad = self.bad | (out <= outside / 2) | (thick >= outside / 2)
        turned = self.at("cap.turned", said.turned)
        bolt = self.cap_bolt(own.bolt, start, end)
        return replace(
            own,
            clock_deg=as_field(np.where(np.greater_equal(turned, 0), 180.0, -180.0)[()] - turned),
            ear_out_mm=as_field(out),
            ear_thickness_mm=as_field(thick),
            ear_from_mm=as_field(start),
            ear_to_mm=as_field(end),
            bolt=bolt,
            dowels=None if own.dowels is None else self.dowels(own.dowels, bolt, start, end),
            shims=shims,
        )

    def shims(self, own: SplitShims) -> SplitShims:
        """The shims at the split."""
        return replace(own, thickness_mm=as_field(self.at(_SHIMS, own.thickness_mm)))

    def cap_bolt(self, own: CapBolt, start: Num, end: Num) -> CapBolt:
        """The bolts of the cap: their places, and the thread of tapped ones."""
        said, count = self.said.cap.bolts, len(own.stations_mm)
        usual: Num = (end - start) / (4 if count > 1 else 2)
        first = self.at("cap.bolts.from_end", usual if said.from_end is None else said.from_end)
        if count > 1:
            self.bad = self.bad | (first >= (end - start) / 2)
        low, high = start + first, end - first
        at = [(start + end) / 2] if count == 1 else [low + k * (high - low) / (count - 1) for k in range(count)]
        engaged = None if own.engaged_mm is None else as_field(self.at("cap.bolts.engaged", own.engaged_mm))
        return replace(
            own,
            out_mm=as_field(self.at("cap.bolts.out", own.out_mm)),
            stations_mm=tuple(as_field(station) for station in at),
            engaged_mm=engaged,
        )

    def dowels(self, own: Dowels, bolt: CapBolt, start: Num, end: Num) -> Dowels:
        """The dowels: half-way between bolts or beside the one that there is, two of a side never in each other."""
        said, at = self.said.cap.dowels, bolt.stations_mm
        across = self.at("cap.dowels.diameter", own.diameter_mm)
        middle = (at[0] + at[1]) / 2 if len(at) > 1 else (start + at[0]) / 2
        stations: tuple[Num, ...] = (middle,)
        if len(own.stations_mm) > 1:
            other = start + end - middle
            close = np.abs(middle - other) < across
            pairs = ((middle, (start + at[0]) / 2), (other, (end + at[-1]) / 2))
            stations = tuple(np.where(close, apart, usual)[()] for usual, apart in pairs)
        return replace(
            own,
            diameter_mm=as_field(across),
            out_mm=as_field(self.at("cap.dowels.out", bolt.out_mm if said.out is None else said.out)),
            stations_mm=tuple(as_field(station) for station in stations),
            into_mm=as_field(self.at("cap.dowels.into", across if said.into is None else said.into)),
        )

    def under(self, own: UnderFoot) -> UnderFoot:
        """Shims or chock under the foot."""
        if not self.varies(*_CHOCK, *_WITHIN):
            return own
        said, thick = self.said.under_foot, self.at(_CHOCK[0], own.thickness_mm)
        least, most = (
            self.at(path, thick if given is None else given)
            for path, given in zip(_CHOCK[1:], (said.least, said.most), strict=True)
        )
        self.bad = self.bad | (least - 1e-9 > thick) | (thick > most + 1e-9)
        bed, bore, line = (
            as_field(self.at(path, known))
            for path, known in zip(_WITHIN, (own.bed_within_mm, own.bore_within_mm, own.line_within_mm), strict=True)
        )
        return replace(
            own,
            thickness_mm=as_field(thick),
            least_mm=as_field(least),
            most_mm=as_field(most),
            bed_within_mm=bed,
            bore_within_mm=bore,
            line_within_mm=line,
        )
