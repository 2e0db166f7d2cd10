"""One choice of bolts and weld preparation: which sizes are left open, and a strut to start from."""

from __future__ import annotations

import math
from collections.abc import Mapping

import numpy as np

from strutwright.models import rules
from strutwright.models.arrays import Floats
from strutwright.models.bolt_patterns import PATTERNS
from strutwright.models.geometry.footprints import directions
from strutwright.models.outline import OUTLINES
from strutwright.models.resolve import resolve
from strutwright.models.sections import usual_kind
from strutwright.models.sizing.batch import bounds
from strutwright.models.sizing.candidates import candidates
from strutwright.models.sizing.judge import Judge
from strutwright.models.sizing.known import SizingError, parsed, value_at
from strutwright.models.sizing.ranges import Ranges, Stance
from strutwright.models.sizing.set_text import KNOWN, OUTLINE, PATTERN, Choice, Known, SetText, yaml_text
from strutwright.params import tables
from strutwright.params.limits import Limits
from strutwright.params.loader import loads
from strutwright.params.quantity import LENGTH, SPEED


class Maker:
    """Makes the sizes of candidates of one choice from places in the unit cube, and the text of one of them.

    Raises ParameterError where the choice makes no strut, SizingError where what is known is not enough.
    """

    def __init__(self, said: Known, choice: Choice, d: float, limits: Limits) -> None:
        self.said, self.choice, self.d, self.limits = said, choice, d, limits
        self.inch, self.welded = said["units"] == "in", said["construction"] == "welded"
        self.step_mm = rules.whole_step_mm(inch=self.inch)
        self.writer = SetText(said=said, choice=choice, section=self.section())
        self.loaded = loads(yaml_text(self.writer.data(self.trial())), KNOWN)
        self.resolved = resolve(self.loaded, limits)
        self.strut = self.resolved.strut
        self.judge = Judge.of(self.loaded, self.resolved, limits)
        self.free = self.sought()
        self.stance = self.stood()

    def fixed(self, path: str) -> float | None:
        """Return a length (mm) that what is known says, or None."""
        return value_at(self.said, path, LENGTH)

    def text(self, sizes: Mapping[str, float]) -> str:
        """Return a set with these sizes (mm) as the text of a file."""
        return self.writer.text(sizes, self.strut.bearings[0])

    def data(self, sizes: Mapping[str, float]) -> Known:
        """Return the same as data."""
        return self.writer.data(sizes)

    def columns(self, places: Floats) -> dict[str, Floats]:
        """Return sizes (mm) of candidates at places (n, Ranges.DIMENSIONS) in the unit cube, path -> (n,)."""
        return Ranges(self, places).columns()

    def section(self) -> str:
        """Return the kind of section where what is known says none."""
        speed, fast = self.said["duty"].get("boat_speed"), False
        if self.welded and speed is not None:
            fast = parsed("duty.boat_speed", speed, SPEED, self.said["units"]) > self.limits["flat_arm_speed"].value
        return usual_kind(cast=not self.welded, fast=fast)

    def sought(self) -> frozenset[str]:
        """Return the paths of the sizes that are sought: left open, and of a kind that can be followed as arrays.

        Raises SizingError where bolts along the edge leave the palm's size open.
        """
        strut, pattern = self.strut, self.resolved.of_strut.bolts.pattern
        kind = PATTERNS[pattern.kind]
        paths = {"arms.section.chord", "arms.section.thickness", "palm.thickness"}
        paths |= (
            {"welds.arm_to_palm_leg", "welds.arm_to_barrel_leg"}
            if self.welded
            else {"arms.section.chord_at_palm", "arms.section.thickness_at_palm"}
        )
        if not strut.barrel.steps and strut.barrel.slots is None and strut.skeg is None and len(strut.bearings) == 1:
            paths.add("barrel.length")
            if self.fixed("barrel.outside_diameter") is None:
                paths.add("barrel.wall")
        if kind.pitched:
            paths |= {f"bolts.pattern.pitch_{way}" for way in ("along", "across") if getattr(pattern, way) != 1}
        outline = self.outline_sizes()
        if kind.along_edge:
            lacking = [p for p in outline if self.fixed(p) is None and not p.endswith("radius")]
            if lacking:
                raise SizingError(
                    f"{' and '.join(lacking)}: not sought with bolts along the edge; give "
                    f"{'it' if len(lacking) == 1 else 'them'}, or let bolts.pattern.kind be {PATTERN}"
                )
        else:
            paths |= set(outline)
        if kind.centred:
            paths.add("palm.offset.port")
        return frozenset(p for p in paths if self.fixed(p) is None)

    def outline_sizes(self) -> tuple[str, ...]:
        """Return the paths of the palm's sizes that can be sought; an outline of another shape has to be given."""
        shape = (self.said["palm"].get("outline") or {}).get("shape", OUTLINE)
        return tuple(f"palm.outline.{name}" for name in (OUTLINES[shape].sought if shape in OUTLINES else ()))

    def stood(self) -> Stance:
        """Return how the arm that leans most stands on its palm."""
        made = candidates(self.loaded, self.resolved, {}, self.judge.base)
        lean, turn, slope, stretch, apart = 0.0, 0.0, 0.0, 1.0, 0.0
        for k, arm in enumerate(made.inputs.arms):
            w = directions(made, k)
            if len(self.strut.palms) == 1:
                palm = made.inputs.palms[0]
                foot = np.array([arm.x_mm, 0.0, 0.0]) + arm.end_mm * w.n - np.array(palm.zero_mm)
                apart = max(apart, abs(float(foot @ w.palm_v)))
            nn = float(w.n @ w.palm_n)
            own = float(w.n @ w.palm_v) / nn
            if self.strut.arms[k].palm_index == 1:
                own = -own  # its palm is the mirror image
            chord = w.u - float(w.u @ w.palm_n) / nn * w.n
            if abs(own) >= abs(lean):
                lean, slope = own, float(w.n @ w.palm_u) / nn
                turn = max(abs(math.atan2(float(chord @ w.palm_v), float(chord @ w.palm_u))), turn)
                stretch = max(float(chord @ w.palm_u), stretch)
        return Stance(lean=lean, turn=turn, slope=slope, stretch=stretch, apart_mm=apart)

    def trial(self) -> dict[str, float]:
        """Return sizes (mm) that make a strut to start from, those that are known left out."""
        d, vee = self.d, self.said["arms"].get("arrangement") == "vee"
        try:
            major = tables.thread(self.choice.bolt).major_mm
        except tables.NotInTable:
            major = 0.3 * d  # a bolt that is not in the tables is told when the trial is resolved
        sizes: dict[str, float] = {}

        def take(path: str, otherwise: float) -> float:
            said = self.fixed(path)
            if said is not None:
                return said
            low, high = bounds(path)
            sizes[path] = float(rules.near_mm(otherwise, self.step_mm))
            if not low <= sizes[path] <= high:
                sizes[path] = float(np.floor(min(max(otherwise, low), high) / self.step_mm) * self.step_mm)
            return sizes[path]

        known = [t for p in ("thickness", "thickness_at_palm") if (t := self.fixed(f"arms.section.{p}")) is not None]
        least_chord = 2.2 * max(known, default=0.0)
        chords = [take("arms.section.chord", max(rules.arm_chord_mm(d, vee=vee), least_chord))]
        thick = take("arms.section.thickness", min(0.45 * d, 0.45 * chords[0]))
        if not self.welded:
            chords.append(take("arms.section.chord_at_palm", max(chords[0], least_chord)))
            take("arms.section.thickness_at_palm", min(thick, 0.45 * chords[1]))
        take("palm.thickness", max(0.5 * d, 1.2 * major))
        outline = self.outline_sizes()
        if outline:
            radius = self.fixed("palm.outline.corner_radius") or 0.0
            width = take("palm.outline.width", max(3.0 * d, 9 * major, 2.2 * radius))
            length = take("palm.outline.length", max(8 * major * max(self.choice.along, 2), 4.0 * d, 1.1 * width))
            if outline[-1].endswith("radius"):
                take(outline[-1], min(major, 0.4 * width, 0.4 * length))
        if self.choice.along:
            take("bolts.pattern.pitch_along", 4 * major)
            take("bolts.pattern.pitch_across", max(2.0 * d, 5 * major))
        return sizes
