"""The bearing's shell in the barrel: its fit, what pressing and temperature do to it, what clearance that leaves.

The bore over the rubber closes at least as its shell does, which soft rubber follows, and at most as rubber does that
keeps its volume and cannot give into its flutes. What is held to a limit takes the most, here and at the bench alike.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from strutwright.models.arrays import Num, Truth
from strutwright.models.formulas import bearing as bearings
from strutwright.models.formulas import press_fit
from strutwright.models.formulas.let_in import ENDLESS
from strutwright.models.formulas.press_fit import Elastic, Fit
from strutwright.models.inputs import Inputs
from strutwright.models.metals import Metal
from strutwright.models.once import once


def fit_band(inputs: Inputs) -> Fit:
    """Return the interference of bearing and bore from the limits of both; broadcasts.

    >>> band = fit_band(engineering_inputs("harbour-launch"))  # 50 +0.026 to +0.042 in 50 0 to +0.025
    >>> round(float(band.least_mm), 3), round(float(band.most_mm), 3)
    (0.001, 0.042)
    """
    off = inputs.bearing_outside_mm - inputs.seat_mm
    return press_fit.fit_from_limits(
        inputs.bore_lower_mm, inputs.bore_upper_mm, off + inputs.bearing_lower_mm, off + inputs.bearing_upper_mm
    )


def warm_shift_mm(inputs: Inputs) -> tuple[Num, Num]:
    """Return what the interference gains (mm) from the shop to the coldest and to the warmest sea; broadcasts.

    >>> cold, warm = warm_shift_mm(engineering_inputs("harbour-launch"))  # brass in bronze, 5 millionths per K apart
    >>> round(float(cold), 5), round(float(warm), 5)  # 50 mm, 20 K colder and 15 K warmer than the shop
    (-0.005, 0.00375)
    """
    hub, sleeve = elastic(inputs.strut), elastic(inputs.shell)
    shop = inputs.limit("shop_temperature")
    cold, warm = (
        press_fit.warmed_mm(inputs.seat_mm, hub, sleeve, inputs.limit(f"sea_{sea}") - shop)
        for sea in ("coldest", "warmest")
    )
    return cold, warm


@dataclass(frozen=True, slots=True, eq=False)
class Pressed:
    """A fit: its interference, whether the sizes make sense, and what one millimetre of interference does.

    closes_per_mm: by how much the bore over the rubber closes, at most.
    """

    fit: Fit
    sound: Truth
    per_mm: press_fit.PressFit
    closes_per_mm: Num
    holds_mpa: Num
    """Pressure, MPa, by which a millimetre of interference holds: of a barrel in a structure, of it alone."""

    def of(self, interference: Num, per: Num) -> Num:
        """Return a result of the fit; nothing for a clearance, infinite where the sizes make no sense."""
        return np.where(self.sound, np.maximum(interference, 0.0) * per, np.inf)


@once
def pressed(inputs: Inputs) -> Pressed:
    """Return the fit of shell and bore; broadcasts; kept with the inputs.

    >>> made = pressed(engineering_inputs("harbour-launch"))  # of a shell of 50 and 44 mm
    >>> round(float(made.of(1.0, made.per_mm.sleeve_bore_closure_mm)), 2)
    0.72
    >>> round(float(made.of(1.0, made.closes_per_mm)), 2)  # 44 over 35.11 times that
    0.9
    """
    seat, shell_bore = inputs.seat_mm, shell_bore_mm(inputs)
    sound = (shell_bore > 0) & (shell_bore < seat) & (seat < inputs.barrel_outside_mm)
    outside, inside = np.where(sound, inputs.barrel_outside_mm, 2.0 * seat), np.where(sound, shell_bore, 0.5 * seat)
    metals = elastic(inputs.strut), elastic(inputs.shell)
    per_mm = per_mm_of(seat, outside, inside, *metals, in_structure=inputs.let_in is not None)
    # What a structure helps to hold is not counted on.
    alone = per_mm if inputs.let_in is None else per_mm_of(seat, outside, inside, *metals, in_structure=False)
    closes = closes_per_mm(per_mm, inside, inputs.bearing_inside_mm)
    return Pressed(fit_band(inputs), sound, per_mm, closes, alone.pressure_mpa)


def per_mm_of(
    seat_mm: Num, outside_mm: Num, shell_bore_mm: Num, barrel: Elastic, shell: Elastic, *, in_structure: bool
) -> press_fit.PressFit:
    """Return what one millimetre of interference does, of which Lame's law is linear; broadcasts.

    seat_mm: of shell and bore; in_structure: whether the barrel stands in a structure, which may not give at all: then
    the shell closes more and all is pressed harder.

    >>> brass = elastic(engineering_inputs("harbour-launch").shell)
    >>> made = [per_mm_of(50.0, 66.0, 44.0, brass, brass, in_structure=inside) for inside in (False, True)]
    >>> [round(float(m.sleeve_bore_closure_mm), 2) for m in made]
    [0.67, 0.88]
    """
    per_mm = press_fit.press_fit(1.0, seat_mm, outside_mm, shell_bore_mm, barrel, shell)
    if not in_structure:
        return per_mm
    held = press_fit.press_fit(1.0, seat_mm, ENDLESS * seat_mm, shell_bore_mm, barrel, shell)
    return replace(held, hub_mises_bore_mpa=np.maximum(held.hub_mises_bore_mpa, per_mm.hub_mises_bore_mpa))


def closes_per_mm(per_mm: press_fit.PressFit, shell_bore_mm: Num, inside_mm: Num) -> Num:
    """Return by how much the bore over the rubber closes, mm, for a millimetre of interference, at most; broadcasts.

    per_mm: what that does to the shell; inside_mm: the bore over the rubber.

    >>> brass = elastic(engineering_inputs("harbour-launch").shell)
    >>> thin = press_fit.press_fit(1.0, 50.0, 66.0, 44.0, brass, brass)
    >>> round(float(closes_per_mm(thin, 44.0, 35.1) / thin.sleeve_bore_closure_mm), 3)  # 44 over 35.1
    1.254
    """
    return bearings.stiff_closure_mm(per_mm.sleeve_bore_closure_mm, shell_bore_mm, inside_mm)


def shell_bore_mm(inputs: Inputs) -> Num:
    """Return the bore of the shell, under its rubber, mm; broadcasts.

    >>> float(shell_bore_mm(engineering_inputs("harbour-launch")))
    44.0
    """
    return inputs.bearing_outside_mm - 2.0 * inputs.shell_mm


def elastic(m: Metal) -> Elastic:
    """Return what a press fit takes of a material.

    >>> elastic(engineering_inputs("canal-tender").strut).youngs_mpa
    193000.0
    """
    return Elastic(m.modulus_mpa, m.poisson, m.expansion_per_k)


def running_clearance_mm(inputs: Inputs) -> Num:
    """Return the clearance on the shaft, on the diameter, mm, once the bearing is in the barrel: pressed in, middle of
    the fit, less by what that closes its bore at most; nought where it would grip; broadcasts.

    >>> round(float(running_clearance_mm(engineering_inputs("harbour-launch"))), 4)  # 0.11 less 0.9 of 0.0215
    0.0906
    """
    inside, d = inputs.bearing_inside_mm, inputs.shaft_mm
    if inputs.fit != "press":
        return inside - d
    made = pressed(inputs)
    closed = made.of(made.fit.middle_mm, made.closes_per_mm)
    left: Num = np.maximum(bearings.clearance_after_closure_mm(inside, d, closed), 0.0)
    return left
