"""What lowers the stress in the weld of an arm to barrel or palm. What is advised has been tried on the strut: a longer
leg does nothing for a weld that is as thick as the plate, and a thinner arm asks less of the weld that must outlast it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from typing import Any

from strutwright.models import rules, weld_sides
from strutwright.models.input_parts import SkegInputs
from strutwright.models.inputs import Inputs

_LESS, _MORE = 0.9, 1.1
"""Times a size that is tried less or more."""
LOWERS = 0.98
"""What is advised lowers the utilisation to this share of it, or further."""


def advised(inputs: Inputs, joint: weld_sides.End, used: Callable[[Inputs], float]) -> tuple[str, str]:
    """Return (what to do, parameter to change) where the weld of one joint is used up, the most helpful first.

    used: how much of it is used, of any inputs.

    >>> from strutwright.models.checks.strength.welds import by_case
    >>> def used(one):
    ...     return float(by_case(one, "palm")["side_hinge"].utilisation)
    >>> advised(engineering_inputs("canal-tender"), "palm", used)[0].partition(",")[0]  # plain fillets
    "bevel the arm's ends (welds.prep: double_bevel)"
    """
    now = used(inputs)
    tried = [(used(made), words, parameter) for words, parameter, made in _remedies(inputs, joint)]
    helps = sorted((after, words, parameter) for after, words, parameter in tried if after < LOWERS * now)
    if not helps:
        return "choose a metal that breaks at more over its yield (materials.strut), or a longer arm", "materials.strut"
    return either([said for _, said, _ in helps[:3]]), helps[0][2]


def either(ways: Sequence[str]) -> str:
    """Return several things to do in words.

    >>> either(["bevel", "lengthen", "thin"])
    'bevel, lengthen, or thin'
    """
    return ", or ".join([*([", ".join(ways[:-1])] if len(ways) > 1 else []), ways[-1]])


def _remedies(inputs: Inputs, joint: weld_sides.End) -> Iterator[tuple[str, str, Inputs]]:
    """What may be done, the parameter that says it, and the inputs with it done."""
    leg, part = f"welds.arm_to_{joint}_leg", f"{joint}_root_mm"
    yield f"lengthen {leg}", leg, with_arms(inputs, {part: _MORE**2})
    if inputs.weld_prep == "none":
        yield "bevel the arm's ends (welds.prep: double_bevel)", "welds.prep", bevelled(inputs, joint)
    elif inputs.weld_root_face_mm > 0.0:
        yield "lessen welds.root_face", "welds.root_face", replace(inputs, weld_root_face_mm=0.0)
    if inputs.skeg is not None:
        yield "thin the skeg (skeg.thickness)", "skeg.thickness", _thinner_skeg(inputs, inputs.skeg)
    thick = "arms.section.thickness" + ("_at_palm" if joint == "palm" else "")
    for word, times in (("thin", _LESS), ("thicken", _MORE)):
        yield f"{word} the arm there ({thick})", thick, with_arms(inputs, {f"thickness_{joint}_mm": times})


def with_arms(inputs: Inputs, times: dict[str, float]) -> Inputs:
    """Return the inputs with sizes of every arm so many times as large.

    >>> float(with_arms(engineering_inputs("canal-tender"), {"chord_palm_mm": 2.0}).arms[0].chord_palm_mm)
    112.0
    """
    changed: list[Any] = [replace(a, **{n: t * getattr(a, n) for n, t in times.items()}) for a in inputs.arms]
    return replace(inputs, arms=tuple(changed))


def _thinner_skeg(inputs: Inputs, skeg: SkegInputs) -> Inputs:
    thinner = {n: _LESS * getattr(skeg, n) for n in ("thickness_root_mm", "thickness_tip_mm")}
    heel: Any = skeg.heel and replace(skeg.heel, foot_thickness_mm=_LESS * skeg.heel.foot_thickness_mm)
    return replace(inputs, skeg=replace(skeg, heel=heel, **thinner))


def bevelled(inputs: Inputs, joint: weld_sides.End) -> Inputs:
    """Return the inputs with the arm's ends bevelled, and at one of them the leg that a bevelled joint has where the
    file says none, if that is shorter.

    >>> bevelled(engineering_inputs("canal-tender"), "palm").weld_prep
    'double_bevel'
    """
    made = []
    for a in inputs.arms:
        thick, other = (
            (a.thickness_barrel_mm, inputs.barrel_wall_mm)
            if joint == "barrel"
            else (a.thickness_palm_mm, inputs.palms[a.palm_index].most_mm)
        )
        usual = rules.leg_mm(thick, other, rules.leg_share("double_bevel"), inch=inputs.inch)
        changed: Any = {f"{joint}_root_mm": min(float(usual), float(getattr(a, f"{joint}_root_mm")))}
        made.append(replace(a, **changed))
    return replace(inputs, weld_prep="double_bevel", arms=tuple(made))
