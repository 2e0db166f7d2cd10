"""A let-in housing pressed into its structure: the fit of each of its seats, and how far that closes its bore."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from strutwright.models.arrays import Num, Truth, greatest, least
from strutwright.models.formulas import let_in as rules
from strutwright.models.formulas import press_fit
from strutwright.models.formulas.press_fit import PressFit
from strutwright.models.inputs import Inputs
from strutwright.models.once import once
from strutwright.models.shell_fit import elastic
from strutwright.models.spec_let_in import Seat


@dataclass(frozen=True, slots=True)
class SeatFit:
    """One seat: its least and greatest interference in the shop, and what a millimetre of it does with the structure
    endless, and as a ring of its least wall; sound: whether there is a wall at all."""

    seat: Seat
    least_mm: Num
    most_mm: Num
    stiff: PressFit
    ring: PressFit
    hoop: Num
    sound: Truth


@once
def seat_fits(inputs: Inputs) -> tuple[SeatFit, ...]:
    """Return the fit of each seat of a let-in housing, the outermost first; none of another part; kept with them.

    >>> [round(float(f.most_mm), 3) for f in seat_fits(engineering_inputs("skeg-sleeve"))]  # 60 r6 and 59 r6 in H7
    [0.06, 0.06]
    """
    it = inputs.let_in
    if it is None:
        return ()
    wide = float(np.max(inputs.bore_widest_mm))
    reach = least([r for _, r in it.structure.reaches_mm]) - it.structure.off_line_mm
    bore = float(np.max(inputs.bore_mm))
    hub, sleeve = elastic(inputs.hull), elastic(inputs.strut)
    made = []
    for seat in it.seats:
        fit = press_fit.fit_from_limits(
            seat.hole_lower_mm, seat.hole_upper_mm, seat.outside_lower_mm, seat.outside_upper_mm
        )
        d = seat.outside_mm
        outside = rules.ring_outside_mm(d, reach - d / 2.0)
        sound = np.logical_and(outside > d + 1e-6, wide < d)
        outside, wide_here = np.where(sound, outside, 2.0 * d), np.where(sound, wide, 0.5 * d)
        narrow = np.minimum(bore, wide_here)
        made.append(
            SeatFit(
                seat,
                fit.least_mm,
                fit.most_mm,
                press_fit.press_fit(1.0, d, rules.ENDLESS * d, narrow, hub, sleeve),
                press_fit.press_fit(1.0, d, outside, wide_here, hub, sleeve),
                rules.hoop_times_pressure(d, outside),
                sound,
            )
        )
    return tuple(made)


def bore_closes_mm(inputs: Inputs) -> tuple[Num, Num]:
    """Return by how much pressing a housing into its structure closes its bore, mm: in the middle of the fit and at the
    tightest, of the seat that closes it most; nothing of one that is not pressed in.

    >>> [round(float(c), 3) for c in bore_closes_mm(engineering_inputs("skeg-sleeve"))]
    [0.029, 0.049]
    """
    fits = seat_fits(inputs) if inputs.let_in is not None and inputs.let_in.hold == "pressed" else ()
    if not fits:
        return 0.0, 0.0
    middle = [np.maximum(f.most_mm + f.least_mm, 0.0) / 2.0 * f.stiff.sleeve_bore_closure_mm for f in fits]
    most = [np.maximum(f.most_mm, 0.0) * f.stiff.sleeve_bore_closure_mm for f in fits]
    return greatest(middle), greatest(most)
