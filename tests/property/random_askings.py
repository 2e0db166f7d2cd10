"""Random askings of `size` over the whole range that may be asked, drawn from a seeded generator: shafts and stocks of
10 to 300 mm, mm and inches, every material that may stand there, cast and welded, much or little known."""

from __future__ import annotations

import random
from collections.abc import Callable, Mapping
from typing import Any

BASES = ("hardwood", "plywood", "FRP laminate", "S275", "5083-H111", "6061-T6", "316L", "S32205", "C95800", "C46400")
CAST = ("C95800", "C90300", "C86500", "C87300", "CF3M", "cast steel", "C85700")
WELDED = ("316L", "S31803", "S32205", "S275", "5083-H111", "6082-T6", "C65500", "C46400", "6061-T6", "S20910 annealed")
SHAFTS = ("316L", "S32205", "S17400 H1150", "S20910 annealed", "C65500", "C46400", "S275")


class _Draw:
    """One asking as it is drawn. Lengths are drawn in mm and said in the units of the asking."""

    def __init__(self, family: str, number: int) -> None:
        self.rng = random.Random(f"{family} {number}")
        self.inch = self.rng.random() < 0.4
        self.d = 10.0 * 30.0 ** self.rng.random()
        self.known: dict[str, Any] = {"part": family, "units": "in" if self.inch else "mm"}

    def maybe(self, chance: float = 0.5) -> bool:
        return self.rng.random() < chance

    def one(self, *of: Any) -> Any:
        return self.rng.choice(of)

    def put(self, path: str, value: Any) -> None:
        *groups, name = path.split(".")
        at = self.known
        for group in groups:
            at = at.setdefault(group, {})
        at[name] = value

    def mm(self, path: str, low: float, high: float) -> float:
        """Put a length between two bounds, drawn by its logarithm, and return it, mm."""
        mm = low * (high / low) ** self.rng.random()
        said = float(f"{mm / 25.4:.3g}") if self.inch else float(f"{mm:.3g}")
        self.put(path, said)
        return said * 25.4 if self.inch else said

    def number(self, path: str, low: float, high: float, unit: str = "") -> None:
        value = float(f"{low * (high / low) ** self.rng.random():.3g}")
        self.put(path, f"{value:g} {unit}" if unit else value)

    def metals(self, own: str, base: str) -> None:
        """What it stands on, and now and then how it is made and of what."""
        self.put(f"materials.{base}", self.one(*BASES))
        if self.maybe(0.6):
            made = self.one("cast", "welded")
            self.put("construction", made)
            if self.maybe():
                self.put(f"materials.{own}", self.one(*(CAST if made == "cast" else WELDED)))

    def bearing(self) -> None:
        if self.maybe(0.4):
            outside = self.mm("bearing.outside_diameter", 1.25 * self.d, 1.7 * self.d)
            self.mm("bearing.length", 2.0 * self.d, 5.0 * self.d)
            if self.maybe(0.3):
                self.put("bearing.shell_material", self.one("C46400", "glass-epoxy shell", "316L"))
            if self.maybe(0.2):
                self.put("bearing.outside_measured", self.known["bearing"]["outside_diameter"] * 1.0005)
            assert outside > self.d

    def duty(self, *, propeller: bool = True) -> None:
        d = self.d
        self.mm("shaft.diameter", d, d * 1.0001)
        if self.maybe(0.7):
            # About what shafts of such a size carry, or far under and over it.
            rpm = 3500.0 / (d / 25.0) ** 0.6 * self.rng.uniform(0.5, 1.5)
            self.put("duty.power", f"{(d / 25.0) ** 3 * 8.0 * rpm / 1000.0 * self.rng.uniform(0.2, 1.6):.3g} kW")
            self.put("duty.shaft_speed", f"{rpm:.4g} rpm")
            if self.maybe(0.15):
                del self.known["shaft"]["diameter"]
        if self.maybe(0.6):
            self.number("duty.boat_speed", 3.0, 45.0, "kn")
        if self.maybe(0.3):
            self.put("duty.service", self.one("light", "pleasure", "long_range", "patrol", "passenger"))
        if self.maybe(0.3):
            self.put("materials.shaft", self.one(*SHAFTS))
        if propeller and self.maybe(0.7):
            self.mm("propeller.diameter", 8.0 * d, 20.0 * d)
            self.put("propeller.blades", self.rng.randint(2, 6))
            if self.maybe(0.7):
                self.number("propeller.mass", (d / 30.0) ** 3 * 3.0, (d / 30.0) ** 3 * 14.0, "kg")
            self.mm("propeller.hub_length", 1.5 * d, 3.5 * d)
            self.mm("propeller.hub_gap", 0.1 * d, 1.2 * d)


def _let_in(a: _Draw) -> None:
    d = a.d
    a.put("materials.base", a.one(*BASES))
    if a.maybe(0.4):
        a.put("materials.housing", a.one(*CAST, *WELDED))
    kind = a.one("skeg", "keel", "tube")
    a.put("structure.kind", kind)
    if kind == "tube":
        a.mm("structure.outside_diameter", 1.8 * d, 4.0 * d)
    else:
        a.mm("structure.thickness", 1.8 * d, 6.0 * d)
        if a.maybe(0.7):
            a.mm("structure.above", 1.2 * d, 6.0 * d)
            a.mm("structure.below", 1.2 * d, 6.0 * d)
    a.mm("structure.depth", 1.5 * d, 7.0 * d)
    if a.maybe():
        a.put("hold", a.one("pressed", "bedded", "welded"))
    if a.maybe(0.2):
        a.put("collar", {})
        a.mm("collar.thickness", 0.15 * d, 0.6 * d)
    if a.maybe(0.15):
        a.mm("barrel.wall", 0.1 * d, 0.5 * d)
    if a.maybe(0.6):
        a.mm("shaft.bearing_span", 15.0 * d, 60.0 * d)
    a.bearing()
    a.duty()


def _hanger(a: _Draw) -> None:
    d = a.d
    a.metals("hanger", "base")
    a.mm("shaft.bearing_span", 15.0 * d, 60.0 * d)
    a.mm("line.aft", 15.0 * d, 60.0 * d)
    a.put("line.water", a.one("around", "fed"))
    a.mm("foot.height", 1.3 * d, 8.0 * d)
    if a.maybe(0.6):
        a.put("foot.stands", a.one("above", "below", "port", "starboard"))
    if a.maybe(0.3):
        a.put("foot.skew", {a.one("turned", "across", "profile"): f"{a.rng.uniform(0.5, 15.0):.3g} deg"})
    if a.maybe():
        a.mm("base.thickness", 0.1 * d, 1.5 * d)
    if a.maybe(0.3):
        a.put("cap.bolts", {"on_each_side": a.rng.randint(1, 3)})
    if a.maybe(0.15):
        a.mm("barrel.wall", 0.15 * d, 0.5 * d)
    a.bearing()
    a.duty(propeller=False)


def _shoe(a: _Draw) -> None:
    d = a.d
    a.mm("stock.diameter", d, d * 1.0001)
    a.metals("shoe", "keel")
    if a.maybe():
        a.put("stock.rake", f"{a.rng.uniform(-12.0, 20.0):.3g} deg")
    if a.maybe(0.15):
        a.put("stock.cant", f"{a.rng.uniform(-8.0, 8.0):.3g} deg")
    if a.maybe(0.3):
        a.put("materials.stock", a.one(*SHAFTS))
    a.mm("keel.end", 1.5 * d, 9.0 * d)
    if a.maybe():
        a.mm("keel.width", 1.5 * d, 8.0 * d)
    if a.maybe(0.7):
        a.mm("keel.thickness", 0.3 * d, 8.0 * d)
    if a.known["materials"]["keel"] == "hardwood" or a.maybe(0.1):
        a.number("keel.density", 420.0, 900.0)
    a.put("bolts.fastener", a.one("through_bolt", "through_bolt", "stud", "lag_screw"))
    if a.maybe(0.15):
        a.put("bush.kind", "fluted_rubber")
    if a.maybe(0.15):
        a.mm("boss.wall", 0.2 * d, 0.6 * d)
    area = (d / 32.0) ** 2 * 0.3 * a.rng.uniform(0.1, 1.5)
    if a.maybe(0.8):
        a.put("rudder.area", f"{area:.3g} m2")
        if a.maybe():
            a.mm("rudder.height", 700.0 * area**0.5, 2000.0 * area**0.5)
        if a.maybe():
            a.number("rudder.mass", 40.0 * area, 200.0 * area, "kg")
    if a.maybe():
        a.mm("rudder.foot_gap", 5.0, 30.0)
    if a.maybe(0.8):
        a.number("duty.boat_speed", 3.0, 40.0, "kn")
    if a.maybe():
        a.number("duty.displacement", (d / 32.0) ** 3 * 800.0, (d / 32.0) ** 3 * 9000.0, "kg")


def _flanged(a: _Draw) -> None:
    d = a.d
    a.metals("housing", "base")
    bore = a.mm("base.bore", 1.2 * d, 2.6 * d)
    if a.maybe(0.7):
        a.mm("base.thickness", 0.3 * d, 6.0 * d)
    if a.known["materials"]["base"] == "hardwood":
        a.number("base.density", 420.0, 900.0)
    if a.maybe():
        a.put("spigot.use", a.one("base_bore", "hose"))
        a.mm("spigot.length", 0.5 * d, 2.0 * d)
    a.put("bolts.fastener", a.one("through_bolt", "through_bolt", "stud", "lag_screw"))
    if a.maybe(0.6):
        a.mm("shaft.bearing_span", 15.0 * d, 60.0 * d)
    a.bearing()
    a.duty()
    assert bore > d


_DRAWN: Mapping[str, Callable[[_Draw], None]] = {
    "let_in_housing": _let_in,
    "shaft_hanger": _hanger,
    "rudder_shoe": _shoe,
    "flanged_housing": _flanged,
}
KINDS = tuple(_DRAWN)


def draw_asking(family: str, number: int) -> dict[str, Any]:
    """Return what is known of asking `number` of a kind of part."""
    drawn = _Draw(family, number)
    _DRAWN[family](drawn)
    return drawn.known
