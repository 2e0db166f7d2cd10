"""A barrel, a bearing and a shaft as measured, at the shop's temperature; the set says what the readings do not."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from strutwright.models.arrays import Floats
from strutwright.models.bore_steps import STEPS
from strutwright.models.formulas.bearing import flutes_fit
from strutwright.models.inputs import Inputs
from strutwright.models.let_in_fit import bore_closes_mm
from strutwright.models.metals import Metal, metal
from strutwright.models.spec import BoreStep, Strut
from strutwright.params.bench.fitting import Across, Fitting
from strutwright.params.limits import Limits

SURE = 2.0
"""Standard deviations that are told and judged by: 95 of 100 readings lie within."""


class NotKnownError(ValueError):
    """What is needed and neither read nor said, or makes no sense together. faults: each reading with its words."""

    def __init__(self, *faults: tuple[str, str]) -> None:
        super().__init__("; ".join(words for _, words in faults))
        self.faults = faults


@dataclass(frozen=True, slots=True, eq=False)
class Profile:
    """A diameter along: the mean over the directions by place, straight between, the end readings beyond.

    out_of_round_mm: greatest less least at one place, the worst.
    """

    at_mm: Floats
    mean_mm: Floats
    out_of_round_mm: float

    def __call__(self, at_mm: Floats) -> Floats:
        """Return the mean diameter at places along."""
        return np.interp(at_mm, self.at_mm, self.mean_mm)

    @property
    def middle_mm(self) -> float:
        """The mean of all places."""
        return float(self.mean_mm.mean())


@dataclass(frozen=True, slots=True, kw_only=True)
class MarkedScrew:
    """A set screw. station_mm: as drawn; of_bearing: how far along the bearing as drawn, a share of its length."""

    station_mm: float
    clock_deg: float
    thread: str
    point: str
    dimple_mm: float
    of_bearing: float
    flat_mm: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Case:
    """What is to be fitted. Stations from the barrel's aft face; bore and outside at the shop's temperature.

    in_structure: whether a structure stands round the barrel, so that it may not give; closes_later_mm: by how much
    pressing it into that structure will close the bore that was measured, at most.
    within_mm: of the interference, at SURE; clearance_within_mm: of bore over the rubber less shaft;
    bore_within_mm: of one reading of the bore.
    """

    barrel_length_mm: float
    barrel_outside_mm: float
    hub: Metal
    shell: Metal
    press: bool
    in_structure: bool
    closes_later_mm: float
    bearing_length_mm: float
    shell_mm: float
    shell_least_mm: float
    inside_mm: float
    shaft_mm: float
    flutes: int | None
    flute_width_mm: float | None
    sits_mm: float
    enters: str
    bore: Profile
    outside: Profile
    steps: tuple[BoreStep, ...]
    screws: tuple[MarkedScrew, ...]
    within_mm: float
    bore_within_mm: float
    clearance_within_mm: float

    def bore_at(self, station_mm: Floats) -> Floats:
        """Return the bore along, in a relief as the set has it."""
        out = self.bore(station_mm)
        for step in self.steps:
            if STEPS[step.kind].clear:
                within = (station_mm > step.from_station_mm) & (station_mm < step.to_station_mm)
                out = np.where(within, np.maximum(out, step.diameter_mm), out)
        return out

    @property
    def engaged_mm(self) -> tuple[float, float]:
        """Stations between which the bearing lies in the barrel."""
        return max(self.sits_mm, 0.0), min(self.sits_mm + self.bearing_length_mm, self.barrel_length_mm)


def case_of(said: Fitting, strut: Strut | None, limits: Limits) -> Case:
    """Return the case of readings. Raises NotKnownError where a size makes no sense or a material is not known.

    >>> from strutwright.params.bench.fitting import Across
    >>> said = Fitting(bore=[Across(at=9, upright=50.0, level=50.02)], outside=[Across(at=9, level=50.03)])
    >>> round(case_of(said, shipped("harbour-launch"), standard()).bore.out_of_round_mm, 3)
    0.02
    """
    index = said.bearing.which - 1
    if strut is not None and index >= len(strut.bearings):
        raise NotKnownError(("bearing.which", "the set has no such bearing"))
    bearing = None if strut is None else strut.bearings[index]
    barrel = None if strut is None else strut.barrel

    def first(read: float | None, drawn: float | None) -> float:
        value = read if read is not None else drawn
        if value is None:
            raise NotKnownError(("bearing", "a size is neither read nor in a set"))
        return value

    hub, shell = _metals(
        (
            "barrel.material",
            said.barrel.material or (None if strut is None else strut.material),
            strut is not None and strut.heated,
        ),
        ("bearing.material", said.bearing.material or (None if bearing is None else bearing.shell_material), False),
    )
    shop, scatter = limits["shop_temperature"].value, said.instruments
    wall = first(said.bearing.wall, None if bearing is None else bearing.shell_mm)
    length = first(said.bearing.length, None if bearing is None else bearing.length_mm)
    sits = said.sits if said.sits is not None else 0.0 if bearing is None else bearing.aft_station_mm
    case = Case(
        barrel_length_mm=first(said.barrel.length, None if barrel is None else barrel.length_mm),
        barrel_outside_mm=first(said.barrel.outside, None if barrel is None else barrel.outside_mm),
        hub=hub,
        shell=shell,
        press=(said.barrel.fit or ("press" if barrel is None else barrel.fit)) == "press",
        in_structure=bool(said.barrel.in_structure) if strut is None else strut.let_in is not None,
        closes_later_mm=_closes_later_mm(said, strut, index, limits),
        bearing_length_mm=length,
        shell_mm=wall,
        shell_least_mm=said.bearing.wall_least if said.bearing.wall_least is not None else wall,
        inside_mm=first(said.bearing.inside, None if bearing is None else bearing.inside_mm),
        shaft_mm=first(said.shaft, None if strut is None else strut.shaft.diameter_mm),
        flutes=said.bearing.flutes or (None if bearing is None else bearing.flute_count),
        flute_width_mm=said.bearing.flute_width or (None if bearing is None else bearing.flute_width_mm),
        sits_mm=sits,
        enters=said.enters,
        bore=_profile(said.bore, hub, said.barrel.celsius, shop),
        outside=_profile(said.outside, shell, said.bearing.celsius, shop),
        steps=() if barrel is None else barrel.steps,
        screws=_screws(said, strut, wall, limits, (sits, length)),
        within_mm=SURE * float(np.hypot(scatter.bore, scatter.outside)),
        bore_within_mm=SURE * float(scatter.bore),
        clearance_within_mm=SURE * float(np.hypot(scatter.inside, scatter.shaft)),
    )
    _sound(case)
    return case


def _closes_later_mm(said: Fitting, strut: Strut | None, index: int, limits: Limits) -> float:
    """By how much the bore that was measured will be closed by the structure, at most."""
    if strut is None or strut.let_in is None:
        return 0.0
    stood = strut.let_in.bored_in_place if said.barrel.in_structure is None else said.barrel.in_structure
    return 0.0 if stood else float(bore_closes_mm(Inputs.from_strut(strut, bearing=index, limits=limits))[1])


def _metals(*named: tuple[str, str | None, bool]) -> list[Metal]:
    """Each by where it is said, its name, and whether it is as beside a weld."""
    found = [metal(name or "", welded) for _, name, welded in named]
    faults = [
        (where, f"stiffness or strength of {name} is not in the table of materials")
        for (where, name, _), m in zip(named, found, strict=True)
        if not np.isfinite(float(m.modulus_mpa) + float(m.poisson) + float(m.strength_mpa))
    ]
    if faults:
        raise NotKnownError(*faults)
    return found


def _profile(rows: Sequence[Across], of: Metal, celsius: float | None, shop: float) -> Profile:
    ordered = sorted(rows, key=lambda row: row.at)
    expansion = 0.0 if np.isnan(of.expansion_per_k) else float(of.expansion_per_k)
    cooled = 1.0 - expansion * (0.0 if celsius is None else celsius - shop)
    means = np.array([float(np.mean(row.read_mm)) for row in ordered]) * cooled
    worst = max(max(row.read_mm) - min(row.read_mm) for row in ordered)
    return Profile(np.array([row.at for row in ordered]), means, worst)


def _screws(
    said: Fitting, strut: Strut | None, wall: float, limits: Limits, lies: tuple[float, float]
) -> tuple[MarkedScrew, ...]:
    if said.screws:
        usual = limits["dimple"].value * (said.bearing.wall_least or wall)
        sits, length = lies
        return tuple(
            MarkedScrew(
                station_mm=s.at,
                clock_deg=s.clock,
                thread=s.thread,
                point=s.point,
                dimple_mm=usual if s.dimple is None else s.dimple,
                of_bearing=(s.at - sits) / length,
            )
            for s in said.screws
        )
    if strut is None:
        return ()
    index = said.bearing.which - 1
    drawn = strut.bearings[index]
    return tuple(
        MarkedScrew(
            station_mm=s.station_mm,
            clock_deg=s.clock_deg,
            thread=s.thread,
            point=s.point,
            dimple_mm=s.dimple_depth_mm,
            of_bearing=(s.station_mm - drawn.aft_station_mm) / drawn.length_mm,
            flat_mm=s.flat_diameter_mm,
        )
        for s in strut.set_screws
        if s.bearing_index == index
    )


def _sound(case: Case) -> None:
    """Raise NotKnownError with everything that makes no sense together."""
    low, high = case.engaged_mm
    room = case.outside.middle_mm - 2.0 * case.shell_mm
    count, width = case.flutes, case.flute_width_mm
    held = (
        ("bore", case.bore.middle_mm < case.barrel_outside_mm, "the bore is not smaller than the barrel's outside"),
        ("bearing.inside", 0.0 < case.inside_mm < room, "the bore over the rubber does not fit in the shell"),
        ("sits", high - low >= 0.1 * case.bearing_length_mm, "hardly any of the bearing lies in the barrel"),
        (
            "bearing.flutes",
            count is None or width is None or bool(flutes_fit(count, width, case.inside_mm)),
            "that many flutes of that width do not fit round the bore over the rubber",
        ),
    )
    faults = [(where, words) for where, good, words in held if not good]
    if faults:
        raise NotKnownError(*faults)
