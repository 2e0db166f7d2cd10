"""From the readings of a palm, and the set of its strut where there is one, to a case, its shapes and its strokes."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from strutwright.models import drawn_tolerances
from strutwright.models.bench.palm_shape import Shape, shape
from strutwright.models.bench.straightening import Case, Made, Step, next_step
from strutwright.models.metals import metal
from strutwright.models.spec import Palm, Strut
from strutwright.params.bench.straightening import Straightening
from strutwright.params.limits import Limits

SPAN_SHARE = 0.8
"""Of the palm between its supports, where the readings do not say it; common practice, no source."""
TOLERANCE_MM = 0.5


class NotKnownError(ValueError):
    """What the readings and the set do not tell. where: the dotted path that would."""

    def __init__(self, where: str, what: str) -> None:
        super().__init__(what)
        self.where = where


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Straightened:
    """How a palm stands: its shape at each stage, the strokes between them, and what comes next."""

    case: Case
    shapes: tuple[Shape, ...]
    made: tuple[Made, ...]
    step: Step


def case_of(said: Straightening, strut: Strut | None, limits: Limits) -> Case:
    """Return the case. Raises NotKnownError.

    >>> from strutwright.params.bench.straightening import PalmSaid, Straightening
    >>> palm = PalmSaid(length=300, width=150, thickness=14, material="316L")
    >>> case_of(Straightening(palm=palm), None, standard()).spans_mm
    (240.0, 120.0)
    """
    palm, has = said.palm, None if strut is None else _palm(said, strut)
    size = [palm.length, palm.width]
    thick, name, cast = palm.thickness, palm.material, palm.made == "casting"
    flat = TOLERANCE_MM
    if has is not None and strut is not None:
        if has.curve is not None:
            what = "has a hull face made to the hull's curve, never flat; read the water face, and leave out the set"
            raise NotKnownError("palm", what)
        box = has.outline.bounding_box()
        own = (box.xmax - box.xmin, box.ymax - box.ymin)
        size = [s if s is not None else o for s, o in zip(size, own, strict=True)]
        thick = thick if thick is not None else has.thickness_mm
        name = name if name is not None else strut.material
        cast = cast if palm.made is not None else strut.construction == "cast"
        flat = float(drawn_tolerances.flatness_mm(strut.construction, max(own)))
    length, width = size
    assert length is not None
    assert width is not None
    assert thick is not None
    assert name is not None
    m = metal(name)
    strength = palm.yield_strength if palm.yield_strength is not None else float(m.yield_mpa)
    if not (math.isfinite(strength) and math.isfinite(float(m.modulus_mpa))):
        raise NotKnownError("palm.material", "has no yield or modulus in the table of materials")
    spans = (said.press.span_along or SPAN_SHARE * length, said.press.span_across or SPAN_SHARE * width)
    for span, over, where in ((spans[0], length, "along"), (spans[1], width, "across")):
        if not 2.0 * thick <= span <= over:
            raise NotKnownError(f"press.span_{where}", "does not lie between twice the thickness and the palm's size")
    return Case(
        size_mm=(length, width),
        thickness_mm=thick,
        spans_mm=spans,
        yield_mpa=strength,
        modulus_mpa=float(m.modulus_mpa),
        family=m.family,
        cast=cast,
        arm=palm.part == "arm",
        tolerance_mm=palm.tolerance or flat,
        reading_mm=said.instrument.scatter,
        setting_mm=said.press.setting,
        press_n=said.press.force or math.nan,
        ball_mm=said.press.ball,
        bar_mm=said.press.bar,
        limits=limits,
    )


def _palm(said: Straightening, strut: Strut) -> Palm:
    if said.palm.name is None:
        return strut.palms[0]
    for palm in strut.palms:
        if palm.name == said.palm.name:
            return palm
    known = ", ".join(palm.name for palm in strut.palms)
    raise NotKnownError("palm.name", f"is no palm of the set; there are {known}")


def straightened(said: Straightening, case: Case) -> Straightened:
    """Return how the palm stands and what comes next. Raises TooFewError.

    >>> from strutwright.params.bench.straightening import Height, PalmSaid, Straightening
    >>> at = [Height(along=u, across=v, reading=-0.02 * abs(v)) for u in (-140, 0, 140) for v in (-70, 0, 70)]
    >>> said = Straightening(palm=PalmSaid(length=300, width=150, thickness=14, material="316L"), heights=at)
    >>> straightened(said, case_of(said, None, standard())).step.verdict
    'push'
    """
    shapes = []
    for stage in range(len(said.strokes) + 1):
        rows = [row for row in said.heights if row.stage == stage]
        sign = 1.0 if said.how == "dial" else -1.0
        points = np.array([[row.along, row.across, sign * row.reading] for row in rows])
        lines = [row.line or "" for row in rows] if said.how == "feeler" else None
        shapes.append(shape(points, case.size_mm, lines))
    made = tuple(
        Made(way=stroke.way, travel_mm=stroke.travel, before=before, after=after)
        for stroke, before, after in zip(said.strokes, shapes, shapes[1:], strict=False)
    )
    return Straightened(case=case, shapes=tuple(shapes), made=made, step=next_step(case, shapes[-1], made))
