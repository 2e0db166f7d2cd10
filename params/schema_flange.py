"""What may be said in the file of a flanged housing: a barrel with a flange on deadwood, sternpost, transom or tube."""

from typing import Annotated, Literal

from pydantic import BeforeValidator, Field

from strutwright.params.fields import (
    AS_MEANT,
    BY_KIND,
    NOT_KNOWN,
    BoltSize,
    Clock,
    Group,
    Length,
    Ratio,
    Text,
    doc,
    must,
    offset_to,
    tilt,
    up_to,
)
from strutwright.params.schema import (
    Barrel,
    Bearing,
    BoltHead,
    CastingPattern,
    Drawing,
    FromEnd,
    Identity,
    MeasuredValue,
    SetScrews,
)
from strutwright.params.schema_boat import Duty, Loads, Propeller, Protection, Shaft


class HousingMaterials(Group):
    """What things are made of: names from the table of materials (`strutwright tables materials`)."""

    housing: Text = must("Material of barrel, flange, spigot and ribs")
    bolts: Text | None = doc("Material of the fasteners; derived from the housing's family when left out")
    shaft: Text | None = doc("Material of the shaft; derived when left out")
    base: Text = doc("Material of what the flange is bolted to", "timber")
    anodes: bool = doc("Whether housing and shaft are bonded to anodes that protect them", False)


class FlangePoint(Group):
    """A point in the flange's face, from the shaft line."""

    up: offset_to(2000) = must("Up the face")
    port: offset_to(2000) = must("Across the face, positive to port")

    @property
    def uv(self) -> tuple[float, float]:
        """Both."""
        return self.up, self.port


class FlangeOffset(Group):
    """Where the middle of the outline lies from the shaft line."""

    up: offset_to(1000) = doc("Positive up", 0.0)
    port: offset_to(1000) = doc("Positive to port", 0.0)


class FlangeOutline(Group, left_out=BY_KIND):
    """Outline of a flange seen square to it; its length stands upright."""

    shape: Literal["round", "rectangle", "round_ended", "oval", "tapered", "polygon"] = must("Shape of the outline")
    diameter: up_to(2000) | None = doc("Diameter (round)")
    length: up_to(2000) | None = doc("Length, upright")
    width: up_to(2000) | None = doc("Width across")
    width_top: up_to(2000) | None = doc("Width at the upper edge (tapered)")
    width_bottom: up_to(2000) | None = doc("Width at the lower edge (tapered)")
    corner_radius: Annotated[Length, Field(ge=0, le=500)] = doc("Radius of the corners", 0.0)
    points: list[FlangePoint] | None = Field(
        default=None, min_length=3, max_length=40, description="Corners in order (polygon)"
    )


class Lean(Group):
    """How far the bedding face is off square to the shaft."""

    profile: tilt(-60, 60) = doc("In profile, positive with the upper edge aft", 0.0)
    plan: tilt(-45, 45) = doc("In plan, positive with the port edge aft", 0.0)


class Recess(Group):
    """A round recess in the bedding face, for gasket or bedding, about the shaft line."""

    diameter: up_to(1500) = must("Diameter")
    depth: up_to(50) = must("Depth")


class FlangeGasket(Group):
    """What seals the bedding face."""

    thickness: Annotated[Length, Field(ge=0, le=25)] = doc("Thickness of gasket or bedding as fitted", 1.5)
    recess: Recess | None = doc("Recess for it", left_out="the face is plain")


class FlangeRibs(Group):
    """Ribs between barrel and flange, equally spaced round the barrel."""

    count: Annotated[int, Field(ge=1, le=12)] = must("How many")
    thickness: up_to(100) = must("Thickness")
    along: up_to(1500) = must("How far each reaches along the barrel, from the flange's free face")
    out: up_to(1000) = must("How far each reaches out along the flange, from the barrel's outside")
    first_clock: Clock = doc("Clock angle of the first rib: 0 up, positive toward port", 0.0)


class FlangePlate(Group):
    """The flange."""

    position: FromEnd | None = doc(
        "Where the bedding face meets the shaft line", left_out="the forward face of the barrel"
    )
    looks: Literal["forward", "aft"] = doc("Which way the bedding face looks, toward what it is bolted to", "forward")
    thickness: up_to(150) = must("Thickness")
    outline: FlangeOutline = must("Outline of the flange")
    offset: FlangeOffset = doc("Middle of the outline from the shaft line", FlangeOffset())
    off_square: Lean = doc("How far the bedding face is off square to the shaft", Lean())
    root_fillet: Annotated[Length, Field(ge=0, le=100)] | None = doc(
        "Fillet of a cast housing between barrel and flange"
    )
    weld_leg: up_to(40) | None = doc("Leg of the weld of a welded housing between barrel and flange")
    gasket: FlangeGasket = doc("What seals the bedding face", FlangeGasket())
    ribs: FlangeRibs | None = doc("Ribs between barrel and flange", left_out="no ribs")


class FlangePattern(Group, left_out=BY_KIND):
    """Where the fasteners go."""

    kind: Literal["circle", "grid", "frame", "edge", "points"] = must(
        "circle: equally spaced about the shaft line; grid: rows and columns about the middle of the outline; frame: "
        "only the outer ones of these; edge: along the edge at a distance; points: listed"
    )
    count: Annotated[int, Field(ge=2, le=60)] | None = doc("How many holes (circle, edge)")
    diameter: up_to(2000) | None = doc("Diameter of the circle on which the holes lie (circle)")
    first: Clock | None = doc(
        "Clock angle of the first hole: 0 up, positive toward port (circle)", left_out="half a pitch from straight up"
    )
    along: Annotated[int, Field(ge=1, le=20)] | None = doc("Holes up the flange (grid, frame)")
    across: Annotated[int, Field(ge=1, le=10)] | None = doc("Holes across the flange (grid, frame)")
    pitch_along: up_to(1000) | None = doc("Pitch up the flange (grid, frame)")
    pitch_across: up_to(1000) | None = doc("Pitch across the flange (grid, frame)")
    edge_distance: up_to(500) | None = doc("Hole centre to edge (edge)")
    points: list[FlangePoint] | None = Field(
        default=None, min_length=2, max_length=60, description="Hole centres (points)"
    )


class Fasteners(Group):
    """Through bolts, studs or lag screws, and the holes for them."""

    fastener: Literal["through_bolt", "stud", "lag_screw"] = doc(
        "through_bolt: nut and washer inside; stud: screwed into metal or bonded into timber; lag_screw: into timber",
        "through_bolt",
    )
    size: BoltSize = must("Size, such as M12 or 1/2")
    head_standard: Literal["ISO 10642", "ISO 2009", "ASME B18.3", "ASME B18.6.3"] | None = doc(
        "Standard of a countersunk head; derived from the size when left out. Metric 90, inch 82 degrees: never mix"
    )
    head: BoltHead | None = doc("The head by its own sizes, for a size that the standards do not have")
    hole_fit: Literal["fine", "medium", "coarse", "close", "normal", "loose"] = doc(
        "Series of clearance hole, ISO 273 or ASME B18.2.8", "medium"
    )
    sunk_below: Annotated[Length, Field(ge=0, le=10)] = doc("How far a sunk head lies below flush, to be filled", 0.5)
    engaged: up_to(1000) | None = doc(
        "Length of thread in what the part is bolted to, of a stud or a lag screw, without the point",
        left_out="eight diameters in timber, one and a half in metal; common practice",
    )
    edge_rule: Literal["practice", "aisc", "ec3", "light_craft", "aerospace"] = doc(
        "Edges and pitches: practice 1.5 d and 3 d, AISC 360, EN 1993-1-8, engine seats of light craft 1.7 d and 3 d, "
        "aerospace 2 d and 4 d",
        "practice",
    )


class FlangeBolts(Fasteners):
    """The fasteners of the flange and the holes for them."""

    kind: Literal["countersunk", "counterbored", "plain"] = doc("How the head sits in the free face", "plain")
    pattern: FlangePattern = must("Where the fasteners go")


class Base(Group, left_out=NOT_KNOWN):
    """What the flange is bolted to: deadwood, sternpost, transom, or the end of a tube."""

    bore: up_to(1500) = must("Diameter of the hole in it, for the spigot, or for shaft and water")
    thickness: up_to(3000) | None = doc("Thickness in the way of the fasteners, or depth of timber")
    density: Annotated[Ratio, Field(ge=200, le=1300)] | None = doc(
        "Density of the timber in kg/m3, oven dry: oak 660, iroko 600, larch 520, Douglas fir 480"
    )
    water_inside: bool = doc(
        "Whether water is fed to the tube or deadwood inside, so that it reaches the bearing", False
    )
    isolated: bool = doc(
        "Whether gasket, sleeves and washers insulate housing and fasteners from a base of metal", False
    )
    grain: Literal["across", "along"] = doc(
        "How screws run to the grain of timber: across it, in side grain, or along it, in end grain", "across"
    )


class Barbs(Group):
    """Rings on a spigot that keep a hose on."""

    count: Annotated[int, Field(ge=1, le=8)] = must("How many")
    height: Annotated[Length, Field(gt=0, le=10)] = must("How far each stands over the spigot's outside")


class Clamps(Group):
    """Hose clamps on a spigot."""

    count: Annotated[int, Field(ge=1, le=4)] = doc("How many", 2)
    width: up_to(50) = doc("Width of the band", 12.7)


class Spigot(Group, left_out=BY_KIND):
    """A tube along the shaft line beyond the bedding face."""

    use: Literal["base_bore", "hose"] = must("base_bore: goes into the bore of the base; hose: a hose is put on it")
    outside_diameter: up_to(1500) | None = doc(
        "Outside diameter", left_out="the bore of the base less a small clearance, or the hose's own inside diameter"
    )
    bore: up_to(1400) | None = doc("Bore", left_out="the barrel's bore")
    length: up_to(1500) = must("Length from where the bedding face meets the shaft line")
    barbs: Barbs | None = doc("Barbs", left_out="plain")
    hose_inside: up_to(1500) | None = doc("Inside diameter of the hose (hose)")
    clamps: Clamps = doc("Hose clamps (hose)", Clamps())


class HousingAllowances(Group, left_out="by allowance_grade"):
    """Machining stock of a casting, per side."""

    bore: Annotated[Length, Field(ge=0, le=30)] | None = doc("On the radius of the bore")
    barrel_ends: Annotated[Length, Field(ge=0, le=30)] | None = doc(
        "On each free face of the barrel, and on the spigot's end and outside"
    )
    bedding_face: Annotated[Length, Field(ge=0, le=30)] | None = doc("On the flange's bedding face")

    @property
    def on_face(self) -> float | None:
        """On the face that is bolted down."""
        return self.bedding_face


class HousingPattern(CastingPattern, left_out=AS_MEANT):
    """The pattern of a cast housing."""

    parting: Literal["upright", "level"] = doc(  # type: ignore[assignment]
        "Plane of the parting through the shaft line: upright, halves to port and starboard; level, upper and lower",
        "upright",
    )
    stock: HousingAllowances = doc("Machining stock", HousingAllowances())  # type: ignore[assignment]

    @property
    def way(self) -> Literal["arm_plane", "barrel_plane"]:
        """The plane of the parting."""
        return "arm_plane" if self.parting == "upright" else "barrel_plane"


class FlangedSet(Group):
    """One flanged housing, as said in one file."""

    part: Literal["flanged_housing"] = must("Kind of part")
    identity: Identity = must("Who the part is")
    units: Literal["mm", "in"] = doc("Units of bare numbers: mm (kW, kg) or in (hp, lb)", "mm")
    construction: Literal["cast", "welded"] = must("Cast in one piece, or welded from tube and plate")
    materials: HousingMaterials = must("What things are made of")
    shaft: Shaft = must("The propeller shaft")
    bearing: Annotated[
        list[Bearing], BeforeValidator(lambda v: [v] if isinstance(v, dict) else v), Field(min_length=1, max_length=2)
    ] = Field(default_factory=lambda: [Bearing()], description="The bearing, or a list of two, aft one first")
    barrel: Barrel = doc("The tube round the bearing", Barrel())
    flange: FlangePlate = must("The flange")
    bolts: FlangeBolts = must("The fasteners of the flange")
    base: Base = must("What the flange is bolted to")
    spigot: Spigot | None = doc("A tube beyond the bedding face", left_out="none")
    set_screws: SetScrews = doc("The set screws", SetScrews())
    propeller: Propeller = doc("The propeller", Propeller())
    duty: Duty = doc("Power and speeds", Duty())
    protection: Protection = doc("Anodes against corrosion", Protection())
    loads: Loads = doc("Load cases of your own", Loads())
    pattern: HousingPattern = doc("The pattern of a cast housing", HousingPattern())
    drawing: Drawing = doc("How the sheets are drawn", Drawing())
    measured: list[MeasuredValue] = Field(
        default_factory=list, max_length=60, description="Which values were measured, and how sure they are"
    )
