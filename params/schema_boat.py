"""What may be said in a parameter file of the boat: hull, shaft, propeller, duty and loads."""

from typing import Annotated, Literal

from pydantic import Field

from strutwright.params.fields import (
    AS_MEANT,
    NOT_KNOWN,
    Area,
    Clock,
    Force,
    Group,
    Length,
    Mass,
    Power,
    Rate,
    Ratio,
    Speed,
    Spring,
    Stress,
    Text,
    Turning,
    doc,
    must,
    offset_to,
    tilt,
    up_to,
)


class ShaftBearing(Group):
    """A bearing of the shaft forward of the one that bearing_span says."""

    distance: up_to(60000) = must("Along the shaft from the strut bearing")
    offset: offset_to(200) = doc("Height over the straight line through barrel and shaft, down negative", 0.0)


class Coupling(Group):
    """The shaft's half of its coupling, where shaft and engine are lined up."""

    distance: up_to(60000) = must("Along the shaft from the strut bearing to the coupling's face")
    diameter: up_to(1000) = must("Diameter of the flange, at which gaps are felt")
    mass: Annotated[Mass, Field(gt=0, le=2000)] = must("Mass of the half on the shaft")


class Shaft(Group, left_out=NOT_KNOWN):
    """The propeller shaft."""

    diameter: Annotated[Length, Field(ge=12, le=400)] = must("Diameter in way of the bearing, as measured")
    bearing_span: up_to(20000) | None = doc("Distance along the shaft from this bearing to the next one forward")
    bearing_offset: offset_to(200) = doc(
        "Height of that bearing over the straight line through the barrel, down negative", 0.0
    )
    more_bearings: list[ShaftBearing] = Field(
        default_factory=list, max_length=6, description="Bearings forward of that one, from aft forward"
    )
    coupling: Coupling | None = doc("The coupling to the engine")
    engine_rise: offset_to(20) | None = doc("How far the engine's shaft rises from cold to running heat")


class ShaftAngle(Group):
    """The shaft angle; give the one that was measured. Two or more are compared."""

    to_waterline: tilt(-10, 30) | None = doc("Down going aft, from the level waterline")
    to_hull: tilt(-10, 35) | None = doc("To the hull bottom, in the vertical plane through the shaft")
    to_palm: tilt(-10, 35) | None = doc("True angle between the shaft and the plane of the palm")


class Drop(Group):
    """Hull face to shaft line; give the one that was measured. Two or more are compared."""

    vertical: up_to(5000) | None = doc("Measured with a plumb line, boat level")
    square_to_shaft: up_to(5000) | None = doc("Measured square to the shaft, in the vertical plane through it")
    square_to_hull: up_to(5000) | None = doc("Measured square to the hull's plane")
    at: Literal["mid", "aft", "forward"] = doc("At which point of the barrel: its middle or one of its faces", "mid")


class Panel(Group, left_out="not known; the range of the limits hull_stiffener_near and hull_stiffener_far is taken"):
    """Clear distances between the stiffeners (frames, floors, stringers, bulkheads) round the palm."""

    along: up_to(20000) | None = doc("Between those before and behind the palm")
    across: up_to(20000) | None = doc("Between those to port and to starboard of the palm")


class Sandwich(Group):
    """A hull of two skins on a core; hull.thickness is over all."""

    skin: up_to(100) = must("Thickness of each skin")
    core_shear: Annotated[Stress, Field(ge=0.1, le=20000)] = must(
        "Shear modulus of the core: foam of 80 kg/m3 some 28 MPa, end-grain balsa of 150 kg/m3 some 155 MPa"
    )
    solid: bool = doc("Whether the core is replaced by solid laminate under the palm, as bolts need", True)
    solid_beyond: Annotated[Length, Field(ge=0, le=2000)] = doc("How far the solid part reaches beyond the palm", 0.0)


class Backing(Group):
    """The backing plate inside the hull, where bolts.backing_plate has one."""

    thickness: up_to(100) | None = doc("Thickness", left_out="the bolts' diameter; not counted on for the hull")
    beyond_palm: Annotated[Length, Field(ge=0, le=2000)] | None = doc(
        "How far it reaches beyond the palm all round", left_out="{25 mm}, in inch files {1 in}"
    )
    bonded: bool = doc("Whether it is glued over all its face, so that it bends as one with the hull", False)


class HullStiffness(Group):
    """What the hull under a palm withstands, as measured; it takes the place of all that is worked out."""

    normal: Annotated[Spring, Field(ge=1, le=1e9)] = must("Push or pull square to the hull, over the movement")
    tilt_along: Annotated[Turning, Field(ge=0.001, le=1e9)] = must(
        "Moment that lifts the palm's forward end, over the turn"
    )
    tilt_across: Annotated[Turning, Field(ge=0.001, le=1e9)] = must("Moment that lifts one side of it, over the turn")


class Hull(Group, left_out=NOT_KNOWN):
    """How the hull lies over the shaft."""

    shaft_angle: ShaftAngle = must("The shaft angle, named by how it was measured")
    run: tilt(-10, 20) | None = doc(
        "Rise of the bottom going aft, along the buttock, from the waterline; must be given "
        "where the shaft angle is given to the waterline: 0 is an answer",
        left_out="derived where two shaft angles are given, else not known",
    )
    deadrise: tilt(0, 60) = doc("Rise of the bottom going outboard at the strut, in the lines plan; 0 on a keel", 0.0)
    drop: Drop = must("Drop from hull face to shaft line, named by how it was measured")
    thickness: up_to(500) | None = doc("Thickness of the hull under the palm")
    fitting: Literal["in_place", "as_drawn"] = doc(
        "How the bore gets its direction: palm bedded or chocked with the shaft in place, or bolted down as drawn",
        "in_place",
    )
    modulus: Annotated[Stress, Field(ge=100, le=500000)] | None = doc(
        "Modulus of elasticity of the hull, or of a sandwich's skins, in its plane; of planks along the grain",
        left_out="by materials.hull: of laminate, plywood and timber a range",
    )
    planks: Literal["along", "across"] = doc("How the planks of a timber hull run", "along")
    panel: Panel = doc("Where the stiffeners round the palm are", Panel())
    sandwich: Sandwich | None = doc("Skins and core of a sandwich hull", left_out="a hull of one material throughout")
    backing: Backing = doc("The backing plate, where it is known", Backing())
    stiffness: HullStiffness | None = doc(
        "Stiffness of the hull under a palm, where it was measured", left_out="worked out, as a range"
    )
    isolated: bool = doc("Whether gasket, sleeves and washers insulate strut and bolts from a metal hull", False)


class Propeller(Group, left_out=NOT_KNOWN):
    """The propeller abaft the strut."""

    diameter: up_to(5000) | None = doc("Diameter")
    blades: Annotated[int, Field(ge=2, le=9)] | None = doc("Number of blades")
    pitch: up_to(8000) | None = doc("Pitch")
    mass: Annotated[Mass, Field(gt=0, le=20000)] | None = doc("Mass")
    hub_length: up_to(1500) | None = doc("Length of the hub")
    hub_gap: Annotated[Length, Field(ge=0, le=1000)] | None = doc("From the barrel's aft face to the hub")


class Use(Group, left_out=AS_MEANT):
    """One way in which the boat is run, for fatigue."""

    name: Text = must("Name of this use, such as cruising")
    hours: Annotated[Ratio, Field(ge=1, le=1e6)] = must("Hours of it in the life of the boat")
    speed: Annotated[Ratio, Field(gt=0, le=1)] = doc("Share of shaft_speed at which it is run", 1.0)


class Duty(Group, left_out=NOT_KNOWN):
    """Power and speeds."""

    power: Annotated[Power, Field(gt=0, le=20000)] | None = doc("Power at the shaft")
    shaft_speed: Annotated[Rate, Field(gt=0, le=6000)] | None = doc(
        "Shaft speed at that power; follows from engine_speed and gear_ratio when left out",
        left_out=f"{AS_MEANT}, else {NOT_KNOWN}",
    )
    engine_speed: Annotated[Rate, Field(gt=0, le=12000)] | None = doc("Engine speed at that power")
    gear_ratio: Annotated[Ratio, Field(ge=0.3, le=12)] | None = doc(
        "Turns of the engine for one turn of the shaft, such as 2.5; 1 for a direct drive"
    )
    idle_speed: Annotated[Rate, Field(gt=0, le=3000)] | None = doc(
        "Shaft speed at idle ahead", left_out="the share of shaft_speed that the limit idle_share says"
    )
    boat_speed: Annotated[Speed, Field(gt=0, le=80)] | None = doc("Greatest speed of the boat")
    waterline_length: up_to(60000) | None = doc(
        "Length of the waterline", left_out="not known; the service says whether class rules for ships are the measure"
    )
    rudder_area: Annotated[Area, Field(gt=0, le=20)] | None = doc("Area of the rudder that the heel carries")
    service: Literal["light", "pleasure", "long_range", "patrol", "passenger"] = doc("Kind of use", "pleasure")
    use: list[Use] = Field(
        default_factory=list,
        max_length=12,
        description="Hours that the boat is run in its life, by speed; those that the limits life_hours, "
        "full_speed_hours and cruise_speed have for the service when left out",
    )


class Protection(Group):
    """Anodes that protect the strut, and what is bonded to it."""

    years: Annotated[Ratio, Field(ge=0.1, le=40)] = doc("Life of the anodes in years", 1.0)
    water: Literal["tropical", "subtropical", "temperate", "arctic"] = doc(
        "Climate by the surface water: tropical over 20 C, subtropical to 20, temperate to 12, arctic under 7 C",
        "temperate",
    )
    salinity: Annotated[Ratio, Field(ge=0.01, le=42)] = doc(
        "Salt in the water by the Practical Salinity Scale, about grams to the kilogram: 35 at sea, 18 to 30 in large "
        "estuaries, 0.5 to 18 brackish, less in rivers and lakes",
        35.0,
    )
    paint: Literal["none", "I", "II", "III", "IV"] = doc(
        "Paint of the strut: none, or its category by DNV-RP-B401 (`strutwright tables cathodic_paint`)", "none"
    )
    bonded_area: Annotated[Area, Field(ge=0, le=1000)] | None = doc(
        "Bare metal beyond the strut that is bonded to the same anodes",
        left_out="shaft from the next bearing to the hub; propeller, both sides of blades that cover 0.6 of the disc",
    )
    anode_metal: Literal["zinc", "aluminium", "magnesium"] = doc(
        "Metal of the anodes: zinc for salt water, aluminium for salt and brackish, magnesium for fresh", "zinc"
    )
    anode_mass: Annotated[Mass, Field(ge=0.01, le=200)] | None = doc("Mass of one anode, without its insert")
    anode_face: Annotated[Area, Field(ge=0.0001, le=2)] | None = doc("Face of one anode that the water reaches")
    anode_count: Annotated[int, Field(ge=1, le=500)] | None = doc(
        "How many anodes are fitted", left_out="not known; what is needed is told and held against nothing"
    )


class LoadTerm(Group, left_out=AS_MEANT):
    """One load of a case."""

    source: Literal[
        "weight", "blade_loss", "turn", "thrust", "torque", "blade_rate", "rudder", "grounding", "force"
    ] = must("What loads the strut; `force` is a force of your own at the barrel")
    factor: Annotated[Ratio, Field(ge=-20, le=20)] = doc("Multiplier", 1.0)
    clock: Clock | None = doc("Direction square to the shaft; worst direction when left out")
    force: Annotated[Force, Field(ge=0, le=1e7)] | None = doc("Size of a force of your own, for which it must be given")


class LoadCase(Group):
    """A named set of loads that act together."""

    name: Text = must("Name of the case")
    terms: list[LoadTerm] = Field(min_length=1, max_length=12, description="The loads")
    allowed_of_yield: Annotated[Ratio, Field(gt=0, le=1)] = doc("Stress allowed as a share of yield", 0.5)
    comes_and_goes: Literal["blade_rate", "shaft_rate", "turn", "wave"] | None = doc(
        "How often the loads come and go to either side, at full speed; for fatigue they take the place of those that "
        "are assumed",
        left_out="the case counts for strength alone",
    )


class Loads(Group, left_out=AS_MEANT):
    """Load cases of your own beside the built-in ones."""

    cases: list[LoadCase] = Field(default_factory=list, max_length=20, description="Load cases")
    blade_mass: Annotated[Mass, Field(gt=0, le=5000)] | None = doc(
        "Mass of one blade; from the propeller's when left out"
    )
    side_acceleration: Annotated[Ratio, Field(ge=0, le=5)] = doc("Side acceleration in a turn, in g", 0.5)
