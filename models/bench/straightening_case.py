"""From the readings of a palm, and the set of its strut where there is one, to a case, its shapes and its strokes."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from strutwright.models import drawn_tolerances, frames
from strutwright.models.bench.palm_shape import Shape, shape
from strutwright.models.bench.press_angle import ToBore, bar_angle_deg, to_bore
from strutwright.models.bench.press_places import Face, Tools
from strutwright.models.bench.straightening import Case, Made, Step, next_step, places_of
from strutwright.models.hull_curve import HullCurve
from strutwright.models.metals import metal
from strutwright.models.shop.pressing import case_for
from strutwright.models.spec import Palm, Strut
from strutwright.params import tables
from strutwright.params.bench.straightening import Straightening
from strutwright.params.limits import Limits

TOLERANCE_MM, TOLERANCE_DEG = 0.5, 0.25


class NotKnownError(ValueError):
    """What the readings and the set do not tell. where: the dotted path that would."""

    def __init__(self, where: str, what: str) -> None:
        super().__init__(what)
        self.where = where


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Straightened:
    """How a palm stands: its shape at each stage, the strokes between them, what comes next, and how it stands to the
    bore where that was measured."""

    case: Case
    shapes: tuple[Shape, ...]
    made: tuple[Made, ...]
    step: Step
    to_bore: ToBore | None = None


def case_of(said: Straightening, strut: Strut | None, limits: Limits) -> Case:
    """Return the case. Raises NotKnownError.

    >>> from strutwright.params.bench.straightening import PalmSaid, Straightening
    >>> palm = PalmSaid(length=300, width=150, thickness=14, material="316L")
    >>> case_of(Straightening(palm=palm), None, standard()).face.lines[0].rows_mm
    (60.0, -60.0)
    """
    palm, press = said.palm, said.press
    case = _of_set(said, strut, limits) if strut is not None else _bare(said, limits)
    m = metal(palm.material) if palm.material is not None else None
    strength = palm.yield_strength if palm.yield_strength is not None else case.yield_mpa
    if not (math.isfinite(strength) and math.isfinite(case.modulus_mpa)):
        raise NotKnownError("palm.material", "has no yield or modulus in the table of materials")
    case = replace(
        case,
        yield_mpa=strength,
        family=m.family if m is not None else case.family,
        arm=palm.part == "arm",
        tolerance_mm=palm.tolerance or case.tolerance_mm,
        reading_mm=said.instrument.scatter,
        setting_mm=press.setting,
        press_n=press.force or math.nan,
        ball_mm=press.ball,
        bar_mm=press.bar,
        tools=Tools(span_along_mm=press.span_along, bed_mm=press.bed or math.inf, bar_mm=press.bar_length or math.inf),
    )
    spans = [(press.span_along, case.size_mm[0], "along"), (press.span_across, case.size_mm[1], "across")]
    if strut is None:
        rows = case.face.lines[0].rows_mm
        spans[1] = (rows[0] - rows[1], case.size_mm[1], "across")
    for span, over, where in spans:
        if span is not None and not 2.0 * case.thickness_mm <= span <= over:
            raise NotKnownError(f"press.span_{where}", "does not lie between twice the thickness and the palm's size")
    if not places_of(case):
        raise NotKnownError("press.bed", "is too short for any place of this palm")
    return case


def _bare(said: Straightening, limits: Limits) -> Case:
    """A palm of which only the sizes are known: a rectangle that is bent over its middle."""
    palm = said.palm
    assert palm.length is not None
    assert palm.width is not None
    assert palm.thickness is not None
    assert palm.material is not None
    m = metal(palm.material)
    return Case(
        face=Face.bare((palm.length, palm.width), said.press.span_across),
        thickness_mm=palm.thickness,
        yield_mpa=float(m.yield_mpa),
        modulus_mpa=float(m.modulus_mpa),
        family=m.family,
        cast=palm.made == "casting",
        tolerance_mm=TOLERANCE_MM,
        limits=limits,
    )


def _of_set(said: Straightening, strut: Strut, limits: Limits) -> Case:
    """The palm of a set; sizes that were measured stand in for its own, and then it is taken as a bare rectangle. Where
    its face is made to a curve, it is as thick as at its thickest: the springback is then taken too small and the
    stroke falls short, force and strain are taken too large."""
    palm = said.palm
    has = _palm(said, strut)
    own = case_for(strut, has, limits)
    box = has.outline.bounding_box()
    over_all = box.xmax - box.xmin, box.ymax - box.ymin
    size = (palm.length or over_all[0], palm.width or over_all[1])
    other = any(abs(a - b) > 1.0 for a, b in zip(size, over_all, strict=True)) or said.press.span_across is not None
    m = metal(palm.material) if palm.material is not None else metal(strut.material)
    made = _curve(said, strut)
    thick = own.thickness_mm + (0.0 if made is None else has.stands_out_mm)
    return replace(
        own,
        face=Face.bare(size, said.press.span_across) if other else own.face,
        thickness_mm=palm.thickness or thick,
        yield_mpa=float(m.yield_mpa),
        modulus_mpa=float(m.modulus_mpa),
        drawn=made,
        cast=palm.made == "casting" if palm.made is not None else own.cast,
    )


def _palm(said: Straightening, strut: Strut) -> Palm:
    if said.palm.name is None:
        return strut.palms[0]
    for palm in strut.palms:
        if palm.name == said.palm.name:
            return palm
    known = ", ".join(palm.name for palm in strut.palms)
    raise NotKnownError("palm.name", f"is no palm of the set; there are {known}")


def _curve(said: Straightening, strut: Strut) -> HullCurve | None:
    """What the hull face is made to as it lies in the press."""
    made = _palm(said, strut).curve
    if said.palm.face == "curved" and made is None:
        raise NotKnownError("palm.face", "is plane in the set; only a set with a `curve` has a curved one")
    return None if said.palm.face == "plane" else made


def drawn_angle_deg(palm: Palm) -> float:
    """Return the true angle of a palm's plane to the bore, degrees.

    >>> round(drawn_angle_deg(shipped("canal-tender").palms[0]), 2)
    9.0
    """
    return frames.shaft_to_palm_deg(palm.plane.pitch_deg, palm.plane.tilt_deg)


def _to_bore(said: Straightening, strut: Strut | None, case: Case, shapes: list[Shape]) -> ToBore | None:
    bore = said.bore
    measured = bore.angle
    if bore.height_aft is not None and bore.height_forward is not None and bore.apart is not None:
        measured = bar_angle_deg(bore.height_aft, bore.height_forward, bore.apart)
    if measured is None:
        return None
    drawing, tolerance = bore.drawing, bore.tolerance
    if strut is not None:
        drawing = drawing if drawing is not None else drawn_angle_deg(_palm(said, strut))
        family = tables.material(strut.hull.material).family if tolerance is None else ""
        tolerance = tolerance or drawn_tolerances.palm_angle_deg(family)
    roots = [root.along_mm for root in case.face.roots]
    return to_bore(
        measured,
        shapes[bore.stage],
        toes_mm=(min(r[0] for r in roots), max(r[1] for r in roots)) if roots else None,
        drawing_deg=drawing,
        mock_up_deg=bore.mock_up,
        tolerance_deg=tolerance or TOLERANCE_DEG,
    )


def straightened(said: Straightening, case: Case, strut: Strut | None = None) -> Straightened:
    """Return how the palm stands and what comes next. Raises TooFewError and NotKnownError.

    >>> from strutwright.params.bench.straightening import Height, PalmSaid, Straightening
    >>> at = [Height(along=u, across=v, reading=-0.02 * abs(v)) for u in (-140, 0, 140) for v in (-70, 0, 70)]
    >>> said = Straightening(palm=PalmSaid(length=300, width=150, thickness=14, material="316L"), heights=at)
    >>> straightened(said, case_of(said, None, standard())).step.verdict
    'push'
    """
    for k, row in enumerate(said.heights):
        ((along, across),) = case.face.turned(np.array([[row.along, row.across]])).tolist()
        for name, at, size in (("along", along, case.size_mm[0]), ("across", across, case.size_mm[1])):
            if abs(at) > size / 2.0 + 1.0:
                raise NotKnownError(f"heights[{k}].{name}", "lies off the palm of the set")
    shapes = []
    kinks = tuple(line.at_mm for line in case.face.lines)
    for stage in range(len(said.strokes) + 1):
        rows = [row for row in said.heights if row.stage == stage]
        sign = 1.0 if said.how == "dial" else -1.0
        points = np.array([[row.along, row.across, sign * row.reading] for row in rows])
        points[:, :2] = case.face.turned(points[:, :2])
        if case.drawn is not None and len(points):
            points[:, 2] -= case.drawn.height_mm(points[:, 0], points[:, 1])
        lines = [row.line or "" for row in rows] if said.how == "feeler" else None
        shapes.append(shape(points, case.size_mm, lines, kinks))
    made = []
    known = {(p.way, p.number): p for p in reversed(places_of(case))}
    for k, stroke in enumerate(said.strokes):
        place = known.get((stroke.way, stroke.place))
        if place is None:
            raise NotKnownError(f"strokes[{k}].place", "is no place of this palm and press")
        made.append(Made(place=place, travel_mm=stroke.travel, before=shapes[k], after=shapes[k + 1]))
    return Straightened(
        case=case,
        shapes=tuple(shapes),
        made=tuple(made),
        step=next_step(case, shapes[-1], made),
        to_bore=_to_bore(said, strut, case, shapes),
    )
