"""The text of a new parameter set: sizes by usual proportions for a few answers, and what may be chosen beside them."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from strutwright.models import frames, rules
from strutwright.models.bolt_heads import HEADS, USUAL
from strutwright.models.edge_rules import EDGE_RULES
from strutwright.models.geometry.footprints import fillet_toe_mm
from strutwright.models.metals import ALIKE
from strutwright.models.metals import USUAL as USUAL_METAL
from strutwright.models.sections import usual_kind
from strutwright.models.sizing.choices import INCH, METRIC, kinds_of
from strutwright.params import quantity, tables
from strutwright.params.limits import Limits
from strutwright.params.quantity import FileUnits
from strutwright.params.schema import Bolts

HALF_VEE_DEG = (25.0, 30.0, 35.0, 40.0, 50.0)
"""Half angles between the arms of a vee, from the narrowest."""
USUAL_VEE = 1
"""Which of them is usual."""
HULLS: Mapping[str, str] = {
    "laminate": "FRP laminate",
    "timber": "hardwood",
    "plywood": "plywood",
    "steel": "S275",
    "aluminium": "5083-H111",
}
"""What a hull may be of, and its name in the table of materials."""
SPARE = (0.0, 0.04, 0.08, 0.14, 0.2, 0.3, 0.4, 0.5)
"""Shares of the chord by which the palm and its bolts stand farther from the arm, tried in this order."""
THICKER = (1.0, 1.15, 1.3, 1.5, 1.75, 2.0, 2.3, 2.6, 2.9)
"""Times the usual thickness of the palm, tried in this order."""
MOST_PALM_MM = 150.0
"""The thickest palm that a file may say."""
BEYOND = (0.0, 0.5, 1.0, 1.5)
"""How far the backing plate reaches beyond the palm, in shafts, tried in this order; 0: what is usual."""
SLIMMER, THICK = (1.0, 0.85, 0.7, 0.6), 3
"""Times the usual chord of a vee's arms, tried once the palm is so far thicker: a blow pushes and pulls the palms by
what the arms are strong enough for."""
LONGER = (1.0, 1.25, 1.5, 1.8, 2.2, 2.7)
"""Times the usual leg of the weld of arm to palm, tried in this order."""
MORE_ROWS, FEW_ROWS = 9, 3
"""How many bolts more than three along are tried, one by one; and how many before larger ones that are not flush."""
LOOSER, TIGHTER = "G7", "H6"
"""Classes of the bore that are tried for the usual one."""
STEEP_DEG, STEEPEST_DEG = 40.0, 55.0
"""An arm that would lean more on its palm in the usual vee has a narrower one; and how far it may lean in a wider."""
_CLASSES = {LOOSER: "presses the thin shell less", TIGHTER: "so that the bearing still holds in warm water"}
_EDGE = EDGE_RULES[Bolts.model_fields["edge_rule"].default]
"""The rule for bolts of a file that names none."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Made:
    """What is chosen beside the answers, each as a place in the order in which it is tried; larger: by how many sizes
    the bolts are, and rows: how many more than three there are along. screws: clock of the set screws, None for the
    usual one; class_: tolerance class of the bore, "" for the usual one; roots: size (mm) of the fillets or weld legs
    at barrel and palm where the usual ones do not fit; bevelled: the arms' ends are."""

    vee: int = USUAL_VEE
    spare: int = 0
    thicker: int = 0
    slim: int = 0
    beyond: int = 0
    longer: int = 0
    larger: int = 0
    rows: int = 0
    screws: float | None = None
    class_: str = ""
    roots: tuple[tuple[str, float], ...] = ()
    bevelled: bool = False


@dataclass(frozen=True, slots=True)
class _Rule:
    """Sizes as they would be measured off, and as they are written in the file."""

    inch: bool

    def up(self, mm: float) -> float:
        """Round up to a whole mm or sixteenth of an inch."""
        step = quantity.INCH_MM / 16 if self.inch else 1.0
        return math.ceil(abs(mm) / step - 1e-6) * math.copysign(step, mm)

    def exact(self, mm: float) -> str:
        """Return a size as it is."""
        return f"{mm / quantity.INCH_MM:.6g} in" if self.inch else f"{mm:.6g} mm"

    def size(self, mm: float) -> str:
        """Return a size rounded up."""
        return self.exact(self.up(mm))

    def root(self, mm: float) -> str:
        """Return a fillet or leg, rounded down to a half mm or a thirty-second of an inch."""
        step = quantity.INCH_MM / 32 if self.inch else 0.5
        return self.exact(math.floor(mm / step + 1e-6) * step)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Sizes:
    """Sizes that the answers lead to, mm. inboard: from the palm's middle to where the arm lands; rim: of the bolt
    head's countersink; along, across: places of the bolts from the middle of their pattern; ringed: whether bolts stand
    between the two rows at the palm's ends too; gaps: between the bolts of a row, at least."""

    chord: float
    thick: float
    bolt: StockBolt
    rim: float
    palm: float
    length: float
    width: float
    inboard: float
    apart: float
    across: float
    ringed: bool
    seals: float
    gaps: int


def _sizes(values: Mapping[str, str | float], made: Made, rule: _Rule, limits: Limits) -> _Sizes:
    # Proportions: older practice for a single arm is a chord of 3.2 and a thickness of 0.52 shaft diameters, for each
    # leg of a vee 2.3 and 0.37 (common practice, from memory); the class-type second moment of 0.018 d^4 asks 0.54 of
    # a foil of 3.0; bolts a quarter to a third of the shaft.
    d, cast, vee = float(values["shaft"]), values["construction"] == "cast", values["arms"] == "vee"
    asked = {name: limit.value for name, limit in limits.items()}
    chord = SLIMMER[made.slim] * rules.arm_chord_mm(d, vee=vee)
    thick = max(0.37, asked["arm_thickness_vee"]) * d if vee else (0.55 if cast else 0.52) * d
    bolt = bolt_of(values, made, limits)
    major, hole = tables.thread(bolt.size).major_mm, tables.clearance_hole_mm(bolt.size, "medium")
    head = HEADS[bolt.kind].from_table(bolt.size, None, hole, Bolts.model_fields["sunk_below"].default)
    rim, sunk = head.head_diameter_mm + 0.2, head.head_depth_mm
    usual = max(
        0.36 * d,
        asked["palm_thickness"] * d,
        1.02 * sunk / asked["countersink_share"],
        sunk + asked["countersink_land"],
    )
    palm = max(min(THICKER[made.thicker] * usual, MOST_PALM_MM), usual)
    stood = _stood(values, made, chord, thick, palm, limits, rim)
    edge = max(_EDGE.edge_mm(bolt.size, major, hole, limits)[1], rim / 2 + asked["rim_to_edge"]) + 2
    pitch = max(asked[_EDGE.along], asked[_EDGE.across]) * _EDGE.of_mm(major, hole)
    apart = max(3.4 * major, pitch, rim + 6, 0.42 * chord)
    # Bolts seal so far apart. Where the two rows stand farther apart there is one more between them at each end, clear
    # of the arm's edges, and the rows grow to reach it.
    seals = max((asked["bolt_pitch_sealing"] - 0.1) * major, pitch)
    across = stood.low + stood.high
    if ringed := rule.up(across) > seals:
        apart = max(apart, 0.05 * chord + 0.5 * stood.foot + stood.root + rim / 2 + asked["rim_to_root"] + 3)
    gaps = 2 + made.rows
    if made.rows:
        apart = gaps / 2 * rule.up(max(2 * apart / gaps, pitch, rim + 6))
    return _Sizes(
        chord=chord,
        thick=thick,
        bolt=bolt,
        rim=rim,
        palm=palm,
        length=max(2 * apart + 2 * edge, 0.1 * chord + stood.foot + 2 * stood.root + 12),
        width=across + 2 * edge,
        inboard=palm * math.tan(stood.lean) + (stood.low - stood.high) / 2,
        apart=apart,
        across=across,
        ringed=ringed,
        seals=seals,
        gaps=gaps,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Stood:
    """How the arm stands on its palm, mm. lean: from square to it, radians; foot: its length along; root: how far its
    root reaches along beyond that; low, high: from the arm's middle to the bolts on the side it leans to and on the
    other."""

    lean: float
    foot: float
    root: float
    low: float
    high: float


def _stood(
    values: Mapping[str, str | float], made: Made, chord: float, thick: float, palm: float, limits: Limits, rim: float
) -> _Stood:
    # An arm that leans on its palm: its root is longer on the low side, and a tool there has to clear the arm.
    inch, spare = values["units"] == "in", SPARE[made.spare] * chord
    lean, turn = _foot(values, HALF_VEE_DEG[made.vee])
    pitch = math.radians(float(values["angle"]) + float(values["run"]))
    if values["construction"] == "cast":
        root = rules.fillet_mm(thick, palm, limits)
        corners = (math.pi / 2 + turned for turned in (-lean, lean, -abs(pitch)))
        low_root, high_root, end_root = (float(fillet_toe_mm(root, corner)) for corner in corners)
    else:
        usual = float(rules.leg_mm(thick, palm, rules.leg_share("none"), inch=inch))
        low_root = high_root = end_root = max(usual, _leg(made, thick, palm, inch))
    half = thick / 2 / math.cos(lean) + chord / 2 * math.tan(turn)
    beside = half + rim / 2 + spare
    clear, height = limits["rim_to_root"].value + 2, limits["driver_height"].value + 5
    return _Stood(
        lean=lean,
        foot=chord / math.cos(pitch) + 2 * spare,
        root=max(low_root, end_root),
        low=beside + max(low_root + clear, height * math.tan(lean) + limits["driver_to_arm"].value + 3.5),
        high=beside + high_root + clear,
    )


def _leg(made: Made, thick: float, palm: float, inch: bool) -> float:
    """The leg (mm) of the weld of arm to palm; a file may say no longer one than 60 mm."""
    share = rules.leg_share("double_bevel" if made.bevelled else "none")
    usual = float(rules.leg_mm(thick, palm, share, inch=inch))
    return max(min(LONGER[made.longer] * usual, 60.0), usual)


def _pattern(s: _Sizes, rule: _Rule, vee: bool) -> str:
    if not s.ringed:
        pitches = f"pitch_along: {rule.size(2 * s.apart / s.gaps)}, pitch_across: {rule.size(s.across)}"
        return f"{{kind: grid, along: {s.gaps + 1}, across: 2, {pitches}}}"
    gaps = max(s.gaps, math.ceil(2 * rule.up(s.apart) / s.seals))
    along = [rule.up(s.apart) * (1 - 2 * n / gaps) for n in range(gaps + 1)]
    middle = rule.up(-s.inboard) if vee else 0.0
    between = math.ceil(rule.up(s.across) / s.seals)
    ends, sides = [1 - 2 * n / between for n in range(between + 1)], (1.0, -1.0)
    points = [(u, v) for n, u in enumerate(along) for v in (ends if n in (0, gaps) else sides)]
    rows = (
        f"    {{forward: {rule.exact(u)}, port: {rule.exact(middle + v * rule.up(s.across) / 2)}}}" for u, v in points
    )
    return "{kind: points, points: [\n" + ",\n".join(rows) + "]}"


def _bearing_lines(values: Mapping[str, str | float], made: Made, rule: _Rule, limits: Limits) -> str:
    d = float(values["shaft"])
    lines = ""
    if values["construction"] != "cast" and (least := _clearance_left_mm(d, limits)):
        lines = f"bearing: {{running_clearance: {rule.exact(least)}}}   # order it so: pressing it in closes it\n"
    if made.class_:
        lines += f"barrel: {{bore_class: {made.class_}}}   # {_CLASSES[made.class_]}\n"
    return lines


def _screw_lines(values: Mapping[str, str | float], made: Made, rule: _Rule) -> str:
    if made.screws is None:
        return ""
    place = f"distance: {rule.size(float(values['shaft']))}, clock: {made.screws:g} deg"
    return "set_screws:     # on a land of the rubber, clear of the arms\n  positions:\n" + "".join(
        f"    - {{end: bearing_{end}, {place}}}\n" for end in ("aft", "forward")
    )


def _roots(made: Made, s: _Sizes, rule: _Rule, *, cast: bool) -> tuple[str, str]:
    """The line of the fillets, or of the welds, where there is something to say of them."""
    longer = {"palm": _leg(made, s.thick, s.palm, rule.inch)} if made.longer and not cast else {}
    own = {**longer, **dict(made.roots)}
    roots = ", ".join(f"{where if cast else f'arm_to_{where}_leg'}: {rule.root(mm)}" for where, mm in own.items())
    fillets = f"  root_fillet: {{{roots}}}   # as large as fits\n" if roots and cast else ""
    joints = [*([roots] if roots else []), *(["prep: double_bevel"] if made.bevelled else [])]
    fits = (
        "   # legs as large as fit"
        if made.roots
        else "   # long for a blow from the side"
        if roots
        else "   # too far from square for a plain fillet"
    )
    welds = f"welds: {{{', '.join(joints)}}}{fits}\n" if joints and not cast else ""
    return fillets, welds


def write(values: Mapping[str, str | float], made: Made, limits: Limits) -> str:
    """Return the YAML text of a new set made from the answers of `ask`, whether it passes its check or not."""
    cast, vee = values["construction"] == "cast", values["arms"] == "vee"
    rule = _Rule(values["units"] == "in")
    s = _sizes(values, made, rule, limits)
    offset = f"  offset: {{port: {rule.size(-s.inboard)}}}   # the arm lands inboard of the middle\n" if vee else ""
    outline = ", ".join(
        f"{name}: {rule.size(mm)}"
        for name, mm in (("length", s.length), ("width", s.width), ("corner_radius", 0.5 * s.rim))
    )
    half_vee = HALF_VEE_DEG[made.vee]
    angle = (
        f"  included_angle: {2 * half_vee:g} deg   # not a multiple of the angle between two blades\n" if vee else ""
    )
    stance = "square_to_bottom" if values["hand"] != "centre" and float(values["deadrise"]) else "vertical"
    fillets, welds = _roots(made, s, rule, cast=cast)
    such = SUCH_AS["in" if rule.inch else "mm"]
    return f"""# {values["name"]}: a parameter set for strutwright. A line `name: value` says one thing;
# what is left out is derived. `strutwright meaning arms.section` tells what a name means.
identity:
  name: "{values["name"]}"
  hand: {values["hand"]}
units: {values["units"]}              # bare numbers; a quantity may carry its own unit
construction: {values["construction"]}
materials:
  strut: {strut_metal(values)}
  hull: {HULLS[str(values["hull"])]}
{_anodes_line(values)}shaft:
  diameter: {rule.exact(float(values["shaft"]))}     # measured with a micrometer, not nominal
  # bearing_span: {such["span"]}     # to the next bearing forward, when it is known
# bearing: sizes left out come from the example table. Take the bearing in hand and give outside_diameter (nominal),
#   outside_measured (by micrometer: the bore is made to it), length, shell
{_bearing_lines(values, made, rule, limits)}arms:
  arrangement: {values["arms"]}
{angle}  stance: {stance}
  section: {{shape: {usual_kind(cast=cast)}, chord: {rule.size(s.chord)}, thickness: {rule.size(s.thick)}}}
{fillets}palm:
  thickness: {rule.size(s.palm)}
{offset}  outline: {{shape: rectangle, {outline}}}
bolts:
  size: {s.bolt.size}
{_kind_line(s.bolt)}  pattern: {_pattern(s, rule, vee)}
{_screw_lines(values, made, rule)}{welds}hull:
  shaft_angle: {{to_waterline: {float(values["angle"]):g} deg}}
  run: {float(values["run"]):g} deg       # rise of the bottom going aft: the palm lies at the angle plus the run
  deadrise: {float(values["deadrise"]):g} deg
  drop: {{square_to_shaft: {rule.exact(float(values["drop"]))}, at: mid}}
{_on_hull_lines(values, made, rule)}  # thickness: {such["hull"]}     # under the palm, when it is known
propeller: {{}}   # such as {such["propeller"]}
duty: {{}}   # such as {such["duty"]}
"""


SUCH_AS: Mapping[FileUnits, Mapping[str, str]] = {
    "mm": {
        "span": "1200 mm",
        "hull": "16 mm",
        "base": "140 mm",
        "propeller": "{diameter: 500 mm, blades: 3, mass: 14 kg, hub_length: 90 mm, hub_gap: 25 mm}",
        "duty": "{power: 40 kW, shaft_speed: 1300 rpm, boat_speed: 9 kn}",
    },
    "in": {
        "span": "48 in",
        "hull": "5/8 in",
        "base": "5 1/2 in",
        "propeller": "{diameter: 20 in, blades: 3, mass: 31 lb, hub_length: 3 1/2 in, hub_gap: 1 in}",
        "duty": "{power: 54 hp, shaft_speed: 1300 rpm, boat_speed: 9 kn}",
    },
}
"""How what the file leaves open is written, to show it in comments."""


def _clearance_left_mm(shaft_mm: float, limits: Limits) -> float:
    """Return the running clearance that leaves the least allowed when a shell of the example table is pressed into a
    bore H7 at the tightest, 0 where the usual one does."""
    example = tables.bearing_example(shaft_mm, tolerance_mm=math.inf)
    assert example is not None
    scale = shaft_mm / example.shaft_mm
    outside, shell = example.outside_mm * scale, example.shell_mm * scale
    try:
        pressed = rules.closure_mm(rules.usual_interference_mm(outside), shaft_mm, outside - 2.0 * shell)
    except tables.NotInTable:
        return 0.0  # nothing is assumed of so large a shell: its limits have to be given
    least = math.ceil((rules.least_clearance_mm(shaft_mm, limits) + pressed[1]) * 100) / 100
    return least if least > rules.running_clearance_mm(shaft_mm, pressed, limits) else 0.0


def _foot(values: Mapping[str, str | float], half_vee: float) -> tuple[float, float]:
    """Return how far an arm stands from square to its palm and how far its foot is turned on it, radians."""
    run, deadrise = float(values["run"]), float(values["deadrise"])
    pitch = float(values["angle"]) + run
    vee, off = values["arms"] == "vee", values["hand"] != "centre"
    tilt = frames.athwart_tilt_deg(deadrise, run, pitch, 1 if vee or off else 0)
    axes = frames.plane_axes(0.0, pitch, tilt)
    found = []
    for lean_out in (half_vee, -half_vee) if vee and off else (half_vee,) if vee else (0.0,):
        arm = frames.arm_direction(lean_out - (tilt if off else 0.0), 0.0)
        chord = np.array([1.0, 0.0, 0.0]) - axes.n[0] / float(arm @ axes.n) * arm
        found.append(
            (
                math.atan2(abs(float(arm @ axes.v)), float(arm @ axes.n)),
                abs(math.atan2(float(chord @ axes.v), float(chord @ axes.u))),
            )
        )
    return max(f[0] for f in found), max(f[1] for f in found)


@dataclass(frozen=True, slots=True)
class StockBolt:
    """A size of bolt and the kind of its head."""

    size: str
    kind: str

    @property
    def major_mm(self) -> float:
        """Diameter of its thread."""
        return tables.thread(self.size).major_mm


def first_tried(values: Mapping[str, str | float]) -> tuple[Made, ...]:
    """Return what is tried to begin with: the usual, on plywood a wide palm, then for arms that lean much on their
    palms slimmer ones."""
    vee = values["arms"] == "vee"
    usual = next((n for n in range(USUAL_VEE, 0, -1) if lean_deg(values, n) <= STEEP_DEG), 0) if vee else USUAL_VEE
    wide = (Made(vee=usual, spare=len(SPARE) - 1, thicker=THICK, beyond=len(BEYOND) - 1),)
    slim = tuple(Made(vee=0, slim=n, thicker=THICK) for n in range(1, len(SLIMMER)))
    return Made(vee=usual), *(wide if values["hull"] == "plywood" else ()), *(slim if vee else ())


def lean_deg(values: Mapping[str, str | float], vee: int) -> float:
    """Return how far off square to its palm an arm leans at most."""
    return math.degrees(_foot(values, HALF_VEE_DEG[vee])[0])


def bolt_of(values: Mapping[str, str | float], made: Made, limits: Limits) -> StockBolt:
    """Return the bolt: flush as far as flush heads go for the shaft, in a counterbore where they are too thin for it;
    metric where no inch size is thick enough."""
    d, least = float(values["shaft"]), limits["bolt_size_least"].value
    inch = values["units"] == "in"
    stock = [StockBolt(size, kinds_of(size)[0]) for size in (INCH if inch else METRIC)]
    if stock[-1].major_mm < least * d:
        stock = [StockBolt(size, kinds_of(size)[0]) for size in METRIC]
    flush = [n for n, bolt in enumerate(stock) if bolt.kind == USUAL]
    usual = next((n for n in flush if stock[n].major_mm >= max(0.32, least) * d - 1e-6), flush[-1])
    if stock[usual].major_mm < least * d - 1e-6:
        usual = next((n for n, bolt in enumerate(stock) if bolt.major_mm >= least * d - 1e-6), len(stock) - 1)
    return stock[min(usual + made.larger, len(stock) - 1)]


def _kind_line(bolt: StockBolt) -> str:
    return "" if bolt.kind == USUAL else f"  kind: {bolt.kind}   # flush heads end at smaller bolts\n"


# --- metals ---------------------------------------------------------------------------------------------------------


def strut_metal(values: Mapping[str, str | float]) -> str:
    """Return what the strut is made of: the hull's own kind of metal on steel and aluminium, where it is made so."""
    made = str(values["construction"])
    return ALIKE.get(_hull_family(values), USUAL_METAL).get(made, USUAL_METAL[made])


def _hull_family(values: Mapping[str, str | float]) -> str:
    return tables.material(HULLS[str(values["hull"])]).family


def _on_metal(values: Mapping[str, str | float]) -> bool:
    return _hull_family(values) in ALIKE


def _on_hull_lines(values: Mapping[str, str | float], made: Made, rule: _Rule) -> str:
    """How large the plate inside is where the palm's own size does not do, and what keeps a strut of bronze off a hull
    of aluminium, which would waste."""
    size = rule.size(BEYOND[made.beyond] * float(values["shaft"]))
    lines = f"  backing: {{beyond_palm: {size}}}   # the plate inside, all round\n" if made.beyond else ""
    if _on_metal(values) and tables.material(strut_metal(values)).family != _hull_family(values):
        lines += "  isolated: true     # gasket, sleeves, washers; a strut welded of the hull's metal is safer\n"
    return lines


def _anodes_line(values: Mapping[str, str | float]) -> str:
    return (
        "  anodes: true       # zinc or aluminium on the strut: a hull of metal wants them\n"
        if _on_metal(values)
        else ""
    )
