"""What may be said in the file of a hanger: a bearing of the shaft between two others, on a foot, solid or split."""

from typing import Annotated, Literal

from pydantic import BeforeValidator, Field

from strutwright.params.fields import AS_MEANT, NOT_KNOWN, BoltSize, Group, Length, Text, doc, must, tilt, up_to
from strutwright.params.schema import (
    Barrel,
    Bearing,
    Bolts,
    CastingPattern,
    Drawing,
    FromEnd,
    Identity,
    MeasuredValue,
    Outline,
    PalmOffset,
    SetScrews,
)
from strutwright.params.schema_boat import Duty, Loads, Propeller, Protection, Shaft


class HangerMaterials(Group):
    """What things are made of: names from the table of materials (`strutwright tables materials`)."""

    hanger: Text = must("Material of barrel, cap, web and foot")
    bolts: Text | None = doc("Material of all bolts; derived from the hanger's family when left out")
    shaft: Text | None = doc("Material of the shaft; derived when left out")
    base: Text = doc("Material of the bed that the foot is bolted to", "timber")
    anodes: bool = doc("Whether hanger and shaft are bonded to anodes that protect them", False)


class WebRoots(Group):
    """Fillet radii of a cast hanger where the web meets its neighbours."""

    barrel: Annotated[Length, Field(ge=0, le=150)] | None = doc("Radius at the barrel")
    foot: Annotated[Length, Field(ge=0, le=150)] | None = doc("Radius at the foot")


class Web(Group):
    """The web between barrel and foot: a plate whose long side lies along the shaft."""

    length: up_to(1500) = must("Length along the shaft where it leaves the barrel")
    thickness: up_to(400) = must("Thickness where it leaves the barrel")
    length_at_foot: up_to(1500) | None = doc("Length along the shaft at the foot; as at the barrel when left out")
    thickness_at_foot: up_to(400) | None = doc("Thickness at the foot; as at the barrel when left out")
    edge_radius: up_to(200) | None = doc("Radius of its edges; half the thickness when left out")
    position: FromEnd | None = doc("Where its middle leaves the shaft line; mid-barrel when left out")
    root_fillet: WebRoots = doc("Fillets of a cast hanger", WebRoots())


class Skew(Group):
    """How the foot stands off the shaft; all 0 for a foot that lies along it."""

    profile: tilt(-30, 30) = doc("Angle between foot and shaft in profile, positive: aft end farther from the shaft", 0)
    across: tilt(-30, 30) = doc("The same seen along the shaft, positive: left edge farther, seen from aft, foot up", 0)
    turned: tilt(-60, 60) = doc("Turn of the foot's length from the shaft, in its own plane, positive to the left", 0)


class Foot(Group):
    """The foot that is bolted to its bed."""

    stands: Literal["above", "below", "port", "starboard"] = must("Where the foot lies, seen from the shaft line")
    height: up_to(3000) = must("Shaft line over the foot's bedding face, square to the face, at mid-barrel")
    thickness: up_to(150) = must("Thickness")
    outline: Outline = must("Outline of the foot, its length along the shaft as far as it is not turned")
    offset: PalmOffset = doc("Middle of the outline from where the web meets the bedding face", PalmOffset())
    skew: Skew = doc("How the foot stands off the shaft", Skew())


class HangerBolts(Bolts):
    """The bolts of the foot and the holes for them."""

    size: BoltSize = must("Size, such as M12 or 1/2")
    kind: Literal["countersunk", "counterbored", "plain"] = doc("How the head sits in the foot's free face", "plain")
    backing_plate: bool = doc("Whether a plate lies behind the bed under the nuts", True)


class Bed(Group, left_out=NOT_KNOWN):
    """What the foot is bolted to: an engine bed, a floor, a stringer, a bulkhead, or the hull."""

    thickness: up_to(500) | None = doc("Thickness that the bolts go through")
    isolated: bool = doc("Whether gasket, sleeves and washers part the hanger and its bolts from a metal bed", False)


class UnderFoot(Group, left_out=AS_MEANT):
    """What lies between foot and bed, with which the bore is brought to its height."""

    kind: Literal["none", "shims", "resin"] = doc(
        "none: the foot lies on the bed; shims: solid ones of metal; resin: a chock cast in place", "none"
    )
    thickness: Annotated[Length, Field(ge=0, le=100)] = doc("Thickness as drawn", 0.0)
    least: Annotated[Length, Field(ge=0, le=100)] | None = doc("Least that may be fitted", left_out="the thickness")
    most: Annotated[Length, Field(ge=0, le=100)] | None = doc("Most that may be fitted", left_out="the thickness")
    bed_within: Annotated[Length, Field(ge=0, le=50)] = doc("How far the bed may lie from its place, each way", 1.0)
    bore_within: Annotated[Length, Field(ge=0, le=20)] = doc("How far the bore's height may be off, each way", 0.2)
    line_within: Annotated[Length, Field(ge=0, le=20)] = doc("How far the shaft line may yet be moved, each way", 0.5)


class CapBolts(Group, left_out=AS_MEANT):
    """The bolts that hold the cap."""

    size: BoltSize = must("Size, such as M10 or 3/8")
    on_each_side: Annotated[int, Field(ge=1, le=4)] = doc("How many on each side of the bore", 2)
    out: up_to(1000) = must("From the shaft line to the bolts")
    from_end: up_to(1000) | None = doc("From each face of the ears to the first bolt", left_out="a quarter of the ears")
    hold: Literal["through", "tapped"] = doc("through: nut beyond the body's ear; tapped: screwed into it", "through")
    engaged: up_to(300) | None = doc("Thread in the body of a tapped one", left_out="one and a half diameters")


class CapDowels(Group):
    """Dowels that keep the cap in its place."""

    diameter: up_to(60) = must("Diameter")
    on_each_side: Annotated[int, Field(ge=1, le=2)] = doc("How many on each side of the bore", 1)
    out: up_to(1000) | None = doc("From the shaft line", left_out="as the bolts")
    into: up_to(100) | None = doc("How far each goes into either part", left_out="its diameter")


class SplitShims(Group):
    """Shims between cap and body: the bore is machined with all of them in."""

    count: Annotated[int, Field(ge=1, le=20)] = must("How many on each side")
    thickness: Annotated[Length, Field(gt=0, le=5)] = must("Thickness of one")
    material: Text = doc("What they are of", "brass")
    taken_out: Annotated[int, Field(ge=0, le=20)] = doc("How many are left out on each side when the bearing is in", 0)


class Cap(Group):
    """The cap of a barrel that is split along the shaft line."""

    turned: tilt(-60, 60) = doc("Turn of the cap's middle from straight opposite the foot, positive to the left", 0.0)
    ear_out: up_to(1000) = must("From the shaft line to the outer edge of the ears")
    ear_thickness: up_to(200) = must("Thickness of each ear, of cap and of body")
    ear_length: up_to(2500) | None = doc(
        "Length of the ears along the shaft, about mid-barrel", left_out="the barrel's"
    )
    bolts: CapBolts = must("The bolts of the cap")
    dowels: CapDowels | None = doc("Dowels", left_out="none")
    shims: SplitShims | None = doc("Shims at the split", left_out="cap and body meet")


class Neighbour(Group):
    """The bearings beside this one on the shaft; the one forward is under `shaft.bearing_span`."""

    aft: up_to(20000) = must("Along the shaft from the middle of this bearing to the next one aft")
    water: Literal["around", "fed", "none"] = must(
        "How water comes to the rubber: around: the hanger lies in it; fed: by a pipe; none"
    )


class HangerWelds(Group):
    """Joints of a welded hanger."""

    web_to_barrel_leg: up_to(60) | None = doc("Leg of the fillet weld, web to barrel; derived when left out")
    web_to_foot_leg: up_to(60) | None = doc("Leg of the fillet weld, web to foot; derived when left out")
    prep: Literal["none", "double_bevel"] = doc("Edge preparation of the web's ends", "none")
    prep_angle: tilt(20, 70) = doc("Angle of the bevel to the web's side", 50.0)
    root_face: Annotated[Length, Field(ge=0, le=10)] = doc("Root face left in the middle", 2.0)
    root_gap: Annotated[Length, Field(ge=0, le=10)] = doc("Gap under the root face of a prepared web", 2.0)
    beads: bool = doc("Whether the weld beads are modelled as bodies", True)


class HangerScrews(SetScrews):
    """Set screws through the barrel; of a split one none where no positions are given."""


class HangerSet(Group):
    """One hanger, as said in one file."""

    part: Literal["shaft_hanger"] = must("Kind of part")
    identity: Identity = must("Who the part is")
    units: Literal["mm", "in"] = doc("Units of bare numbers: mm (kW, kg) or in (hp, lb)", "mm")
    construction: Literal["cast", "welded"] = must("Cast, or welded from tube and plate")
    materials: HangerMaterials = must("What things are made of")
    shaft: Shaft = must("The shaft")
    line: Neighbour = must("What lies on the shaft beside this bearing")
    bearing: Annotated[
        list[Bearing], BeforeValidator(lambda v: [v] if isinstance(v, dict) else v), Field(min_length=1, max_length=2)
    ] = Field(default_factory=lambda: [Bearing()], description="The bearing, or a list of two, aft one first")
    barrel: Barrel = doc("The tube round the bearing", Barrel())
    cap: Cap | None = doc("The cap of a split barrel", left_out="the barrel is solid")
    web: Web = must("The web between barrel and foot")
    foot: Foot = must("The foot")
    bolts: HangerBolts = must("The bolts of the foot")
    base: Bed = doc("The bed of the foot", Bed())
    under_foot: UnderFoot = doc("Shims or chock under the foot", UnderFoot())
    set_screws: HangerScrews = doc("The set screws", HangerScrews())
    welds: HangerWelds = doc("Joints of a welded hanger", HangerWelds())
    duty: Duty = doc("Power and speeds", Duty())
    protection: Protection = doc("Anodes against corrosion", Protection())
    loads: Loads = doc("Load cases of your own", Loads())
    pattern: CastingPattern = doc("The pattern of a cast hanger", CastingPattern())
    drawing: Drawing = doc("How the sheets are drawn", Drawing())
    measured: list[MeasuredValue] = Field(
        default_factory=list, max_length=60, description="Which values were measured, and how sure they are"
    )

    @property
    def propeller(self) -> Propeller:
        """The propeller, of which nothing is said: it stands abaft another bearing."""
        return Propeller()
