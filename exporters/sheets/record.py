"""The inspection record: numbered characteristics with their limits, and room for what is measured."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from strutwright.exporters.drawing.figures import Figures
from strutwright.exporters.drawing.sheet import Sheet, Table
from strutwright.exporters.sheets import common, flange_cut, hull_face, made_barrel, skeg, tolerances
from strutwright.exporters.sheets.context import SheetContext
from strutwright.exporters.sheets.set_up import bar_stations, bar_words
from strutwright.exporters.sheets.tolerances import CLOCK_DEG, DIMPLE_MM
from strutwright.models import cautions, weights
from strutwright.models.bench.inspection import Asks, Row, coded, palm_code
from strutwright.models.inputs import Inputs
from strutwright.models.spec import Palm, Plate
from strutwright.models.spec_flange import Flange
from strutwright.models.spec_hanger import Cap
from strutwright.models.spec_let_in import LetIn
from strutwright.params import tables

ROW_MM, LEFT_ROWS = 6.0, 60
CLOSE_MM, CLOSE_ROWS = 5.0, 51
"""Closer rows, with which so many go on the next smaller sheet."""
ARM_PLANE_MM = 1.0
"""Arm's middle off the axis; common practice, no source."""


def inspection_record(ctx: SheetContext) -> Sheet:
    """Return the inspection record: numbered characteristics with their limits, and room for what is measured."""
    columns = ("no.", "characteristic", "nominal", "lower", "upper", "measured", "instrument", "by", "date")
    rows = [
        (str(k), r.what, r.nominal, r.lower, r.upper, "", r.instrument, "", "")
        for k, r in enumerate(record_rows(ctx), 1)
    ]
    left = LEFT_ROWS if len(rows) <= LEFT_ROWS else -(-len(rows) // 2)
    first = Table(
        name="first",
        title="INSPECTION RECORD",
        columns=columns,
        rows=tuple(rows[:left]),
        left=frozenset({1}),
        row_mm=CLOSE_MM if len(rows) <= CLOSE_ROWS else ROW_MM,
        least_mm=(7.0, 40.0, 14.0, 13.0, 13.0, 17.0, 14.0, 9.0, 14.0),
        corner="top left",
    )
    # What one table as high as the sheet does not hold stands in two of a length.
    rest, title = tuple(rows[left:]), f"{first.title}, CONTINUED"
    over = replace(first, name="second", title=title, rows=rest, corner="top right")
    return ctx.sheet(
        "Inspection record",
        "Inspection record",
        [],
        mass=common.strut_mass(ctx),
        tables=[t for t in (first, over) if t.rows],
        notes=[
            f"Lengths in {'inches' if ctx.inch else 'mm'}. {_places_words(ctx)}; the limit is the diameter of the "
            "zone.",
            *hull_face.on_plate(ctx, ctx.strut.palms),
            "Limits of form, place and angle are common practice; the owner or surveyor may ask for others.",
        ],
        cautions=[cautions.STRUCTURE],
        smallest=1,
    )


def _places_words(ctx: SheetContext) -> str:
    if ctx.strut.let_in is not None:
        return "Stations from the aft face; clock angles from up, positive toward port"
    if ctx.strut.flange is not None:
        return "Holes: up and to port in the flange's face, from the shaft line"
    return (
        f"Bar heights: {bar_words(ctx)}, hull face down on a plate. Holes: palm axes, forward and to port from the "
        "palm's zero"
    )


def record_rows(ctx: SheetContext) -> list[Row]:
    """Return the characteristics in the order of the record."""
    make, strut = _Rows(ctx), ctx.strut
    return [
        _told("hand", "hand", common.hand_name(strut), "skew of test bar" if common.has_skew(strut) else "by eye"),
        *_bores(make),
        *_bearings(make),
        *_barrel(make),
        *(
            row
            for palm in strut.palms
            for row in _palm(make, palm, common.palm_label(palm, strut) or "palm", palm_code(strut, palm))
        ),
        *([] if strut.flange is None else _flange(make, strut.flange)),
        *([] if strut.let_in is None else _let_in(make, strut.let_in)),
        *([] if strut.hanger is None or strut.hanger.cap is None else _split(make, strut.hanger.cap)),
        *_arms(make),
        *_screws(make),
        *_heel(make),
        *_whole(make),
    ]


def _told(code: str, what: str, nominal: str, instrument: str, asks: Asks = "words") -> Row:
    """What is told in words, or measured without limits."""
    return Row(what, nominal, "", "", instrument, code, asks)


def _zone(code: str, what: str, upper: str, instrument: str) -> Row:
    """A deviation from nought up to a limit."""
    return Row(what, "0", "", upper, instrument, code, "length")


@dataclass(frozen=True, slots=True)
class _Rows:
    """Rows in the figures of the sheet; lengths in mm, angles in degrees."""

    ctx: SheetContext

    @property
    def fine(self) -> Figures:
        """Figures of what is made to thousandths."""
        return replace(self.ctx.figures, decimals=4 if self.ctx.inch else 3)

    def size(
        self, code: str, what: str, nominal: float, off: tuple[float, float], instrument: str, *, fine: bool = False
    ) -> Row:
        """A length with its lower and upper deviation."""
        f = self.fine if fine else self.ctx.figures.like(nominal)
        low, high = (f.length(nominal + d) for d in off)
        return Row(what, f.length(nominal), low, high, instrument, code, "length")

    def near(self, code: str, what: str, nominal: float, off_mm: float, instrument: str) -> Row:
        """A length with one deviation both ways."""
        return self.size(code, what, nominal, (-off_mm, off_mm), instrument)

    def general(self, code: str, what: str, nominal: float, instrument: str) -> Row:
        """A length with the general tolerance of the title block."""
        return self.near(code, what, nominal, tolerances.general_tolerance_mm(self.ctx, nominal), instrument)

    def as_made(self, code: str, what: str, nominal: float, instrument: str) -> Row:
        """A length with a side as cast."""
        return self.near(code, what, nominal, tolerances.as_made_tolerance_mm(self.ctx, nominal), instrument)

    def angle(self, code: str, what: str, nominal: float, off_deg: float, instrument: str) -> Row:
        """An angle with one deviation both ways."""
        low, high = (common.degrees(nominal + d) for d in (-off_deg, off_deg))
        return Row(what, common.degrees(nominal), low, high, instrument, code, "angle")


def _bores(make: _Rows) -> Iterator[Row]:
    ctx, bores = make.ctx, made_barrel.seats(make.ctx.strut)
    for n, bore in enumerate(bores, 1):
        for where in _gauged(bore):
            for way in ("up and down", "athwart"):
                off, code = (bore.lower_mm, bore.upper_mm), f"bore{n}.gauged.{coded(where)}.{coded(way)}"
                yield make.size(code, f"{bore.name}, {where}, {way}", bore.diameter_mm, off, "bore gauge", fine=True)
    for n, bore in enumerate(bores, 1):
        most = tolerances.close_words(ctx, bore.cylindricity_mm)
        yield _zone(f"bore{n}.cylindricity", f"{bore.name}, cylindricity", most, "from gauged")
    if len(bores) > 1:
        most = f"Ø{tolerances.close_words(ctx, made_barrel.seats_coaxial_mm(ctx.strut))}"
        yield _zone("bore2.coaxiality", f"{bores[1].name} to {bores[0].name}, coaxiality", most, "bar, dial gauge")


def _gauged(bore: made_barrel.Seat) -> list[str]:
    """Where a bore is gauged: on the lengths that carry a bearing, not in a relief between them."""
    if len(bore.lengths) == 1:
        return ["aft", "middle", "forward"]
    names = ["aft length", *("middle length" for _ in bore.lengths[2:]), "forward length"]
    return [f"{name}, {end}" for name in names for end in ("aft", "forward")]


def _bearings(make: _Rows) -> Iterator[Row]:
    strut = make.ctx.strut
    for k, b in enumerate(strut.bearings):
        name, own = common.bearing_name(strut, k), f"bearing{k + 1}"
        if b.measured_mm is not None:
            size = f"Ø{make.fine.length(b.measured_mm)}"
            yield _told(f"{own}.outside", f"{name}, outside, as measured", size, "micrometer", "length")
        else:
            off = b.outside_lower_mm, b.outside_upper_mm
            yield make.size(f"{own}.outside", f"{name}, outside", b.outside_mm, off, "micrometer", fine=True)
        least, most = (make.fine.length(v) for v in made_barrel.interference_mm(strut, b))
        what = f"{name}, interference (- = clearance)"
        yield Row(what, "", least, most, "calculated", f"{own}.interference", "length")
        yield make.general(f"{own}.station", f"{name}, aft end from aft face", b.aft_station_mm, "depth gauge")


def _barrel(make: _Rows) -> Iterator[Row]:
    ctx, strut, b = make.ctx, make.ctx.strut, make.ctx.strut.barrel
    yield make.general("barrel.length", "barrel, length", b.length_mm, "calliper")
    bought = made_barrel.tube_as_bought(strut)
    if strut.let_in is not None:
        pass  # seat by seat
    elif bought is None:
        yield make.as_made("barrel.outside", "barrel, outside", b.outside_mm, "calliper")
    else:
        yield make.near("barrel.outside", "barrel, outside, tube", b.outside_mm, bought.outside_off_mm, "calliper")
    coaxial = f"Ø{tolerances.tolerance_words(ctx, made_barrel.coaxial_mm(ctx))}"
    yield _zone("barrel.coaxiality", "barrel, outside to bore, coaxiality", coaxial, "wall gauge")
    carrying = [s.step for s in made_barrel.seats(strut)]
    for n, step in enumerate(b.steps, 1):
        if any(own is step for own in carrying):
            continue
        yield make.general(f"step{n}.diameter", f"{step.kind}, diameter", step.diameter_mm, "inside calliper")
        for where, station in (("aft", step.from_station_mm), ("forward", step.to_station_mm)):
            if 1e-6 < station < b.length_mm - 1e-6:
                what = f"{step.kind}, {where} end from the aft face"
                yield make.general(f"step{n}.{where}_end", what, station, "depth gauge")
    if b.slots is not None:
        s = b.slots
        yield make.general("slots.station", "slots, centre from the aft face", s.centre_station_mm, "calliper")
        yield make.general("slots.width", "slots, width", s.width_mm, "calliper")
        yield make.general("slots.length", "slots, length", max(s.length_mm, s.width_mm), "calliper")
        yield _told("slots.count", "slots, how many, equally spaced", str(s.count), "eye")
        yield make.angle("slots.clock", "slots, clock of the first", s.first_clock_deg, CLOCK_DEG, "protractor")
    walls = (ctx.length(made_barrel.wall_mm(strut)), ctx.length(made_barrel.least_wall_mm(ctx)))
    what = f"barrel, least wall{made_barrel.wall_where(strut)}"
    yield Row(what, *walls, "", "wall gauge", "barrel.wall", "length")


def _palm(make: _Rows, palm: Palm, name: str, own: str) -> Iterator[Row]:
    """own: the palm's name in the codes."""
    ctx, strut, lies = make.ctx, make.ctx.strut, common.set_up(palm.plane)
    near, off_deg = tolerances.place_mm(ctx), tolerances.palm_angle_tolerance_deg(strut)
    for where, x in bar_stations(strut):
        if x:
            yield make.near(
                f"{own}.height.{coded(where)}", f"{name}, bar height {where}", lies.height_mm(x), near, "height gauge"
            )
    forward, port = common.palm_place_mm(strut, palm)
    what = f"{name}, zero forward of the aft face, along the shaft"
    yield make.near(f"{own}.zero_forward", what, forward, near, "plate, square")
    yield make.near(f"{own}.zero_port", f"{name}, zero to port of the bore's axis", port, near, "plate, square")
    for code, what, value, tool in (
        ("pitch", "pitch to bore", palm.plane.pitch_deg, "from heights"),
        ("tilt", "tilt along bore", palm.plane.tilt_deg, "from heights"),
        ("true", "true angle to bore", lies.true_deg, "from heights"),
        ("skew", "skew, trace to bar (+ port)", lies.skew_deg, "square, rule"),
    ):
        yield make.angle(f"{own}.{code}", f"{name}, {what}", value, off_deg, tool)
    flat = tolerances.tolerance_words(ctx, tolerances.flatness_mm(strut, palm))
    tool = "feelers, plate" if palm.curve is None else "feelers, curve template"
    yield _zone(f"{own}.flatness", f"{name}, {hull_face.form_words(palm)}", flat, tool)
    middle = "" if palm.curve is None else " in the middle"
    yield make.as_made(f"{own}.thickness", f"{name}, thickness{middle}", palm.thickness_mm, "calliper")
    yield from _holes(make, palm, name, own, [(h.number, h.u_mm, h.v_mm) for h in palm.holes])


def _holes(make: _Rows, palm: Plate, name: str, own: str, places: Sequence[tuple[int, float, float]]) -> Iterator[Row]:
    """The holes of what is bolted down. places: their numbers and where they are told to be."""
    ctx, strut, bolt = make.ctx, make.ctx.strut, palm.bolt
    wider = 0.0, tolerances.general_tolerance_mm(ctx, bolt.hole_mm)
    yield make.size(f"{own}.holes", f"{name}, bolt holes, diameter", bolt.hole_mm, wider, "plug gauge")
    if bolt.head.recess:
        wider = 0.0, tolerances.general_tolerance_mm(ctx, bolt.head_diameter_mm)
        what = f"{name}, {bolt.head.recess}, diameter"
        yield make.size(f"{own}.heads", what, bolt.head_diameter_mm, wider, "calliper")
        what = f"{name}, bolt tried in hole, head flush or below"
        yield Row(what, "flush", "", "0", "straight edge", f"{own}.flush", "length")
    zone = f"Ø{tolerances.tolerance_words(ctx, tolerances.hole_position_mm(strut))}"
    for number, first, second in places:
        place = f"{ctx.length(first)}, {ctx.length(second)}"
        yield _zone(f"{own}.hole{number}", f"{name}, hole {number} at {place}", zone, "jig, calliper")


def _flange(make: _Rows, flange: Flange) -> Iterator[Row]:
    ctx, strut, own, s = make.ctx, make.ctx.strut, "flange", flange.spigot
    station = flange.plane.station_mm
    yield make.general(f"{own}.station", "bedding face from the aft face, on the shaft line", station, "depth gauge")
    form = "perpendicularity" if flange.plane.square else "angularity"
    most = tolerances.tolerance_words(ctx, tolerances.SQUARE_MM)
    yield _zone(f"{own}.true", f"bedding face to the bore, {form}", most, "mandrel, dial gauge")
    flat = tolerances.tolerance_words(ctx, tolerances.flatness_mm(strut, flange))
    yield _zone(f"{own}.flatness", "bedding face, flatness", flat, "feelers, plate")
    yield make.as_made(f"{own}.thickness", "flange, thickness", flange.thickness_mm, "calliper")
    port = -1.0 if flange.plane.looks == "forward" else 1.0
    places = [(h.number, h.u_mm, port * h.v_mm + 0.0) for h in flange.holes]
    yield from _holes(make, flange, "flange", own, places)
    if s is not None:
        off = flange_cut.spigot_off_mm(flange)
        if off is None:
            yield make.general("spigot.outside", "spigot, outside", s.outside_mm, "micrometer")
        else:
            yield make.size("spigot.outside", "spigot, outside", s.outside_mm, off[::-1], "micrometer")
        yield make.general("spigot.bore", "spigot, bore", s.bore_mm, "inside calliper")
        yield make.general("spigot.length", "spigot, length from the bedding face", s.length_mm, "calliper")
    gasket = flange.gasket
    if gasket is not None and gasket.recess_mm > 0:
        yield make.general(f"{own}.recess", "recess, diameter", gasket.recess_mm, "calliper")
        yield make.general(f"{own}.recess_depth", "recess, depth", gasket.recess_depth_mm, "depth gauge")


def _let_in(make: _Rows, it: LetIn) -> Iterator[Row]:
    """The housing's outside, and with it in its place the hole and what the bore has become."""
    for k, seat in enumerate(it.seats, 1):
        off = (seat.outside_lower_mm, seat.outside_upper_mm)
        yield make.size(f"seat{k}.outside", f"seat {k}, outside", seat.outside_mm, off, "micrometer", fine=True)
        if k > 1:
            station = seat.from_station_mm if it.inward > 0 else seat.to_station_mm
            inward = abs(station - it.mouth_mm) + it.stands_out_mm
            yield make.general(f"seat{k}.station", f"seat {k}, outer end from the outer face", inward, "depth gauge")
        off = (seat.hole_lower_mm, seat.hole_upper_mm)
        yield make.size(f"seat{k}.hole", f"seat {k}, hole in the structure", seat.hole_mm, off, "bore gauge", fine=True)
    if it.collar is not None:
        yield make.general("collar.diameter", "collar, diameter", it.collar.diameter_mm, "calliper")
        yield make.general("collar.thickness", "collar, thickness", it.collar.thickness_mm, "calliper")
    for s in it.locking:
        name, code = f"locking screw {s.number}", f"lock{s.number}"
        yield make.general(f"{code}.station", f"{name}, station", s.station_mm, "calliper")
        yield make.angle(f"{code}.clock", f"{name}, clock", s.clock_deg, CLOCK_DEG, "protractor")
        yield make.size(f"{code}.dimple", f"{name}, dimple depth", s.bite_mm, (-DIMPLE_MM, 0.0), "depth gauge")
    if it.drawing is not None:
        words = f"{it.drawing.count} x {it.drawing.thread}"
        what = f"drawing holes, thread gauge {tables.tapped_class(it.drawing.thread)}"
        yield _told("draw.holes", what, words, "thread gauge")
    for n, bore in enumerate(made_barrel.seats(make.ctx.strut), 1):
        off, what = (bore.lower_mm, bore.upper_mm), f"{bore.name}, once the housing is in its place"
        yield make.size(f"let_in.bore{n}", what, bore.diameter_mm, off, "bore gauge", fine=True)


def _split(make: _Rows, cap: Cap) -> Iterator[Row]:
    """The split of a hanger's barrel: how its halves lie together, its shims, its bolts and dowels."""
    ctx, bolt = make.ctx, cap.bolt
    most = tolerances.tolerance_words(ctx, tolerances.SPLIT_FLAT_MM)
    yield _zone("split.flat", "split, cap down without shims, feeler that enters", most, "feelers")
    if cap.shims is not None:
        words = f"{cap.shims.count} x {ctx.with_unit(cap.shims.thickness_mm)}"
        yield _told("split.shims", "shims of the split, on each side, when the bore is machined", words, "micrometer")
    if cap.dowels is not None:
        words = f"Ø{ctx.length(cap.dowels.diameter_mm)}"
        yield _told("split.dowels", "dowels, tight in the body, cap on by hand", words, "by hand")
    held = "thread" if bolt.engaged_mm is not None else "hole"
    yield _told("split.bolts", f"cap bolts, {held} and seat square to the split", bolt.size, "by eye")


def _arms(make: _Rows) -> Iterator[Row]:
    ctx = make.ctx
    word = "fillets" if ctx.strut.construction == "cast" else "weld legs"
    for n, arm in enumerate(ctx.strut.arms, 1):
        name, roots = arm.called, f"{ctx.length(arm.barrel_root_mm)} / {ctx.length(arm.palm_root_mm)}"
        most = tolerances.tolerance_words(ctx, ARM_PLANE_MM)
        yield _zone(f"arm{n}.plane", f"{name}, middle to bore axis", most, "height gauge")
        yield _told(f"arm{n}.roots", f"{name}, {word}, barrel / palm", roots, "gauge")


def _screws(make: _Rows) -> Iterator[Row]:
    strut = make.ctx.strut
    for s in strut.set_screws:
        bearing = strut.bearings[s.bearing_index]
        aft, fore = s.station_mm - bearing.aft_station_mm, bearing.forward_station_mm - s.station_mm
        end, value = ("aft", aft) if aft <= fore else ("forward", fore)
        yield make.general(f"screw{s.number}.station", f"screw {s.number}, from bearing's {end} end", value, "calliper")
        yield make.angle(f"screw{s.number}.clock", f"screw {s.number}, clock", s.clock_deg, CLOCK_DEG, "protractor")
        off, what = (-DIMPLE_MM, 0.0), f"screw {s.number}, dimple depth"
        yield make.size(f"screw{s.number}.dimple", what, s.dimple_depth_mm, off, "depth gauge")
    if strut.set_screws:
        threads = ", ".join(sorted({s.thread for s in strut.set_screws}))
        classes = " or ".join(sorted({tables.tapped_class(s.thread) for s in strut.set_screws}))
        yield _told("screws.thread", f"set screws, thread gauge {classes}", threads, "thread gauge")


def _heel(make: _Rows) -> Iterator[Row]:
    strut = make.ctx.strut
    heel = strut.skeg.heel if strut.skeg is not None else None
    if heel is None:
        return
    for n, (what, symbol, diameter) in enumerate(skeg.bores(heel), 1):
        fit = tolerances.class_limits_mm(symbol, diameter)
        if fit is None:
            yield _told(f"heel.bore{n}", what, f"Ø{make.fine.length(diameter)}", "bore gauge", "length")
        else:
            yield make.size(f"heel.bore{n}", what, diameter, (fit[1], fit[0]), "bore gauge", fine=True)
    x, y, z = heel.centre_mm
    for code, what, value in (
        ("abaft", "abaft the aft face", -x - strut.barrel.length_mm / 2),
        ("below", "below the shaft line", -z),
        ("port", "off the shaft line, to port", y),
    ):
        yield make.near(f"heel.{code}", f"heel, centre {what}", value, skeg.POSITION_MM / 2, "rule")
    stock = skeg.stock_angle_deg(heel)
    yield make.angle("heel.angle", "heel, bore to the shaft line", stock, skeg.DIRECTION_DEG, "bar, protractor")


def _whole(make: _Rows) -> Iterator[Row]:
    """Of the whole part: soundness, the bearing, mass, papers and marks."""
    strut, limit = make.ctx.strut, make.ctx.limits
    made = "welded" if strut.heated else strut.construction
    seams = {"welded": "welds", "cast": "casting", "turned": "surfaces"}[made]
    yield _told("whole.sound", f"{seams}, by eye and dye penetrant", "no cracks", "eye, dye")
    d = strut.shaft.diameter_mm
    clearance = max(limit["clearance_least"].value * d, limit["clearance_floor"].value)
    bar = f"Ø{make.fine.length(d + clearance)}"
    yield _told("whole.test_bar", "bearing fitted: test bar, shaft plus least clearance", bar, "bar passes")
    yield _told("whole.weight", "weight", _mass(make.ctx), "scale", "mass")
    yield _told("whole.certificate", "material certificate number", strut.material, "paper")
    yield _told("whole.marking", "marking: drawing, revision, hand", strut.identity.number, "eye")


def _mass(ctx: SheetContext) -> str:
    """The mass of the built strut; where none is built, by its geometry."""
    if ctx.built.parts:
        return common.strut_mass(ctx)
    return common.mass_text(ctx, float(weights.weight_kg(Inputs.from_strut(ctx.strut))))
