"""What makes a place that may crack last longer. What is advised has been tried on the strut: a thicker arm may come
nearer to resonance, or on a vee be bent the harder by what the hull gives.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from typing import Literal, TypeAlias

from strutwright.models import weld_sides
from strutwright.models.checks.outcome import Outcome
from strutwright.models.checks.strength import weld_advice
from strutwright.models.inputs import Inputs

_MORE = 1.1
"""Times a size of the strut that is tried; of legs, fillets and the hull its square."""
_FEWER = "fewer hours or lower speeds (duty.use), or forces that were measured (loads.cases)", "duty.use"
_NO_THICKER = (
    "; a thicker arm would not help here, as it comes nearer to resonance or is bent the harder by what the hull gives"
)
Numbers: TypeAlias = Mapping[str, Outcome]
Way: TypeAlias = Literal[
    "arm", "chord", "barrel root", "palm root", "bevel", "root face", "skeg", "skeg root", "hull", "anodes"
]


@dataclass(frozen=True)
class Tried:
    """Changes of one strut, and what its checks of fatigue then say: each worked out once, when it is asked for."""

    inputs: Inputs
    numbers: Callable[[Inputs], Numbers]
    _kept: dict[str, Numbers] = field(default_factory=dict)

    def advised(self, code: str, used: float) -> tuple[str, str]:
        """Return (what to do, parameter to change) where a check uses more than it may, the most helpful first: of the
        strut before hull and anodes, and only what helps.

        >>> from strutwright.models.checks.strength.fatigue import numbers
        >>> launch = engineering_inputs("harbour-launch")
        >>> Tried(launch, numbers).advised("fatigue_arm_palm", 1.23)[1]
        'arms.section.thickness_at_palm'
        """
        helps: list[tuple[bool, float, int, str, str]] = []
        for rank, (way, words, parameter) in enumerate(_ways(self.inputs, code)):
            if way in _BESIDE and len(helps) >= _ENOUGH:
                continue
            after = float(self._after(way)[code].utilisation)
            if after < weld_advice.LOWERS * used:
                helps.append((way in _BESIDE, after, rank, words, parameter))
        helps.sort()
        worse = code.startswith("fatigue_arm") and float(self._after("arm")[code].utilisation) > used
        not_thicker = _NO_THICKER if worse else ""
        if not helps:
            return _FEWER[0] + not_thicker, _FEWER[1]
        return weld_advice.either([words for *_, words, _ in helps[:3]]) + not_thicker, helps[0][-1]

    def _after(self, way: Way) -> Numbers:
        if way not in self._kept:
            self._kept[way] = self.numbers(_done(self.inputs, way))
        return self._kept[way]


def _ways(inputs: Inputs, code: str) -> Iterator[tuple[Way, str, str]]:
    """What may be done for a check: which way, its words, and the parameter that says it."""
    welded, place = inputs.construction == "welded", code.rpartition("_")[2]
    if place == "skeg":
        yield "skeg", "thicken skeg.thickness", "skeg.thickness"
        root = "welds.skeg_to_barrel_leg" if welded else "skeg.root_fillet"
        if code == "fatigue_weld_skeg" or not welded:
            yield "skeg root", f"{'lengthen' if welded else 'enlarge'} {root}", root
    else:
        at = "arms.section.thickness" + ("" if place == "barrel" else "_at_palm")
        yield "arm", "thicken the arm (arms.section.thickness and thickness_at_palm)", at
        yield "chord", "widen the arm (arms.section.chord and chord_at_palm)", "arms.section.chord"
        yield from _roots(inputs, code, welded)
    yield "hull", "thicken or stiffen the hull there (hull.thickness)", "hull.thickness"
    if not inputs.anodes:
        yield "anodes", "bond it to anodes (materials.anodes)", "materials.anodes"


_BESIDE: tuple[Way, ...] = ("hull", "anodes")
"""What is done beside the strut itself, and tried only where less than enough of its own helps."""
_ENOUGH = 2
_AT: dict[weld_sides.End, Way] = {"barrel": "barrel root", "palm": "palm root"}


def _roots(inputs: Inputs, code: str, welded: bool) -> Iterator[tuple[Way, str, str]]:
    for end, way in _AT.items():
        if not code.endswith((end, "_tip")) or (welded and code.startswith("fatigue_arm")):
            continue
        root = f"welds.arm_to_{end}_leg" if welded else f"arms.root_fillet.{end}"
        yield way, f"{'lengthen' if welded else 'enlarge'} {root}", root
    if welded and not code.startswith("fatigue_arm"):
        if inputs.weld_prep == "none":
            yield "bevel", "bevel the arm's ends to a small root face (welds.prep: double_bevel)", "welds.prep"
        elif inputs.weld_root_face_mm > 0.0:
            yield "root face", "lessen welds.root_face", "welds.root_face"


def _done(inputs: Inputs, way: Way) -> Inputs:
    """The inputs with something done."""
    if way == "arm":
        return weld_advice.with_arms(inputs, {"thickness_barrel_mm": _MORE, "thickness_palm_mm": _MORE})
    if way == "chord":
        return weld_advice.with_arms(inputs, {"chord_barrel_mm": _MORE, "chord_palm_mm": _MORE})
    if way in ("barrel root", "palm root"):
        return weld_advice.with_arms(inputs, {f"{way.replace(' ', '_')}_mm": _MORE**2})
    if way == "bevel":
        return weld_advice.bevelled(weld_advice.bevelled(inputs, "barrel"), "palm")
    if way == "root face":
        return replace(inputs, weld_root_face_mm=0.0)
    if way == "hull":
        return replace(inputs, hull_mm=_MORE**2 * inputs.hull_mm)
    if way == "anodes" or inputs.skeg is None:
        return replace(inputs, anodes=True)
    skeg = inputs.skeg
    if way == "skeg root":
        return replace(inputs, skeg=replace(skeg, root_mm=_MORE**2 * skeg.root_mm))
    thick = {n: _MORE * getattr(skeg, n) for n in ("thickness_root_mm", "thickness_tip_mm")}
    return replace(inputs, skeg=replace(skeg, **thick))
