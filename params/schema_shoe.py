"""What may be said in the file of a rudder shoe: a plate under keel or skeg that reaches aft to the rudder's heel."""

from types import SimpleNamespace
from typing import Annotated, Any, Literal

from pydantic import Field

from strutwright.params.fields import (
    AS_MEANT,
    BY_KIND,
    NOT_KNOWN,
    Area,
    Clock,
    Group,
    Length,
    Mass,
    Ratio,
    ScrewThread,
    Speed,
    Text,
    doc,
    must,
    offset_to,
    tilt,
    up_to,
)
from strutwright.params.schema import Bearing, Bored, CastingPattern, Drawing, End, Identity, LeadIn, MeasuredValue
from strutwright.params.schema_boat import Loads, Propeller, Protection, Use
from strutwright.params.schema_flange import Fasteners, FlangeGasket

_END = {"upper": "aft", "lower": "forward"}
"""The upper face of a boss is what a barrel round a shaft calls its aft face: its axis counts downward."""


class ShoeMaterials(Group):
    """What things are made of: names from the table of materials (`strutwright tables materials`)."""

    shoe: Text = must("Material of plate, boss and ribs")
    bolts: Text | None = doc("Material of the fasteners; derived from the shoe's metal when left out")
    stock: Text | None = doc("Material of the rudder stock or pintle; derived when left out")
    keel: Text = doc("Material of the keel or skeg that the plate is bolted to", "timber")
    anodes: bool = doc("Whether shoe and stock are bonded to anodes that protect them", False)


class Stock(Group):
    """The rudder stock, or the pintle at its lower end, and how it stands on the keel's underside."""

    diameter: Annotated[Length, Field(ge=12, le=400)] = must(
        "Diameter of stock or pintle in way of the bush, over its sleeve, as measured"
    )
    rake: tilt(-45, 45) = doc("Lean in profile from square to the keel's underside, upper end aft positive", 0.0)
    cant: tilt(-30, 30) = doc("Lean athwart from square to the keel's underside, upper end to port positive", 0.0)


class FromFace(Group):
    """A place along the boss: a distance from one of its faces, inward."""

    face: Literal["upper", "lower"] = must("The face measured from")
    distance: Annotated[Length, Field(ge=0, le=1000)] = must("Distance from that face, inward along the boss")

    @property
    def end(self) -> str:
        """That face as a barrel's end."""
        return f"barrel_{_END[self.face]}"


class Bush(Bearing):
    """The bush in which stock or pintle turns. Sizes of a fluted one come from the example table: confirm them."""

    kind: Literal["plain", "fluted_rubber"] = doc(
        "plain: one material throughout; fluted_rubber: a shell with rubber that has grooves for water", "plain"
    )
    length: up_to(1000) = must("Length of the bush")
    shell: up_to(40) | None = doc("Thickness of the shell (fluted_rubber); a locking screw must never pass it")
    shell_material: Text | None = doc("Material of a plain bush, or of the shell of a fluted one")
    running_clearance: Annotated[Length, Field(ge=0, le=5)] | None = doc("Bore of the bush less the stock, new")
    position: FromFace | None = doc(  # type: ignore[assignment]
        "Where the near end of the bush stands", left_out="flush with the upper face of the boss"
    )


class BossEnds(Group):
    """Fairing of both ends of the boss."""

    upper: End = doc("The upper end", End())
    lower: End = doc("The lower end", End())

    @property
    def aft(self) -> End:
        """The upper one."""
        return self.upper

    @property
    def forward(self) -> End:
        """The lower one."""
        return self.lower


class BossLeadIns(Group):
    """Chamfers at both mouths of the bore."""

    upper: LeadIn | None = doc("At the upper mouth; derived when left out")
    lower: LeadIn | None = doc("At the lower mouth; derived when left out")

    @property
    def aft(self) -> LeadIn | None:
        """The upper one."""
        return self.upper

    @property
    def forward(self) -> LeadIn | None:
        """The lower one."""
        return self.lower


class Floor(Group):
    """A floor under the bush, with the sand hole: it keeps the bush in, and what falls into the bore is washed out."""

    thickness: up_to(200) = must("Thickness of the floor, from the lower face of the boss up")
    sand_hole: up_to(300) = must("Diameter of the sand hole through it, on the axis of the bore")


class Boss(Bored):
    """The boss round the bush."""

    length: up_to(1000) | None = doc("Length over the faces; as the bush where left out, to be given over a floor")
    ends: BossEnds = doc("Fairing of the ends", BossEnds())
    lead_in: BossLeadIns = doc("Chamfers at the mouths of the bore", BossLeadIns())
    floor: Floor | None = doc("Floor under the bush, with the sand hole", left_out="the bore is open right through")

    @property
    def steps(self) -> list[Any]:
        """The floor as a length of the bore that is narrower."""
        if self.floor is None:
            return []
        made = {"length": self.floor.thickness, "diameter": self.floor.sand_hole}
        return [SimpleNamespace(kind="shoulder", end="barrel_forward", start=0.0, **made)]

    @property
    def slots(self) -> None:
        """There are none."""


class ShoePoint(Group):
    """A point in the plate's upper face, from the stock's axis."""

    forward: offset_to(3000) = must("Forward along the face")
    port: offset_to(2000) = must("Across the face, positive to port")

    @property
    def uv(self) -> tuple[float, float]:
        """Both."""
        return self.forward, self.port


class ShoeOffset(Group):
    """Where the middle of the outline lies from the stock's axis."""

    forward: offset_to(3000) = must("Positive forward")
    port: offset_to(1000) = doc("Positive to port", 0.0)

    @property
    def up(self) -> float:
        """What stands for it where a plate stands upright."""
        up: float = self.forward
        return up


class ShoeOutline(Group, left_out=BY_KIND):
    """Outline of the plate seen square to it; its length lies fore and aft."""

    shape: Literal["rectangle", "round_ended", "oval", "tapered", "polygon"] = must("Shape of the outline")
    length: up_to(3000) | None = doc("Length fore and aft")
    width: up_to(2000) | None = doc("Width athwart")
    width_forward: up_to(2000) | None = doc("Width at the forward edge (tapered)")
    width_aft: up_to(2000) | None = doc("Width at the after edge (tapered)")
    corner_radius: Annotated[Length, Field(ge=0, le=500)] = doc("Radius of the corners", 0.0)
    points: list[ShoePoint] | None = Field(
        default=None, min_length=3, max_length=40, description="Corners in order (polygon)"
    )


class ShoeRibs(Group):
    """Ribs under the plate, between it and the boss, equally spaced round the boss."""

    count: Annotated[int, Field(ge=1, le=12)] = must("How many")
    thickness: up_to(100) = must("Thickness")
    along: up_to(1000) = must("How far each reaches down the boss, from the plate's lower face")
    out: up_to(3000) = must("How far each reaches out along the plate, from the boss's outside")
    first_clock: Clock = doc("Direction of the first rib: 0 forward, positive toward port", 0.0)


class ShoePlate(Group):
    """The plate under the keel, which reaches aft to the boss."""

    position: FromFace | None = doc(
        "Where the plate's upper face meets the stock's axis", left_out="the upper face of the boss"
    )
    thickness: up_to(200) = must("Thickness")
    outline: ShoeOutline = must("Outline of the plate")
    offset: ShoeOffset = must("Middle of the outline from the stock's axis")
    root_fillet: Annotated[Length, Field(ge=0, le=100)] | None = doc(
        "Fillet of a cast shoe between boss and plate, on its lower face"
    )
    weld_leg: up_to(40) | None = doc("Leg of the weld of a welded shoe between boss and plate, on its lower face")
    bedding: Annotated[Length, Field(ge=0, le=25)] = doc("Thickness of the bedding on the keel, as fitted", 1.5)
    ribs: ShoeRibs | None = doc("Ribs under the plate", left_out="no ribs")

    @property
    def gasket(self) -> FlangeGasket:
        """What lies between plate and keel."""
        return FlangeGasket(thickness=self.bedding)


class ShoePattern(Group, left_out=BY_KIND):
    """Where the fasteners go."""

    kind: Literal["grid", "points"] = must("grid: rows and columns about a middle of their own; points: listed")
    along: Annotated[int, Field(ge=1, le=30)] | None = doc("Holes fore and aft (grid)")
    across: Annotated[int, Field(ge=1, le=6)] | None = doc("Holes athwart (grid)")
    pitch_along: up_to(1000) | None = doc("Pitch fore and aft (grid)")
    pitch_across: up_to(1000) | None = doc("Pitch athwart (grid)")
    aftmost: up_to(3000) | None = doc("From the stock's axis forward to the aftmost row (grid)")
    points: list[ShoePoint] | None = Field(
        default=None, min_length=2, max_length=60, description="Hole centres (points)"
    )


class ShoeBolts(Fasteners):
    """The fasteners through plate and keel, and the holes for them."""

    kind: Literal["countersunk", "counterbored", "plain"] = doc("How the head sits in the lower face", "countersunk")
    pattern: ShoePattern = must("Where the fasteners go")


class Keel(Group, left_out=NOT_KNOWN):
    """The keel or skeg over the plate."""

    end: up_to(2500) = must("From the stock's axis forward to the keel's after end, along its underside")
    width: up_to(2000) | None = doc("Width of the keel's underside, the same on both sides of the middle")
    thickness: up_to(3000) | None = doc("Thickness in the way of the fasteners, or depth of timber")
    density: Annotated[Ratio, Field(ge=200, le=1300)] | None = doc(
        "Density of the timber in kg/m3, oven dry: oak 660, iroko 600, larch 520, Douglas fir 480"
    )
    isolated: bool = doc("Whether bedding, sleeves and washers insulate shoe and fasteners from a metal keel", False)
    grain: Literal["across", "along"] = doc(
        "How screws run to the grain of timber: across it, in side grain, or along it, in end grain", "across"
    )

    @property
    def bore(self) -> float:
        """There is no hole in it but for the fasteners."""
        return 0.0

    @property
    def water_inside(self) -> bool:
        """Water reaches the bush from both ends of the boss."""
        return True


class LockingPlace(Group):
    """Place of one locking screw."""

    face: Literal["upper", "lower", "bush_upper", "bush_lower"] = must("The face measured from, of boss or bush")
    distance: up_to(1000) = must("Distance from that face, inward along the boss")
    clock: Clock = doc("Direction: 0 forward, positive toward port", 180.0)

    @property
    def end(self) -> str:
        """That face as an end of barrel or bearing."""
        what, _, face = self.face.rpartition("_")
        return f"{'bearing' if what else 'barrel'}_{_END[face]}"

    @property
    def bearing(self) -> int:
        """Which bush: there is one."""
        return 1


class LockingScrews(Group):
    """Locking screws through the boss into a dimple in the bush."""

    thread: ScrewThread | None = doc("Thread; derived from the stock when left out")
    point: Literal["flat", "cone", "dog", "cup"] = doc("Point of the screw", "cone")
    spot_face: up_to(100) | None = doc("Diameter of a flat milled on the boss under the screw", left_out="no flat")
    dimple_depth: up_to(20) | None = doc("Depth of the dimple in the bush; half of its shell or wall when left out")
    positions: list[LockingPlace] = Field(default_factory=list, max_length=8, description="Places; none when left out")


class Rudder(Group, left_out=NOT_KNOWN):
    """The rudder over the shoe."""

    area: Annotated[Area, Field(gt=0, le=20)] | None = doc("Area of one side")
    height: up_to(10000) | None = doc("Mean height, along the stock", left_out="by the limit rudder_aspect")
    mass: Annotated[Mass, Field(gt=0, le=5000)] | None = doc(
        "Mass of rudder and stock, of which the shoe may carry all"
    )
    entry: up_to(1000) | None = doc(
        "How far stock or pintle goes down into the boss, from its upper face", left_out="to the end of the bush"
    )
    foot_gap: Annotated[Length, Field(ge=0, le=1000)] | None = doc("From the rudder's lower edge to the boss below it")


class JumpingStop(Group):
    """What keeps the rudder from being lifted off: a stop on hull or sternpost close over a face of the rudder."""

    gap: Annotated[Length, Field(ge=0, le=500)] = must("Room between stop and rudder, how far it can be lifted")


class ShoeUse(Use, left_out=AS_MEANT):
    """One way in which the boat is sailed, for fatigue."""

    speed: Annotated[Ratio, Field(gt=0, le=1)] = doc("Share of boat_speed at which she goes", 1.0)


class ShoeDuty(Group, left_out=NOT_KNOWN):
    """Speed and use of the boat."""

    boat_speed: Annotated[Speed, Field(gt=0, le=80)] | None = doc("Greatest speed of the boat")
    waterline_length: up_to(60000) | None = doc("Length of the waterline")
    service: Literal["light", "pleasure", "long_range", "patrol", "passenger"] = doc("Kind of use", "pleasure")
    use: list[ShoeUse] = Field(
        default_factory=list,
        max_length=12,
        description="Hours that the boat is sailed in her life, by speed, under sail as under power; those that the "
        "limits life_hours, full_speed_hours and cruise_speed have for the service when left out",
    )
    displacement: Annotated[Mass, Field(gt=0, le=500000)] | None = doc(
        "Mass of the boat, for what a grounding on the shoe is held against"
    )


class ShoeAllowances(Group, left_out="by allowance_grade"):
    """Machining stock of a casting, per side."""

    bore: Annotated[Length, Field(ge=0, le=30)] | None = doc("On the radius of the bore")
    boss_ends: Annotated[Length, Field(ge=0, le=30)] | None = doc("On each free face of the boss")
    upper_face: Annotated[Length, Field(ge=0, le=30)] | None = doc("On the plate's upper face")

    @property
    def barrel_ends(self) -> float | None:
        """On the faces of the boss."""
        return self.boss_ends

    @property
    def on_face(self) -> float | None:
        """On the face that is bolted down."""
        return self.upper_face


class ShoeFounding(CastingPattern, left_out=AS_MEANT):
    """The pattern of a cast shoe."""

    parting: Literal["upright", "level"] = doc(  # type: ignore[assignment]
        "Plane of the parting through the stock's axis: upright, halves to port and starboard; level, athwart",
        "upright",
    )
    stock: ShoeAllowances = doc("Machining stock", ShoeAllowances())  # type: ignore[assignment]

    @property
    def way(self) -> Literal["arm_plane", "barrel_plane"]:
        """The plane of the parting."""
        return "arm_plane" if self.parting == "upright" else "barrel_plane"


class ShoeSet(Group):
    """One rudder shoe, as said in one file."""

    part: Literal["rudder_shoe"] = must("Kind of part")
    identity: Identity = must("Who the part is")
    units: Literal["mm", "in"] = doc("Units of bare numbers: mm (kW, kg) or in (hp, lb)", "mm")
    construction: Literal["cast", "welded"] = must("Cast in one piece, or welded from tube and plate")
    materials: ShoeMaterials = must("What things are made of")
    stock: Stock = must("The rudder stock")
    bush: Bush = must("The bush in the boss")
    boss: Boss = doc("The boss round the bush", Boss())
    plate: ShoePlate = must("The plate under the keel")
    bolts: ShoeBolts = must("The fasteners through plate and keel")
    keel: Keel = must("The keel or skeg over the plate")
    locking_screws: LockingScrews = doc("The locking screws of the bush", LockingScrews())
    rudder: Rudder = doc("The rudder over the shoe", Rudder())
    jumping_stop: JumpingStop | None = doc("What keeps the rudder from being lifted off", left_out="none is there")
    duty: ShoeDuty = doc("Speed and use of the boat", ShoeDuty())
    protection: Protection = doc("Anodes against corrosion", Protection())
    pattern: ShoeFounding = doc("The pattern of a cast shoe", ShoeFounding())
    drawing: Drawing = doc("How the sheets are drawn", Drawing())
    measured: list[MeasuredValue] = Field(
        default_factory=list, max_length=60, description="Which values were measured, and how sure they are"
    )

    # What these groups are called where a part round a propeller shaft is read.

    @property
    def shaft(self) -> Stock:
        """What turns in the bush."""
        return self.stock

    @property
    def bearing(self) -> list[Bush]:
        """The bush."""
        return [self.bush]

    @property
    def barrel(self) -> Boss:
        """The boss."""
        return self.boss

    @property
    def flange(self) -> ShoePlate:
        """The plate."""
        return self.plate

    @property
    def base(self) -> Keel:
        """The keel."""
        return self.keel

    @property
    def set_screws(self) -> LockingScrews:
        """The locking screws."""
        return self.locking_screws

    @property
    def propeller(self) -> Propeller:
        """There is none."""
        return Propeller()

    @property
    def loads(self) -> Loads:
        """No load cases of one's own."""
        return Loads()

    @property
    def spigot(self) -> None:
        """There is none."""
