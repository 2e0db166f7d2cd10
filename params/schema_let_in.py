"""What may be said in the file of a let-in housing: a sleeve pressed, bedded or welded into a skeg, keel or tube."""

from typing import Annotated, Literal

from pydantic import BeforeValidator, Field

from strutwright.params.fields import (
    AS_MEANT,
    BY_KIND,
    NOT_KNOWN,
    Clock,
    Force,
    Group,
    Length,
    ScrewThread,
    Stress,
    Text,
    doc,
    must,
    tilt,
    up_to,
)
from strutwright.params.schema import Barrel, Bearing, Drawing, Identity, MeasuredValue, SetScrews
from strutwright.params.schema_boat import Duty, Loads, Propeller, Protection, Shaft


class LetInMaterials(Group):
    """What things are made of: names from the table of materials (`strutwright tables materials`)."""

    housing: Text = must("Material of the housing, a sleeve turned from bar, hollow bar or tube")
    bolts: Text | None = doc("Material of locking and drawing screws; derived from the housing's family when left out")
    shaft: Text | None = doc("Material of the shaft; derived when left out")
    base: Text = must("Material of the skeg, keel or tube that the housing is let into")
    anodes: bool = doc("Whether housing and shaft are bonded to anodes that protect them", False)


class Counterbore(Group):
    """A recess at the mouth of the hole that the collar lies in."""

    diameter: up_to(1500) = must("Diameter")
    depth: up_to(200) = must("Depth")


class Structure(Group, left_out=NOT_KNOWN):
    """What the housing is let into: a skeg or keel with a hole along the shaft, or a round tube."""

    kind: Literal["skeg", "keel", "tube"] = must("skeg or keel: flat sides, `thickness` apart; tube: round")
    thickness: up_to(3000) | None = doc("Thickness athwart in way of the hole (skeg, keel)", left_out=BY_KIND)
    outside_diameter: up_to(1500) | None = doc("Outside diameter (tube)", left_out=BY_KIND)
    above: up_to(3000) | None = doc("From the shaft line up to the nearest edge, cut-out or other hole (skeg, keel)")
    below: up_to(3000) | None = doc("From the shaft line down to the nearest edge, cut-out or other hole (skeg, keel)")
    depth: up_to(3000) = must("Depth of the hole along the shaft, from its mouth, which is the floor of a counterbore")
    end: Literal["open", "closed"] = doc(
        "open: the hole, or one for the shaft and water, goes on; closed: its bottom closes it round the shaft", "open"
    )
    off_line: Annotated[Length, Field(ge=0, le=50)] = doc(
        "How far the hole may lie off the middle of the structure, any way: boring and measuring together", 0.5
    )
    counterbore: Counterbore | None = doc("Recess for the collar", left_out="the collar lies on the face")
    water_inside: bool = doc("Whether water is fed to the inner end of the bearing from within", False)
    isolated: bool = doc("Whether resin or a coating parts the housing from a structure of another metal", False)


class SleeveStep(Group):
    """A length of the housing, at its inner end, with a smaller outside diameter."""

    length: up_to(2000) = must("Length along the axis")
    diameter: up_to(900) = must("Outside diameter")


class Entry(Group):
    """Chamfer round the outside at the end that goes in first."""

    length: up_to(60) = must("Length along the axis")
    angle: tilt(5, 60) = must("Angle to the axis")


class Collar(Group):
    """A round flange at the outer end, which lies on the structure's face or in its counterbore."""

    diameter: up_to(1500) = must("Diameter")
    thickness: up_to(150) = must("Thickness")


class Pressed(Group, left_out="derived; `strutwright values FILE` shows by which rule"):
    """The fit of a housing that is pressed in."""

    hole_class: Text = doc("Tolerance class of the hole in the structure by ISO 286", "H7")
    sleeve_class: Text = doc("Tolerance class of the housing's outside by ISO 286", "p6")
    press_force: Annotated[Force, Field(gt=0, le=5e6)] | None = doc(
        "Force of the press, puller or jack that is at hand", left_out="not known; the force is told only"
    )


class Bedded(Group, left_out=AS_MEANT):
    """The resin round a housing that is bedded in."""

    gap: Annotated[Length, Field(ge=0.05, le=30)] | None = doc(
        "Gap round the housing, on the radius", left_out="2 mm; common practice"
    )
    hole: up_to(1500) | None = doc(
        "Diameter of the hole, where it is there already; the gap follows from it", left_out="from the gap"
    )
    released: bool = doc("Whether release wax keeps the resin off the housing, so that it can be drawn again", False)
    shear: Annotated[Stress, Field(gt=0, le=60)] | None = doc(
        "Shear strength of the bond, wet, by the maker of the resin or by trial", left_out="a low figure; see the limit"
    )


class Welded(Group, left_out="derived; `strutwright values FILE` shows by which rule"):
    """The welds of a housing that is welded in."""

    leg: up_to(40) | None = doc("Leg of the fillet weld round the housing at the mouth of the hole")
    inner_end: bool = doc("Whether it is welded round at its inner end too, where that can be reached", False)
    clearance: Annotated[Length, Field(ge=0, le=5)] = doc("Clearance of the housing in the hole, on the diameter", 0.3)


class LockingPlace(Group):
    """Place of one locking screw."""

    distance: up_to(2000) = must("Distance inward from the mouth of the hole")
    clock: Clock = must("Clock angle: 0 up, positive toward port")


class LockingScrews(Group):
    """Screws from outside, through the structure, with their points in the housing's outside."""

    thread: ScrewThread = must("Thread, tapped in the structure or in a bush in it")
    point: Literal["cone", "dog"] = doc("Point of the screw", "dog")
    bite: up_to(30) | None = doc("How far the point goes into the housing", left_out="a quarter of the screw")
    bushed: bool = doc("Whether threaded bushes of metal are set in a structure of timber or laminate", False)
    positions: list[LockingPlace] = Field(min_length=1, max_length=12, description="Places")


class DrawingHoles(Group):
    """Tapped holes by which the housing is drawn out again."""

    way: Literal["draw", "jack"] = doc(
        "draw: blind holes in the outer face, for a puller; jack: through the collar, for screws against the structure",
        "draw",
    )
    thread: ScrewThread = must("Thread")
    count: Annotated[int, Field(ge=2, le=12)] = doc("How many, equally spaced", 2)
    circle: up_to(1500) | None = doc(
        "Diameter of the circle of their centres", left_out="the middle of the metal that there is for them"
    )
    depth: up_to(200) | None = doc("Depth of full thread (draw)", left_out="twice the screw")
    first_clock: Clock = doc("Clock angle of the first: 0 up, positive toward port", 90.0)


class LetInSet(Group):
    """One let-in housing, as said in one file."""

    part: Literal["let_in_housing"] = must("Kind of part")
    identity: Identity = must("Who the part is")
    units: Literal["mm", "in"] = doc("Units of bare numbers: mm (kW, kg) or in (hp, lb)", "mm")
    construction: Literal["turned"] = doc("Turned from bar, hollow bar or tube", "turned")
    hold: Literal["pressed", "bedded", "welded"] = must("How the structure holds the housing")
    entered_from: Literal["aft", "forward"] = doc("The end of the structure from which it goes in", "aft")
    materials: LetInMaterials = must("What things are made of")
    shaft: Shaft = must("The propeller shaft")
    bearing: Annotated[
        list[Bearing], BeforeValidator(lambda v: [v] if isinstance(v, dict) else v), Field(min_length=1, max_length=2)
    ] = Field(default_factory=lambda: [Bearing()], description="The bearing, or a list of two, aft one first")
    barrel: Barrel = doc("The sleeve round the bearing", Barrel())
    structure: Structure = must("What the housing is let into")
    stands_out: Annotated[Length, Field(ge=0, le=1500)] | None = doc(
        "How far its outer end stands out of the face at the mouth of the hole",
        left_out="flush; with a collar by its thickness, less the depth of its counterbore",
    )
    collar: Collar | None = doc("A round flange at the outer end", left_out="none: a plain sleeve")
    outside_steps: list[SleeveStep] = Field(
        default_factory=list, max_length=3, description="Smaller outsides, from the inner end outward"
    )
    entry: Entry | None = doc("Chamfer round the outside at the inner end")
    pressed: Pressed = doc("The fit of a housing that is pressed in", Pressed())
    bedded: Bedded = doc("The resin round a housing that is bedded in", Bedded())
    welded: Welded = doc("The welds of a housing that is welded in", Welded())
    bored_in_place: bool | None = doc(
        "Whether the bore for the bearing is finished with the housing in its place",
        left_out="yes where it is welded in, else no",
    )
    locking_screws: LockingScrews | None = doc("Screws from outside into the housing", left_out="none")
    drawing_holes: DrawingHoles | None = doc("Tapped holes to draw the housing out again", left_out="none")
    set_screws: SetScrews = doc("The set screws that hold the bearing", SetScrews())
    propeller: Propeller = doc("The propeller", Propeller())
    duty: Duty = doc("Power and speeds", Duty())
    protection: Protection = doc("Anodes against corrosion", Protection())
    loads: Loads = doc("Load cases of your own", Loads())
    drawing: Drawing = doc("How the sheets are drawn", Drawing())
    measured: list[MeasuredValue] = Field(
        default_factory=list, max_length=60, description="Which values were measured, and how sure they are"
    )
