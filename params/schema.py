"""What may be said in a parameter file. One model per group; descriptions serve `meaning`, the JSON Schema and errors.

Everything a rule or a table can supply is optional (None); `strutwright.models.resolve` fills it in and says how.
"""

from typing import Annotated, Literal

from pydantic import BeforeValidator, Field

from strutwright.params.fields import (
    AS_MEANT,
    BY_KIND,
    BoltSize,
    Clock,
    Date,
    Group,
    Length,
    Name,
    Percent,
    Person,
    Revision,
    ScrewThread,
    Spring,
    Stance,
    Text,
    doc,
    must,
    offset_to,
    tilt,
    up_to,
)
from strutwright.params.schema_boat import Duty, Hull, Loads, Propeller, Protection, Shaft

UNNUMBERED = "unnumbered"
"""The drawing number of a file that gives none."""


class Identity(Group):
    """Who the part is."""

    name: Name = must("What the strut is called; used for the title block and the names of the files")
    drawing_number: Name = doc(
        "Number of the drawing, without the hand: sheets and files add -P for port and -S for starboard", UNNUMBERED
    )
    revision: Revision = doc("Revision of the drawing", "A")
    hand: Literal["port", "starboard", "centre", "pair"] = must(
        "Side of the boat this file is written for; `pair` is written for port and starboard is its mirror image; "
        "`centre` stands on the keel, or has a palm on each side of it"
    )


class Materials(Group):
    """What things are made of: names from the table of materials (`strutwright tables materials`)."""

    strut: Text = must("Material of barrel, arms, palm and skeg")
    bolts: Text | None = doc("Material of the palm bolts; derived from the strut's family when left out")
    shaft: Text | None = doc("Material of the shaft; derived when left out")
    hull: Text = doc("Material of the hull where the palm sits", "FRP laminate")
    anodes: bool = doc("Whether strut and shaft are bonded to anodes that protect them", False)


class Flutes(Group):
    """Grooves along the rubber that carry the water."""

    count: Annotated[int, Field(ge=3, le=24)] | None = doc("How many flutes")
    width: up_to(60) | None = doc("Width of a flute at the shaft")
    depth: up_to(40) | None = doc("Depth of a flute below the running surface")
    clock: Clock | None = doc("Clock angle of the middle of one flute; derived so that a land lies under the load")


class FromEnd(Group):
    """A place along the barrel: a distance from a named end, inward."""

    end: Literal["barrel_aft", "barrel_forward"] = must("The end measured from")
    distance: offset_to(2000) = must("Distance from that end, positive forward from the aft, aft from the forward end")


class Bearing(Group):
    """A fluted rubber bearing. Sizes left out come from the example table: confirm them against the bearing in hand."""

    outside_diameter: up_to(500) | None = doc("Nominal outside diameter of the shell, as ordered")
    outside_measured: up_to(500) | None = doc(
        "Outside diameter of the shell as measured on the bearing in hand: the bore is then made to it",
        left_out="the bore is made to the nominal size",
    )
    outside_upper: offset_to(1) | None = doc("Upper limit of the outside diameter above the nominal size")
    outside_lower: offset_to(1) | None = doc("Lower limit of the outside diameter above the nominal size")
    length: up_to(2000) | None = doc("Length of the bearing")
    shell: up_to(40) | None = doc("Thickness of the shell; a set screw must never pass it")
    shell_material: Text | None = doc("Material of the shell")
    running_clearance: Annotated[Length, Field(ge=0, le=5)] | None = doc("Bore of the bearing less the shaft, new")
    flutes: Flutes = doc("The flutes", Flutes())
    stiffness: Annotated[Spring, Field(ge=1, le=1e7)] | None = doc(
        "Stiffness of the rubber across the shaft over the whole bearing, measured or by its maker",
        left_out="estimated by the rubber's thickness, lands and hardness; a range round that is taken",
    )
    position: FromEnd | None = doc("Where the near end of the bearing stands; derived flush with the aft face")


class End(Group):
    """Outside shape of one barrel end."""

    shape: Literal["straight", "tapered", "rounded"] = doc("How the end is faired", "straight")
    length: up_to(1000) | None = doc("Length of the fairing along the axis")
    end_diameter: up_to(800) | None = doc("Outside diameter at the face")


class Ends(Group):
    """Fairing of both ends of the barrel."""

    aft: End = doc("The aft end, next to the propeller", End())
    forward: End = doc("The forward end", End())


class LeadIn(Group):
    """Chamfer at a mouth of the bore."""

    length: Annotated[Length, Field(gt=0, le=40)] = must("Length along the axis")
    angle: tilt(5, 60) = must("Angle to the axis")


class LeadIns(Group):
    """Chamfers at both mouths of the bore."""

    aft: LeadIn | None = doc("At the aft mouth; derived when left out")
    forward: LeadIn | None = doc("At the forward mouth; derived when left out")


class Step(Group):
    """A length of the bore with another diameter."""

    kind: Literal["counterbore", "shoulder", "relief"] = must(
        "counterbore: wider from an end inward; shoulder: narrower from an end inward, the bearing stops there; "
        "relief: wider between two places, clear of the bearing's ends"
    )
    end: Literal["barrel_aft", "barrel_forward"] = doc("The end measured from", "barrel_forward")
    start: Annotated[Length, Field(ge=0, le=2000)] = doc("Distance from that end to where it starts (relief only)", 0.0)
    length: up_to(2000) = must("Length along the axis")
    diameter: up_to(800) = must("Diameter of the bore there")


class Slots(Group):
    """Slots through the wall that let water to the flutes."""

    count: Annotated[int, Field(ge=1, le=12)] = must("How many, equally spaced round the barrel")
    width: up_to(100) = must("Width round the barrel")
    length: up_to(300) = must("Length along the barrel, over the round ends")
    position: FromEnd = must("Place of the middle of the slots")
    first_clock: Clock = doc("Clock angle of the first slot", 45.0)


class Tube(Group):
    """Tube that the barrel of a welded strut is made of, as the stockholder names it."""

    outside_diameter: up_to(900) = must("Outside diameter of the tube, nominal")
    wall: up_to(200) = must("Wall of the tube, nominal")
    outside_tolerance: Annotated[Length, Field(ge=0, le=20)] | None = doc(
        "How far the outside may be off, each way; 1 % of it, at least 0.5 mm, when left out"
    )
    wall_tolerance: Annotated[Percent, Field(ge=0, le=25)] = doc("How far the wall may be under its nominal size", 12.5)
    outside: Literal["as_bought", "turned"] = doc(
        "as_bought: the tube's outside is the barrel's; turned: it is turned down to barrel.outside_diameter",
        "as_bought",
    )


class Bored(Group):
    """What is bored for a bearing: its outside, its bore and how tight that is."""

    length: up_to(2500) | None = doc("Length over the faces; derived from the part in it when left out")
    outside_diameter: up_to(900) | None = doc("Outside diameter; give this or `wall`")
    wall: up_to(200) | None = doc("Wall outside the bore; give this or `outside_diameter`")
    tube: Tube | None = doc("Tube it is made of, in which the bore is machined, of a welded part")
    bore: up_to(600) | None = doc("Nominal size of the bore; derived from the part in it when left out")
    fit: Literal["press", "slide"] = doc(
        "press: light press fit, screws back it up; slide: hand fit, screws hold it", "press"
    )
    bore_class: Text | None = doc(
        "Tolerance class of the bore by ISO 286, such as H7; not where the part in it is measured"
    )
    interference: Annotated[Length, Field(ge=0, le=1)] | None = doc(
        "Interference wanted of a press fit where the part in it is measured, the middle of its limits"
    )
    slide_clearance: Annotated[Length, Field(ge=0, le=2)] | None = doc("Bore less the part in it, for a slide fit")


class Barrel(Bored):
    """The tube round the bearing."""

    ends: Ends = doc("Fairing of the ends", Ends())
    lead_in: LeadIns = doc("Chamfers at the mouths of the bore", LeadIns())
    steps: list[Step] = Field(default_factory=list, max_length=6, description="Lengths of another bore diameter")
    slots: Slots | None = doc("Water entry slots")


class Section(Group):
    """Section of an arm, cut along its chord direction."""

    shape: Literal["flat", "ellipse", "two_arcs", "foil"] = must(
        "flat: plate with rounded edges; ellipse; two_arcs: two equal arcs; foil: NACA four-digit symmetrical"
    )
    chord: up_to(1500) = must("Chord where the arm leaves the barrel")
    thickness: up_to(400) = must("Thickness where the arm leaves the barrel")
    chord_at_palm: up_to(1500) | None = doc("Chord at the palm; the same as at the barrel when left out")
    thickness_at_palm: up_to(400) | None = doc("Thickness at the palm; the same as at the barrel when left out")
    edge_radius: up_to(200) | None = doc(
        "Radius of the edges: of a flat section half the thickness when left out, of two arcs and of a foil's trailing "
        "edge a tenth of the thickness, at most 2 mm"
    )


class Roots(Group):
    """Fillet radii of a cast strut where the arm meets its neighbours."""

    barrel: Annotated[Length, Field(ge=0, le=150)] | None = doc("Radius at the barrel")
    palm: Annotated[Length, Field(ge=0, le=150)] | None = doc("Radius at the palm")


class Arms(Group, left_out=BY_KIND):
    """The arm or arms between barrel and palm."""

    arrangement: Literal["single", "vee"] = must("One arm, or two that meet on the shaft line")
    included_angle: tilt(20, 150) | None = doc("Angle between the two arms seen along the shaft (vee only)")
    stance: Stance = doc(
        "How the arm (of a vee: the line half-way between the arms) stands seen along the shaft: "
        "vertical, square_to_bottom, or an angle positive with the upper end to port",
        "vertical",
    )
    rake: tilt(-45, 45) = doc("Lean in profile, positive with the palm end aft", 0.0)
    toe: tilt(-15, 15) = doc("Turn of the chord about the arm axis, positive leading edge to port", 0.0)
    chord_along: Literal["shaft", "flow"] = doc(
        "Whether the chord runs along the shaft or along the flow (the hull)", "shaft"
    )
    position: FromEnd | None = doc("Where the arm axis leaves the shaft line; mid-barrel when left out")
    section: Section = must("Section of the arm")
    root_fillet: Roots = doc("Fillets of a cast strut", Roots())


class Point(Group):
    """A point in the palm axes, from the palm zero."""

    forward: offset_to(3000) = must("Along the palm, positive forward")
    port: offset_to(3000) = must("Across the palm, positive to port")

    @property
    def uv(self) -> tuple[float, float]:
        """Both."""
        return self.forward, self.port


class Outline(Group, left_out=BY_KIND):
    """Outline of a palm seen square to it."""

    shape: Literal["rectangle", "round_ended", "oval", "tapered", "polygon"] = must("Shape of the outline")
    length: up_to(3000) | None = doc("Length along the palm")
    width: up_to(2000) | None = doc("Width across the palm")
    width_forward: up_to(2000) | None = doc("Width at the forward edge (tapered)")
    width_aft: up_to(2000) | None = doc("Width at the aft edge (tapered)")
    corner_radius: Annotated[Length, Field(ge=0, le=500)] = doc("Radius of the corners", 0.0)
    points: list[Point] | None = Field(
        default=None, min_length=3, max_length=40, description="Corners in order (polygon)"
    )


class PalmOffset(Group):
    """Where the middle of the outline lies from the palm zero."""

    forward: offset_to(1000) = doc("Positive forward", 0.0)
    port: offset_to(1000) = doc("Positive to port", 0.0)


class Bevel(Group):
    """Thinning of the water-face edge."""

    width: up_to(200) = must("Width of the bevel across the water face")
    height: up_to(100) = must("How much thinner the edge is")


class AlongAxis(Group):
    """How a hull face bends along its axis too. Heights over the flat face are then those of two parabolas together:
    the square of the way off the axis over twice the radius, and the square of the way along it over twice this one."""

    radius: Annotated[Length, Field(ge=50, le=1e6)] = must("Radius along the axis, in the middle of the palm")
    crown: Literal["toward_hull", "away_from_hull"] = must(
        "toward_hull: along the axis the face is rounded; away_from_hull: hollow"
    )


class HullFace(Group):
    """The hull's curve under a palm, to which its hull face is made: a cylinder, which touches the flat hull face along
    a line through the middle of the outline, or with `along` a face of second order, which touches it there. There the
    palm has its thickness."""

    radius: Annotated[Length, Field(ge=50, le=1e6)] = must(
        "Radius of the cylinder; with `along` the radius square to the axis, in the middle of the palm"
    )
    crown: Literal["toward_hull", "away_from_hull"] = must(
        "toward_hull: the face is rounded, for a hull that is hollow there, and the palm thinner at its edges; "
        "away_from_hull: the face is hollow, for a hull that is rounded there, and the palm thicker at its edges"
    )
    axis: tilt(-90, 90) = doc("Direction of the curve's axis in the palm: from its forward axis, toward port", 0.0)
    along: AlongAxis | None = doc(
        "How the face bends along the axis too, for a hull that bends both ways: a face of second order; a hull that "
        "twists has an axis that lies aslant",
        left_out="it is straight along the axis: a cylinder",
    )


class Palm(Group):
    """The plate on the hull."""

    arrangement: Literal["common", "each_arm"] | None = doc(
        "Of a vee: one palm for both arms or one each", left_out="one each"
    )
    thickness: up_to(150) = must("Thickness")
    outline: Outline = must("Outline in the palm axes")
    offset: PalmOffset = doc("Middle of the outline from where the arm axis meets the hull face", PalmOffset())
    axes: Literal["trace", "projection"] = doc(
        "Forward axis of the palm: the trace of the vertical plane through the shaft, or the shaft's projection",
        "trace",
    )
    bevel: Bevel | None = doc("Thinning of the water-face edge")
    hull_face: HullFace | None = doc(
        "The hull's curve that the hull face is made to; where there are two palms, that of the port one",
        left_out="the hull face is flat",
    )
    hull_face_starboard: HullFace | None = doc(
        "That of the starboard palm of two",
        left_out="as the port palm's: its mirror image where the palms lie on both sides of the keel",
    )


class Pattern(Group, left_out=BY_KIND):
    """Where the bolts go."""

    kind: Literal["grid", "frame", "edge", "points"] = must(
        "grid: rows and columns about the middle of the outline; frame: only the outer ones of these; edge: along the "
        "edge at a distance; points: listed"
    )
    along: Annotated[int, Field(ge=1, le=20)] | None = doc("Holes along the palm (grid, frame)")
    across: Annotated[int, Field(ge=1, le=10)] | None = doc("Holes across the palm (grid, frame)")
    pitch_along: up_to(1000) | None = doc("Pitch along the palm (grid, frame)")
    pitch_across: up_to(1000) | None = doc("Pitch across the palm (grid, frame)")
    count: Annotated[int, Field(ge=2, le=60)] | None = doc("How many holes (edge)")
    edge_distance: up_to(500) | None = doc("Hole centre to edge (edge)")
    points: list[Point] | None = Field(default=None, min_length=2, max_length=60, description="Hole centres (points)")


class BoltHead(Group, left_out=BY_KIND):
    """A head by its own sizes, as measured or as its maker gives them, in place of those of a standard."""

    diameter: up_to(300) = must("Diameter of the head; of a countersunk one that of the sharp rim, the cone drawn out")
    angle: tilt(60, 130) | None = doc("Included angle of a countersunk head; give this or `height`")
    height: up_to(150) | None = doc("Height of the head; of a countersunk one from the sharp rim to the shank")


class Bolts(Group):
    """The bolts through the palm and the holes for them."""

    size: BoltSize = must("Bolt size, such as M12 or 1/2")
    kind: Literal["countersunk", "counterbored", "plain"] = doc("How the head sits in the water face", "countersunk")
    head_standard: Literal["ISO 10642", "ISO 2009", "ASME B18.3", "ASME B18.6.3"] | None = doc(
        "Standard of a countersunk head; derived from the size when left out. Metric 90, inch 82 degrees: never mix"
    )
    head: BoltHead | None = doc("The head by its own sizes, for a size that the standards do not have")
    hole_fit: Literal["fine", "medium", "coarse", "close", "normal", "loose"] = doc(
        "Series of clearance hole, ISO 273 or ASME B18.2.8", "medium"
    )
    sunk_below: Annotated[Length, Field(ge=0, le=10)] = doc("How far the head lies below flush, to be filled", 0.5)
    pattern: Pattern = must("Where the bolts go")
    backing_plate: bool = doc("Whether a backing plate is fitted inside the hull", True)
    edge_rule: Literal["practice", "aisc", "ec3", "light_craft", "aerospace"] = doc(
        "Edges and pitches: practice 1.5 d and 3 d, AISC 360, EN 1993-1-8, engine seats of light craft 1.7 d and 3 d, "
        "aerospace 2 d and 4 d",
        "practice",
    )


class ScrewPlace(Group):
    """Place of one set screw."""

    end: Literal["bearing_aft", "bearing_forward", "barrel_aft", "barrel_forward"] = must("The end measured from")
    distance: up_to(2000) = must("Distance from that end, inward along the barrel")
    clock: Clock = doc("Clock angle: 0 toward the hull, positive toward port", 90.0)
    bearing: Annotated[int, Field(ge=1, le=2)] = doc("Which bearing, counted from aft", 1)


class SetScrews(Group):
    """Set screws through the barrel into a dimple in the bearing's shell."""

    thread: ScrewThread | None = doc("Thread; derived from the shaft when left out")
    point: Literal["flat", "cone", "dog", "cup"] = doc("Point of the screw", "cone")
    spot_face: up_to(100) | None = doc("Diameter of a flat milled on the barrel under the screw", left_out="no flat")
    dimple_depth: up_to(20) | None = doc("Depth of the dimple in the shell; half the shell when left out")
    positions: list[ScrewPlace] | None = Field(
        default=None,
        max_length=16,
        description="Places; two, equally in from the bearing's ends, when left out; an empty list for none",
    )


class StockRake(Group, left_out="the other one must be given"):
    """Lean of the rudder stock in profile; give one."""

    from_vertical: tilt(-60, 60) | None = doc("From the plumb line with the boat level, upper end aft positive")
    from_square_to_shaft: tilt(-60, 60) | None = doc("From square to the shaft, upper end aft positive")


class Heel(Group):
    """The rudder's lower bearing at the heel of the skeg; its axis follows the rudder stock."""

    behind_barrel: offset_to(5000) = must("From the barrel's aft face aft to the middle of the boss, along the shaft")
    below_shaft: up_to(3000) = must("From the shaft line down to the middle of the boss, square to the shaft")
    off_line: offset_to(500) = doc("From the vertical plane through the shaft, to port positive", 0.0)
    stock_rake: StockRake = must("Lean of the rudder stock in profile")
    stock_cant: tilt(-30, 30) = doc("Lean of the rudder stock athwart, upper end to port positive", 0.0)
    stock_diameter: up_to(300) | None = doc("Diameter of the rudder stock; derived from the pintle when left out")
    tube_diameter: up_to(500) | None = doc(
        "Outside diameter of the tube or sleeve round the stock at the hull", left_out="no tube"
    )
    tube_below_hull: Annotated[Length, Field(ge=0, le=2000)] = doc("How far that tube stands out below the hull", 0.0)
    pintle_diameter: up_to(300) = must("Diameter of the pintle")
    clearance: Annotated[Length, Field(ge=0, le=5)] | None = doc("Bush bore less pintle, or less the sleeve's outside")
    bush_wall: Annotated[Length, Field(ge=0, le=50)] = doc("Wall of the bush; 0 for none", 0.0)
    sleeve_wall: Annotated[Length, Field(ge=0, le=50)] = doc(
        "Wall of a liner sleeve fitted on the pintle, which then runs in the bush; 0 for none", 0.0
    )
    outside_diameter: up_to(500) | None = doc("Outside diameter of the boss; derived when left out")
    height: up_to(500) | None = doc("Height of the boss along the stock; derived when left out")
    foot_height: up_to(500) | None = doc("Height of the foot that carries the boss; derived when left out")
    foot_thickness: up_to(300) | None = doc("Thickness of the foot; the fin's at the root when left out")


class Skeg(Group):
    """Fin under the barrel."""

    kind: Literal["plate", "foil"] = must("Plate or foil fin")
    root_aft: Annotated[Length, Field(ge=0, le=2500)] = must("Aft end of the root, station from the barrel's aft face")
    root_forward: up_to(2500) = must("Forward end of the root, station from the barrel's aft face")
    depth: up_to(3000) = must("From the shaft line down to the lower edge, square to the shaft")
    tip_chord: up_to(2500) = must("Chord at the lower edge")
    sweep: offset_to(2000) = doc("How far the leading edge goes aft from root to lower edge", 0.0)
    thickness: up_to(200) = must("Thickness at the root")
    tip_thickness: up_to(200) | None = doc("Thickness at the lower edge; the same when left out")
    leading_edge: Literal["round", "square"] = doc("How a plate fin's leading edge is faired", "round")
    root_fillet: Annotated[Length, Field(ge=0, le=100)] | None = doc("Fillet of a cast strut at the barrel")
    heel: Heel | None = doc("Heel with the rudder's lower bearing")


class Welds(Group):
    """Joints of a welded strut."""

    arm_to_barrel_leg: up_to(60) | None = doc(
        "Leg of the fillet weld along the fused faces, arm to barrel; derived when left out"
    )
    arm_to_palm_leg: up_to(60) | None = doc(
        "Leg of the fillet weld along the fused faces, arm to palm; derived when left out"
    )
    skeg_to_barrel_leg: up_to(60) | None = doc(
        "Leg of the fillet weld along the fused faces, skeg to barrel; derived when left out"
    )
    prep: Literal["none", "double_bevel"] = doc("Edge preparation of the arm's ends", "none")
    prep_angle: tilt(20, 70) = doc("Angle of the bevel to the arm's side", 50.0)
    root_face: Annotated[Length, Field(ge=0, le=10)] = doc("Root face left in the middle", 2.0)
    root_gap: Annotated[Length, Field(ge=0, le=10)] = doc(
        "Gap under the root face of a prepared arm; taken off its length at each end", 2.0
    )
    beads: bool = doc("Whether the weld beads are modelled as bodies", True)


class Allowances(Group, left_out="by allowance_grade"):
    """Machining stock of a casting, per side."""

    bore: Annotated[Length, Field(ge=0, le=30)] | None = doc("On the radius of the bore")
    barrel_ends: Annotated[Length, Field(ge=0, le=30)] | None = doc("On each barrel face")
    palm_face: Annotated[Length, Field(ge=0, le=30)] | None = doc("On the hull face of the palm")

    @property
    def on_face(self) -> float | None:
        """On the face that is bolted down."""
        return self.palm_face


class CastingPattern(Group, left_out=AS_MEANT):
    """The pattern of a cast strut."""

    contraction: Annotated[Percent, Field(ge=0, le=4)] | None = doc("Linear contraction; from the alloy when left out")
    master_contraction: Annotated[Percent, Field(ge=0, le=4)] = doc("Further contraction of a metal pattern", 0.0)
    draft: tilt(0, 10) | None = doc("Draft on faces along the pull; each face's own by its height when left out")
    parting: Literal["arm_plane", "barrel_plane"] = doc(
        "Plane of the parting: through the shaft line and the arm, or through the shaft line square to it", "arm_plane"
    )
    stock: Allowances = doc("Machining stock", Allowances())
    tolerance_grade: Literal["CT8", "CT9", "CT10", "CT11", "CT12", "CT13", "CT14", "CT15", "CT16"] | None = doc(
        "Grade of casting tolerance, ISO 8062, as agreed with the founder; of a single casting in sand when left out"
    )
    allowance_grade: Literal["E", "F", "G", "H"] | None = doc(
        "Grade of machining allowance, ISO 8062; of a single casting in sand when left out"
    )
    core_shift: Annotated[Length, Field(ge=0, le=20)] = doc("How far the bore's core may lie off its place", 2.0)

    @property
    def way(self) -> Literal["arm_plane", "barrel_plane"]:
        """The plane of the parting."""
        return self.parting


class Change(Group, left_out="blank"):
    """One line of the revision table."""

    revision: Revision = must("Letter or number of the revision")
    change: Text = must("What was changed, in a few words")
    date: Date = must("Date, year-month-day")
    by: Person | None = doc("Who made it")


class MeasuredValue(Group, left_out="blank"):
    """That a value of this file was measured, and how sure it is; the work that measured it writes it."""

    value: Text = must("Which value, by its place in the file, such as hull.drop.vertical")
    reading: Text = must("What was measured; a value that was changed since does not count as measured")
    within: Text = must("Within how much of that it lies, either way, in 95 of 100 cases")
    date: Date | None = doc("When, year-month-day")
    by: Person | None = doc("Who measured it")


class Drawing(Group, left_out="as its meaning says, else blank"):
    """How the sheets are drawn."""

    units: Literal["mm", "in"] | None = doc("Units of the sheets; the file's units when left out")
    projection: Literal["first_angle", "third_angle"] | None = doc("Projection; first angle for mm, third for in")
    sheets: Literal["iso", "ansi"] | None = doc("Sheet sizes; iso for mm, ansi for in")
    largest_sheet: Literal["A4", "A3", "A2", "A1", "ANSI A", "ANSI B", "ANSI C", "ANSI D"] | None = doc(
        "Largest sheet that your printer takes: what does not go on it beside the views goes on a sheet behind",
        left_out="as large as the sheet needs",
    )
    owner: Text | None = doc("Legal owner, for the title block")
    creator: Person | None = doc("Who made the drawing, for the title block")
    date: Date | None = doc("Date of issue, year-month-day")
    finish: Text | None = doc("Surface finish note")
    revisions: list[Change] = Field(default_factory=list, max_length=12, description="Table of revisions, oldest first")
    dxf: Literal["R2010", "R12"] = doc("Version of the DXF files; R12 for old machines, without line widths", "R2010")
    paper: Literal["a4", "letter"] | None = doc("Paper of the tiled templates; a4 for mm, letter for in")


class ParameterSet(Group):
    """One strut, as said in one file."""

    part: Literal["strut"] = doc("Kind of part", "strut")
    identity: Identity = must("Who the part is")
    units: Literal["mm", "in"] = doc("Units of bare numbers: mm (kW, kg) or in (hp, lb)", "mm")
    construction: Literal["cast", "welded"] = must("Cast in one piece, or welded from tube and plate")
    materials: Materials = must("What things are made of")
    shaft: Shaft = must("The propeller shaft")
    bearing: Annotated[
        list[Bearing], BeforeValidator(lambda v: [v] if isinstance(v, dict) else v), Field(min_length=1, max_length=2)
    ] = Field(default_factory=lambda: [Bearing()], description="The bearing, or a list of two, aft one first")
    barrel: Barrel = doc("The tube round the bearing", Barrel())
    arms: Arms = must("The arm or arms")
    palm: Palm = must("The plate on the hull")
    bolts: Bolts = must("The bolts through the palm")
    set_screws: SetScrews = doc("The set screws", SetScrews())
    skeg: Skeg | None = doc("Fin under the barrel")
    welds: Welds = doc("Joints of a welded strut", Welds())
    hull: Hull = must("How the hull lies over the shaft")
    propeller: Propeller = doc("The propeller", Propeller())
    duty: Duty = doc("Power and speeds", Duty())
    protection: Protection = doc("Anodes against corrosion", Protection())
    loads: Loads = doc("Load cases of your own", Loads())
    pattern: CastingPattern = doc("The pattern of a cast strut", CastingPattern())
    drawing: Drawing = doc("How the sheets are drawn", Drawing())
    measured: list[MeasuredValue] = Field(
        default_factory=list, max_length=60, description="Which values were measured, and how sure they are"
    )
