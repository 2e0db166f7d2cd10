"""A hanger: barrel with its split and cap, web, foot with its bolts, and what lies under the foot."""

from __future__ import annotations

import math
from dataclasses import replace

from strutwright.models import frames, rules
from strutwright.models.outline import Outline
from strutwright.models.resolve.arms import edge_radius
from strutwright.models.resolve.barrel import barrel_of, station_mm
from strutwright.models.resolve.bearing import bearing_of
from strutwright.models.resolve.bolts import bolt_of, holes_of
from strutwright.models.resolve.book import Book
from strutwright.models.resolve.duty import casting_of, duty_of
from strutwright.models.resolve.metals import Metals, metals_of
from strutwright.models.resolve.on_arms import on_arms
from strutwright.models.resolve.palm import outline_of
from strutwright.models.resolve.screws import screw_thread_of, set_screws_of
from strutwright.models.resolve.shaft import shaft_of
from strutwright.models.spec import Arm, Barrel, Bolt, Identity, Palm, PalmHole, PalmPlane, Strut
from strutwright.models.spec_boat import HullFit
from strutwright.models.spec_hanger import Cap, CapBolt, Dowels, Hanger, SplitShims, UnderFoot
from strutwright.params import tables
from strutwright.params.words import mm

TAPPED = 1.5
"""Thread of a tapped cap bolt over its diameter; common practice, no source."""


def hanger_of(book: Book, identity: Identity) -> Strut:
    """Return a hanger. Raises ParameterError with every fault found.

    >>> hanger_of(book("tunnel-hanger"), shipped("tunnel-hanger").identity).hanger.height_mm  # as said
    110.0
    """
    said, metals = book.said, metals_of(book)
    cast, thread = casting_of(book, metals.strut.name), screw_thread_of(book)
    raw = [bearing_of(book, i, metals.strut) for i in range(len(said.bearing))]
    made = book.stage(lambda: barrel_of(book, raw, thread, cast))
    barrel, bearings = made or (None, None)
    if said.shaft.bearing_span is None:
        book.missing("shaft.bearing_span", "a bearing between two others")
    plane = _plane(book)
    arm = book.stage(lambda: _web(book, book.need(barrel)))
    bolt, shape = bolt_of(book, metals.bolts), outline_of(book, "foot.outline")
    palm = book.stage(lambda: _foot(book, book.need(barrel), book.need(arm), plane, book.need(bolt), book.need(shape)))
    cap = book.stage(lambda: _cap(book, book.need(barrel)))
    # A cap holds its bearing; screws are then for who asks for them.
    held = said.cap is not None and said.set_screws.positions is None
    screws = () if held else book.stage(lambda: set_screws_of(book, barrel, bearings, thread))
    duty, shaft = duty_of(book), shaft_of(book, metals.shaft)
    under = _under(book)
    book.closed()
    on_web = on_arms(
        book,
        identity,
        metals.strut.name,
        hull=_bed(book, metals, plane),
        shaft=shaft,
        barrel=barrel,
        bearings=bearings,
        arms=(book.need(arm),),
        palms=(book.need(palm),),
        screws=screws,
        skeg=None,
        duty=duty,
        cast=cast,
    )
    hanger = Hanger(
        stands=said.foot.stands,
        height_mm=said.foot.height,
        turned_deg=said.foot.skew.turned,
        aft_span_mm=said.line.aft,
        water=said.line.water,
        cap=cap,
        under=under,
    )
    return replace(on_web, hanger=hanger)


def _plane(book: Book) -> PalmPlane:
    said = book.said.foot
    lean, tilt = said.skew.profile, said.skew.across
    slant = math.sqrt(1.0 + math.tan(math.radians(lean)) ** 2 + math.tan(math.radians(tilt)) ** 2)
    drop = said.height * slant
    book.derived("foot.square_to_shaft", drop, "height of the shaft line over the bedding face, by the foot's skew")
    return PalmPlane(drop_mm=drop, pitch_deg=lean, tilt_deg=tilt)


def _bed(book: Book, metals: Metals, plane: PalmPlane) -> HullFit:
    said = book.said
    return HullFit(
        shaft_to_waterline_deg=math.nan,
        shaft_to_hull_deg=plane.pitch_deg,
        shaft_to_palm_deg=frames.shaft_to_palm_deg(plane.pitch_deg, plane.tilt_deg),
        run_deg=0.0,
        deadrise_deg=0.0,
        drop_vertical_mm=math.nan,
        drop_square_to_shaft_mm=plane.drop_mm,
        drop_square_to_hull_mm=said.foot.height,
        trace_to_projection_deg=frames.trace_to_projection_deg(plane.pitch_deg, plane.tilt_deg),
        thickness_mm=said.base.thickness,
        material=metals.hull,
        isolated=said.base.isolated,
        run_known=False,
    )


def _web(book: Book, barrel: Barrel) -> Arm:
    said, foot = book.said.web, book.said.foot
    long, thick = said.length, said.thickness
    long_foot = book.take("web.length_at_foot", long, "as at the barrel")
    thick_foot = book.take("web.thickness_at_foot", thick, "as at the barrel")
    for name, c, t in (("length", long, thick), ("length_at_foot", long_foot, thick_foot)):
        if t > c:
            book.fault(f"web.{name}", "is smaller than the thickness", "check both", given=c, at_least=t)
    edge = edge_radius(book, "web.edge_radius", "flat", said.edge_radius, min(thick, thick_foot))
    place = said.position
    if place is None:
        station = book.derived("web.station", barrel.length_mm / 2, "mid-barrel")
    else:
        station = station_mm(place.end, place.distance, barrel.length_mm)
        book.given("web.station", station, said_at="web.position")
    return Arm(
        name="web",
        clock_deg=0.0,
        rake_deg=0.0,
        station_mm=station,
        toe_deg=0.0,
        aligned_with="shaft",
        shape="flat",
        chord_barrel_mm=long,
        thickness_barrel_mm=thick,
        chord_palm_mm=long_foot,
        thickness_palm_mm=thick_foot,
        edge_radius_mm=edge,
        barrel_root_mm=_root(book, "barrel", thick, barrel.wall_mm),
        palm_root_mm=_root(book, "foot", thick_foot, foot.thickness),
        palm_index=0,
    )


def _root(book: Book, at: str, thick_mm: float, neighbour_mm: float) -> float:
    """The fillet of a cast hanger or the leg of a welded one, mm."""
    said = book.said.web.root_fillet
    if book.cast:
        if book.loaded.says("welds"):
            book.fault("welds", "belongs to a welded hanger", "remove it, or set `construction: welded`")
        usual = rules.up_mm(rules.fillet_mm(thick_mm, neighbour_mm, book.limits), book.half_mm)
        return float(book.take(f"web.root_fillet.{at}", usual, "in proportion to the thinner neighbour"))
    if getattr(said, at) is not None:
        book.fault(f"web.root_fillet.{at}", "belongs to a cast hanger", f"give `welds.web_to_{at}_leg` instead")
    share = rules.leg_share(book.said.welds.prep)
    usual = rules.leg_mm(thick_mm, neighbour_mm, share, inch=book.inch)
    rule = f"{share:g} of the thinner neighbour, at least the table's least leg"
    return float(book.take(f"welds.web_to_{at}_leg", usual, rule))


def _foot(book: Book, barrel: Barrel, web: Arm, plane: PalmPlane, bolt: Bolt, shape: Outline) -> Palm:
    said = book.said.foot
    x = barrel.x(web.station_mm)
    high = plane.drop_mm - x * math.tan(math.radians(plane.pitch_deg))
    # The plate is not to reach the barrel: the checks hold the room, this what cannot be built.
    least = barrel.outside_mm / 2 + said.thickness
    if high <= least:
        book.fault("foot.height", "brings the foot into the barrel", "make it more", given=mm(high), over=mm(least))
    middle = (said.offset.forward, said.offset.port)
    holes = holes_of(book, shape, middle)
    return Palm(
        name="foot",
        plane=plane,
        zero_mm=(x, 0.0, high),
        axes="trace",
        axes_deg=said.skew.turned,
        thickness_mm=said.thickness,
        outline=shape.translate(*middle),
        bevel_width_mm=0.0,
        bevel_height_mm=0.0,
        bolt=bolt,
        holes=tuple(PalmHole(number=n + 1, u_mm=u, v_mm=v) for n, (u, v) in enumerate(holes)),
    )


def _under(book: Book) -> UnderFoot:
    said = book.said.under_foot
    if said.kind == "none":
        for name in ("thickness", "least", "most"):
            if getattr(said, name):
                book.no_meaning(f"under_foot.{name}", "a foot that lies on its bed")
    least = float(book.take("under_foot.least", said.thickness, "as the thickness"))
    most = float(book.take("under_foot.most", said.thickness, "as the thickness"))
    if not least - 1e-9 <= said.thickness <= most + 1e-9:
        what, given = "is not between `least` and `most`", mm(said.thickness)
        book.fault("under_foot.thickness", what, "bring the three together", given=given)
    return UnderFoot(
        kind=said.kind,
        thickness_mm=said.thickness,
        least_mm=least,
        most_mm=most,
        bed_within_mm=said.bed_within,
        bore_within_mm=said.bore_within,
        line_within_mm=said.line_within,
    )


def _cap(book: Book, barrel: Barrel) -> Cap | None:
    said = book.said.cap
    if said is None:
        return None
    long = float(book.take("cap.ear_length", barrel.length_mm, "as the barrel"))
    if long > barrel.length_mm + 1e-9:
        book.fault("cap.ear_length", "is longer than the barrel", "make it shorter", given=mm(long))
    half = barrel.length_mm / 2
    start, end = half - long / 2, half + long / 2
    shims = said.shims
    if shims is not None and shims.taken_out > shims.count:
        given = str(shims.taken_out)
        book.fault("cap.shims.taken_out", "is more than there are", "take out fewer", given=given)
    gap = 0.0 if shims is None else shims.count * shims.thickness
    if gap / 2 >= said.ear_thickness:
        book.fault("cap.shims.count", "leave nothing of the ears", "fewer shims, or thicker ears", given=mm(gap))
    if said.ear_out <= barrel.outside_mm / 2:
        what, over = "does not reach out of the barrel", mm(barrel.outside_mm / 2)
        book.fault("cap.ear_out", what, "make it more", given=mm(said.ear_out), over=over)
    if said.ear_thickness >= barrel.outside_mm / 2:
        what, under = "is more than half the barrel", mm(barrel.outside_mm / 2)
        book.fault("cap.ear_thickness", what, "make it less", given=mm(said.ear_thickness), under=under)
    bolt = _cap_bolt(book, start, end)
    if bolt is None:
        return None
    return Cap(
        clock_deg=180.0 - said.turned if said.turned >= 0 else -180.0 - said.turned,
        ear_out_mm=said.ear_out,
        ear_thickness_mm=said.ear_thickness,
        ear_from_mm=start,
        ear_to_mm=end,
        bolt=bolt,
        dowels=_dowels(book, bolt, start, end, gap),
        shims=None
        if shims is None
        else SplitShims(
            count=shims.count, thickness_mm=shims.thickness, material=shims.material, taken_out=shims.taken_out
        ),
    )


def _cap_bolt(book: Book, start: float, end: float) -> CapBolt | None:
    said = book.said.cap.bolts
    thread = book.table("cap.bolts.size", "threads", tables.thread, said.size)
    hole = book.table("cap.bolts.size", "clearance holes", tables.clearance_hole_mm, said.size, "medium")
    nut = book.table("cap.bolts.size", "nuts", tables.nut_and_washer, said.size)
    if thread is None or hole is None or nut is None:
        return None
    count = said.on_each_side
    head = nut.washer_outside_mm
    first = float(book.take("cap.bolts.from_end", (end - start) / (4 if count > 1 else 2), "a quarter of the ears"))
    if count > 1 and first >= (end - start) / 2:
        what, under = "brings the bolts past each other", mm((end - start) / 2)
        book.fault("cap.bolts.from_end", what, "make it less", given=mm(first), under=under)
    low, high = start + first, end - first
    stations = [(start + end) / 2] if count == 1 else [low + k * (high - low) / (count - 1) for k in range(count)]
    engaged = None
    if said.hold == "tapped":
        usual = float(rules.up_mm(TAPPED * thread.major_mm, book.whole_mm))
        engaged = float(book.take("cap.bolts.engaged", usual, f"{TAPPED:g} diameters; common practice"))
    elif said.engaged is not None:
        book.no_meaning("cap.bolts.engaged", "through bolts")
    return CapBolt(
        size=said.size,
        major_mm=thread.major_mm,
        pitch_mm=thread.pitch_mm,
        tap_drill_mm=thread.tap_drill_mm,
        stress_mm2=thread.stress_area_mm2,
        hole_mm=hole,
        head_mm=max(head, nut.across_corners_mm),
        out_mm=said.out,
        stations_mm=tuple(stations),
        engaged_mm=engaged,
    )


def _dowels(book: Book, bolt: CapBolt, start: float, end: float, gap: float) -> Dowels | None:
    said = book.said.cap.dowels
    if said is None:
        return None
    out = float(book.take("cap.dowels.out", bolt.out_mm, "as the bolts"))
    into = float(book.take("cap.dowels.into", said.diameter, "its diameter"))
    at = bolt.stations_mm
    # Half-way between bolts, or beside the one that there is.
    middle = (at[0] + at[1]) / 2 if len(at) > 1 else (start + at[0]) / 2
    stations: tuple[float, ...] = (middle,) if said.on_each_side == 1 else (middle, start + end - middle)
    if said.on_each_side == 2 and abs(stations[0] - stations[1]) < said.diameter:
        stations = ((start + at[0]) / 2, (end + at[-1]) / 2)
    return Dowels(diameter_mm=said.diameter, out_mm=out, stations_mm=stations, into_mm=into)
