"""The frozen, resolved strut: every size the builders, checks and exporters read, in one set of frames.

Frames and words (one definition each, the same on the sheets and in the README):

* Strut frame: origin on the shaft line at mid-length of the barrel; x forward along the shaft, y to port, z square
  to the shaft in the vertical plane through it, toward the hull. Right-handed.
* Clock angle: round the shaft line, 0 toward the hull (+z), positive toward port (+y), for both hands. Seen from
  astern looking forward that is counter-clockwise.
* Station: distance along the shaft line from the aft face of the barrel, positive forward.
* Palm axes: u forward, v to port, in the hull face. u is the trace of the vertical plane through the shaft, or the
  shaft's projection by choice. The palm's zero is where the arm axis (for a common palm: the bisector) meets the hull
  face.
* Hull face: the palm's face on the hull. Water face: the other one, on which the arm stands and the heads lie.

Lengths are mm, angles degrees (`_deg`). Mirroring a strut negates y, v, clock, cant and athwart tilt.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Literal

from strutwright.models.arrays import Num
from strutwright.models.barrel_ends import ENDS, EndKind
from strutwright.models.bolt_heads import HEADS, HeadKind
from strutwright.models.bore_steps import STEPS, StepKind
from strutwright.models.hull_curve import HullCurve
from strutwright.models.outline import Outline
from strutwright.models.screw_points import POINTS, PointKind
from strutwright.models.spec_boat import Duty, HullFit, Propeller, Protection, Shaft

if TYPE_CHECKING:
    from strutwright.models.spec_flange import Flange
    from strutwright.models.spec_hanger import Hanger
    from strutwright.models.spec_let_in import LetIn
    from strutwright.models.spec_shoe import Shoe

Hand = Literal["port", "starboard", "centre"]
OTHER_HAND: dict[Hand, Hand] = {"port": "starboard", "starboard": "port", "centre": "centre"}
HAND_MARKS: dict[Hand, str] = {"port": "-P", "starboard": "-S", "centre": ""}
"""What the drawing number ends in, so that two parts which do not interchange never have one number. ISO 7200 leaves
the form of the number to the owner; common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Identity:
    """Who the part is: free text for the title block, and the hand. drawing_number: as said, without the hand."""

    name: str
    drawing_number: str
    revision: str
    hand: Hand
    pair: bool = False

    @property
    def number(self) -> str:
        """The drawing number with the hand, which is that of this part alone."""
        return self.drawing_number + HAND_MARKS[self.hand]

    @property
    def stands(self) -> str:
        """Its hand as it stands beside a picture."""
        return "on the centre line" if self.hand == "centre" else f"{self.hand} hand"

    def side(self, side: Literal["port", "starboard"]) -> str:
        """Return a side of the strut in words, toward or from the centre line too where the strut has a hand."""
        if self.hand == "centre":
            return side
        return f"{side}, {'outboard' if side == self.hand else 'inboard'}"


@dataclass(frozen=True, slots=True, kw_only=True)
class PalmPlane:
    """Hull face of a palm: z = drop - x tan(pitch) + y tan(tilt) in the strut frame.

    drop_mm: square to the shaft at mid-barrel. pitch_deg: theta, shaft to hull in the vertical plane through the
    shaft, positive when the hull rises aft from the shaft. tilt_deg: phi, athwart tilt seen along the shaft,
    positive when the face rises to port.
    """

    drop_mm: float
    pitch_deg: float
    tilt_deg: float

    def mirrored(self) -> PalmPlane:
        """Return the plane of the other hand."""
        return replace(self, tilt_deg=-self.tilt_deg)


@dataclass(frozen=True, slots=True, kw_only=True)
class BarrelEnd:
    """A barrel end by the name of its kind. length_mm: along the axis; end_diameter_mm: outside, at the face."""

    shape: str
    length_mm: float
    end_diameter_mm: float

    @property
    def kind(self) -> EndKind:
        """Its kind."""
        return ENDS[self.shape]


@dataclass(frozen=True, slots=True, kw_only=True)
class Land:
    """A length of the barrel with an outside of its own: diameters at its aft and forward ends, straight between."""

    from_station_mm: float
    to_station_mm: float
    aft_mm: float
    forward_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class LeadIn:
    """Chamfer at the mouth of the bore. length_mm: along the axis; angle_deg: to the axis."""

    length_mm: float
    angle_deg: float


@dataclass(frozen=True, slots=True, kw_only=True)
class BoreStep:
    """A length of the bore with another diameter: station range and diameter; kind says what it is for."""

    kind: Literal["counterbore", "shoulder", "relief"]
    from_station_mm: float
    to_station_mm: float
    diameter_mm: float
    limits_mm: tuple[float, float] | None = None
    """Lower and upper limit above diameter_mm of a seat made to a measured bearing; None for those of the bore."""

    @property
    def use(self) -> StepKind:
        """What its kind is for."""
        return STEPS[self.kind]


@dataclass(frozen=True, slots=True, kw_only=True)
class WaterSlots:
    """Slots through the wall that let water to the flutes; equally spaced round the barrel from first_clock_deg."""

    count: int
    width_mm: float
    length_mm: float
    centre_station_mm: float
    first_clock_deg: float


@dataclass(frozen=True, slots=True, kw_only=True)
class SetScrew:
    """One tapped hole through the barrel wall, square to the axis."""

    number: int
    station_mm: float
    clock_deg: float
    thread: str
    major_mm: float
    pitch_mm: float
    tap_drill_mm: float
    point: Literal["flat", "cone", "dog", "cup"]
    flat_diameter_mm: float | None
    dimple_depth_mm: float
    bearing_index: int

    @property
    def tip(self) -> PointKind:
        """The kind of its point."""
        return POINTS[self.point]


@dataclass(frozen=True, slots=True, kw_only=True)
class Tube:
    """Tube the barrel is made of. outside_mm, wall_mm: nominal; outside_off_mm: how far the outside may be off, each
    way; wall_least_mm: least wall anywhere, eccentricity included; turned: whether its outside is turned."""

    outside_mm: float
    wall_mm: float
    outside_off_mm: float
    wall_least_mm: float
    turned: bool

    @property
    def inside_most_mm(self) -> float:
        """Diameter about the outside's axis beyond which there is metal everywhere, at the worst of both tolerances."""
        return self.outside_mm + self.outside_off_mm - 2 * self.wall_least_mm

    @property
    def outside_least_mm(self) -> float:
        """Diameter about the outside's axis within which there is metal everywhere."""
        return self.outside_mm - self.outside_off_mm


@dataclass(frozen=True, slots=True, kw_only=True)
class Barrel:
    """The tube round the bearing."""

    length_mm: float
    outside_mm: float
    bore_mm: float
    bore_upper_mm: float
    """Upper limit of the bore above bore_mm."""
    bore_lower_mm: float
    """Lower limit of the bore above bore_mm."""
    fit: Literal["press", "slide"]
    bore_class: str
    """Tolerance class of the bore; empty where it is made to the bearing as measured."""
    shell_class: str
    """The same of the bearing's shell, or what stands for it."""
    aft_end: BarrelEnd
    forward_end: BarrelEnd
    lead_in_aft: LeadIn
    lead_in_forward: LeadIn
    steps: tuple[BoreStep, ...] = ()
    slots: WaterSlots | None = None
    tube: Tube | None = None
    lands: tuple[Land, ...] = ()
    """Where its outside is not outside_mm, apart from faired ends; from aft forward, at an end or side by side."""

    @property
    def wall_mm(self) -> float:
        """Wall of the parallel part, mm."""
        return (self.outside_mm - self.bore_mm) / 2

    def x(self, station_mm: float) -> float:
        """Strut-frame x (mm) of a station (mm from the aft face)."""
        return station_mm - self.length_mm / 2


@dataclass(frozen=True, slots=True, kw_only=True)
class Bearing:
    """A fluted rubber bearing: shell outside, rubber inside, flutes along. outside_mm is its nominal size."""

    outside_mm: float
    outside_upper_mm: float
    outside_lower_mm: float
    length_mm: float
    aft_station_mm: float
    inside_mm: float
    shell_mm: float
    shell_material: str
    flute_count: int
    flute_width_mm: float
    flute_depth_mm: float
    flute_clock_deg: float
    measured_mm: float | None = None
    """Outside diameter as measured; both limits then say it. None where only the nominal size is known."""
    stiffness_n_mm: float | None = None
    """Of its rubber across the shaft, as said; None where it has to be estimated."""

    @property
    def forward_station_mm(self) -> float:
        """Station of the forward end, mm."""
        return self.aft_station_mm + self.length_mm

    @property
    def plain(self) -> bool:
        """Whether it is a bush of one material throughout, without rubber and flutes."""
        return self.flute_count == 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Arm:
    """One arm. The axis leaves the shaft line at station_mm; sections lie in planes that hold the chord direction.

    clock_deg: direction of the axis seen along the shaft. rake_deg: lean of the axis in profile, positive when the
    palm end lies aft. aligned_with: the chord runs along the shaft, or along the flow (the trace of the hull); toe_deg
    turns it about the arm axis, positive leading edge to port. Sizes "at barrel" hold where the axis leaves the
    barrel's outside, "at palm" where it meets the hull face; linear between.
    """

    name: str
    clock_deg: float
    rake_deg: float
    station_mm: float
    toe_deg: float
    aligned_with: Literal["shaft", "flow"]
    shape: str
    chord_barrel_mm: float
    thickness_barrel_mm: float
    chord_palm_mm: float
    thickness_palm_mm: float
    edge_radius_mm: float
    """Radius of the edges, as `sections.SectionKind.edge_at` takes it along the arm; 0 for a kind without edges."""
    barrel_root_mm: float
    """Fillet radius (cast) or weld leg (welded) at the barrel."""
    palm_root_mm: float
    """Fillet radius (cast) or weld leg (welded) at the palm."""
    palm_index: int

    @property
    def called(self) -> str:
        """Its name in plain words."""
        return self.name if "arm" in self.name or self.name == "web" else f"{self.name} arm"


@dataclass(frozen=True, slots=True, kw_only=True)
class Bolt:
    """The bolt of a palm and the hole made for it; head_diameter_mm is the diameter cut at the water face."""

    size: str
    major_mm: float
    hole_mm: float
    kind: str
    """Name of its kind of head."""
    head_standard: str
    head_diameter_mm: float
    head_angle_deg: float
    head_depth_mm: float
    """Depth of the head's recess below the water face; 0 without one."""
    driver_diameter_mm: float
    material: str

    @property
    def head(self) -> HeadKind:
        """Its kind of head."""
        return HEADS[self.kind]

    @property
    def sunk_mm(self) -> Num:
        """How far (mm) below the water face the head bears: the depth of a counterbore."""
        return self.head.bears_mm(self.head_depth_mm)

    @property
    def rim_mm(self) -> float:
        """The diameter (mm) a bolt takes up on the water face: its recess, or washer and tool where it has none."""
        return self.head_diameter_mm if self.head.recess else self.driver_diameter_mm

    @property
    def recess(self) -> list[tuple[Num, Num]]:
        """The wall of its recess as `HeadKind.wall`; empty where there is none, or it is no wider than the hole."""
        wide, hole = self.head_diameter_mm, self.hole_mm
        return self.head.wall(hole, wide, self.head_angle_deg, self.head_depth_mm) if wide > hole else []


@dataclass(frozen=True, slots=True, kw_only=True)
class PalmHole:
    """One bolt hole, square to the palm; u forward, v port, in the palm axes, mm from the palm zero."""

    number: int
    u_mm: float
    v_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Plate:
    """A plate that is bolted down: a palm, or the flange of a housing. outline and holes are in its own axes (u, v),
    its normal toward what it is bolted to, the base.

    bevel: the edge of the face away from the base is thinned by bevel_height over bevel_width. curve: what the face on
    the base is made to, None for a plane; thickness_mm then holds at the middle of the outline's box.
    """

    name: str
    thickness_mm: float
    outline: Outline
    bevel_width_mm: float
    bevel_height_mm: float
    bolt: Bolt
    holes: tuple[PalmHole, ...]
    curve: HullCurve | None = None

    @property
    def called(self) -> str:
        """Its name in plain words."""
        return self.name

    @property
    def middle_mm(self) -> tuple[float, float]:
        """The middle of the outline's box, u and v."""
        box = self.outline.bounding_box()
        return (box.xmin + box.xmax) / 2, (box.ymin + box.ymax) / 2

    @property
    def stands_out_mm(self) -> float:
        """How far the hull face stands out over its plane at most, anywhere in the outline's box; 0 or more."""
        return self._face_range_mm()[1]

    @property
    def falls_away_mm(self) -> float:
        """How far it falls away under its plane at most, anywhere in that box; 0 or more."""
        return 0.0 - self._face_range_mm()[0]

    def _face_range_mm(self) -> tuple[float, float]:
        if self.curve is None:
            return 0.0, 0.0
        box = self.outline.bounding_box()
        low, high = self.curve.range_mm((box.xmax - box.xmin) / 2, (box.ymax - box.ymin) / 2)
        return float(low), float(high)

    def height_mm(self, u_mm: Num, v_mm: Num) -> Num:
        """Height of the hull face over its plane at places of the palm, toward the hull positive; broadcasts."""
        middle = self.middle_mm
        return 0.0 * u_mm if self.curve is None else self.curve.height_mm(u_mm - middle[0], v_mm - middle[1])


@dataclass(frozen=True, slots=True, kw_only=True)
class Palm(Plate):
    """One palm plate, with the palm zero as origin of its axes.

    zero_mm: the palm zero in the strut frame. axes_deg: turn of the u axis from the trace, about the palm normal,
    positive toward port (0 = trace).
    """

    plane: PalmPlane
    zero_mm: tuple[float, float, float]
    axes: Literal["trace", "projection"]
    axes_deg: float

    @property
    def called(self) -> str:
        """Its name in plain words."""
        return self.name if "palm" in self.name or self.name == "foot" else f"{self.name} palm"


@dataclass(frozen=True, slots=True, kw_only=True)
class Heel:
    """Boss at the heel of the skeg with the rudder's lower bearing.

    centre_mm: mid-height of the boss on the stock axis, strut frame. stock_rake_deg: lean of the stock axis in
    profile from the strut's z axis, positive when its upper end lies aft; stock_cant_deg: lean athwart, positive
    upper end to port. bore_mm: the bore the pintle runs in; the boss is bored wider by the bush's two walls.
    sleeve_wall_mm: of a liner sleeve on the pintle, which runs in its place; 0 for none.
    """

    centre_mm: tuple[float, float, float]
    stock_rake_deg: float
    stock_cant_deg: float
    pintle_mm: float
    bore_mm: float
    bush_wall_mm: float
    outside_mm: float
    height_mm: float
    foot_height_mm: float
    foot_thickness_mm: float
    stock_mm: float
    """Diameter of the rudder stock."""
    tube_mm: float | None = None
    """Outside diameter of the tube round the stock at the hull; None where the file does not say."""
    tube_below_hull_mm: float = 0.0
    sleeve_wall_mm: float = 0.0

    @property
    def running_mm(self) -> float:
        """Diameter that runs in the bore: of the pintle, or over its sleeve."""
        return self.pintle_mm + 2 * self.sleeve_wall_mm


@dataclass(frozen=True, slots=True, kw_only=True)
class Skeg:
    """Fin under the barrel in the plane of the shaft line (clock 180).

    kind: name of its kind of section. Root stations from the barrel's aft face. depth_mm: from the shaft line to the
    fin's lower edge. sweep_mm: how far the lower end of the leading edge lies aft of its upper end.
    """

    kind: str
    root_aft_station_mm: float
    root_forward_station_mm: float
    depth_mm: float
    tip_chord_mm: float
    sweep_mm: float
    thickness_root_mm: float
    thickness_tip_mm: float
    leading_edge: Literal["round", "square"]
    root_mm: float
    """Fillet radius (cast) or weld leg (welded) at the barrel."""
    heel: Heel | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Weld:
    """How a welded strut is joined: edge preparation and whether beads are modelled.

    prep_angle_deg: of the bevel to the side of an arm that stands square. root_gap_mm: between a prepared arm and what
    it meets; the solids are drawn without it, the arm is cut shorter by it.
    """

    prep: Literal["none", "double_bevel"]
    prep_angle_deg: float
    root_face_mm: float
    beads: bool
    root_gap_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Casting:
    """How closely a cast strut is cast. Grades of ISO 8062; core_shift_mm: how far the core may lie off its place.

    stock_bore_mm: machining stock on the bore's radius as said, None where it follows from the grades.
    """

    tolerance_grade: str
    allowance_grade: str
    core_shift_mm: float = 2.0
    stock_bore_mm: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Strut:
    """A whole strut, resolved, of one hand; or another part of its kin round the same barrel: then it has no arms and
    palms, and what its own family has in their place (`models.families`)."""

    identity: Identity
    file_units: Literal["mm", "in"]
    construction: Literal["cast", "welded", "turned"]
    material: str
    hull: HullFit
    shaft: Shaft
    barrel: Barrel
    bearings: tuple[Bearing, ...]
    arms: tuple[Arm, ...]
    palms: tuple[Palm, ...]
    set_screws: tuple[SetScrew, ...]
    skeg: Skeg | None
    weld: Weld
    propeller: Propeller
    duty: Duty
    backing_plate: bool
    edge_rule: str
    """Which edge-distance practice the bolts are held to."""
    anodes: bool = False
    """Whether strut and shaft are bonded to anodes."""
    protection: Protection = field(default_factory=Protection)
    casting: Casting | None = None
    """None for a welded strut."""
    family: str = "strut"
    flange: Flange | None = None
    let_in: LetIn | None = None
    hanger: Hanger | None = None
    """What a hanger has beside its web, one of the arms, and its foot, one of the palms."""
    shoe: Shoe | None = None
    """What the flange of a rudder shoe holds and is held by; None of other parts."""

    @property
    def heated(self) -> bool:
        """Whether it is welded, to itself or into its structure: its metal is then as beside a weld."""
        return self.construction == "welded" or (self.let_in is not None and self.let_in.hold == "welded")

    @property
    def plates(self) -> tuple[Plate, ...]:
        """What is bolted down: its palms, or its flange."""
        return self.palms if self.flange is None else (self.flange,)


def mirrored(strut: Strut) -> Strut:
    """Return the strut of the other hand: the exact mirror image about the plane y = 0 (clock and v change sign).

    >>> mirrored(shipped("coastal-pair")).set_screws[0].clock_deg  # 90 to port
    -90.0
    """

    def flip(clock_deg: float) -> float:
        return -clock_deg + 0.0

    arms = [
        replace(a, clock_deg=flip(a.clock_deg), toe_deg=flip(a.toe_deg), name=_other_name(a.name)) for a in strut.arms
    ]
    palms = [
        replace(
            p,
            plane=p.plane.mirrored(),
            zero_mm=(p.zero_mm[0], flip(p.zero_mm[1]), p.zero_mm[2]),
            axes_deg=flip(p.axes_deg),
            outline=p.outline.mirror("x"),
            name=_other_name(p.name),
            holes=tuple(replace(h, v_mm=flip(h.v_mm)) for h in p.holes),
            curve=None if p.curve is None else p.curve.mirrored(),
        )
        for p in strut.palms
    ]
    barrel = strut.barrel
    if barrel.slots is not None:
        barrel = replace(barrel, slots=replace(barrel.slots, first_clock_deg=flip(barrel.slots.first_clock_deg)))
    if (skeg := strut.skeg) is not None and skeg.heel is not None:
        x, y, z = skeg.heel.centre_mm
        skeg = replace(
            skeg, heel=replace(skeg.heel, centre_mm=(x, flip(y), z), stock_cant_deg=flip(skeg.heel.stock_cant_deg))
        )
    hull = replace(strut.hull, trace_to_projection_deg=flip(strut.hull.trace_to_projection_deg))
    return replace(
        strut,
        identity=replace(strut.identity, hand=OTHER_HAND[strut.identity.hand]),
        hull=hull,
        barrel=barrel,
        arms=tuple(arms),
        palms=tuple(palms),
        skeg=skeg,
        bearings=tuple(replace(b, flute_clock_deg=flip(b.flute_clock_deg)) for b in strut.bearings),
        set_screws=tuple(replace(s, clock_deg=flip(s.clock_deg)) for s in strut.set_screws),
        **{name: part.mirrored() for name in ("flange", "let_in", "shoe", "hanger") if (part := getattr(strut, name))},
    )


def _other_name(name: str) -> str:
    if name.startswith("port "):
        return "starboard " + name[5:]
    if name.startswith("starboard "):
        return "port " + name[10:]
    return name
