"""What the founder's sheet says in sentences."""

from __future__ import annotations

from collections.abc import Sequence

from strutwright.exporters.drawing.figures import fixed
from strutwright.exporters.sheets import common, hull_face
from strutwright.exporters.sheets.context import SheetContext
from strutwright.models.geometry.casting import casting_of
from strutwright.models.geometry.flange import off_square_deg
from strutwright.models.metals import mass_kg
from strutwright.models.shop import founder, foundry
from strutwright.models.shop.draft import UNDERCUT_MM2, DraftRow
from strutwright.models.shop.founder import Heavy
from strutwright.models.shop.ribs_drawn import rib_words
from strutwright.models.shop.split_casting import split_casting
from strutwright.models.solids.casting import PatternSet
from strutwright.models.spec_flange import Flange
from strutwright.params import tables
from strutwright.params.words import Amount, read


def founder_notes(ctx: SheetContext, made: PatternSet, heavy: Sequence[Heavy], rows: Sequence[DraftRow]) -> list[str]:
    """Return the notes of the founder's sheet."""
    spec, strut = made.spec, made.strut
    edge = "palm's aft edge" if strut.palms else "flange's edge"
    rule = "" if spec.factor == 1.0 else " Measure with a plain rule: a contraction rule would add it twice."
    return [
        f"Views and the column PATTERN are pattern sizes: {spec.contraction_text()}, about the datum "
        f"({spec.contraction_note}).{rule} All other sizes are the casting's.",
        "Red, close and crossed lines: metal that is machined away. Chain lines with two dashes: finished faces. Bolt "
        "and screw holes, slots, lead-ins and steps of the bore are not in the pattern.",
        _joint_words(made, rows),
        _core_words(ctx, made),
        *_palm_words(made),
        *_curve_words(ctx, made),
        _metal_words(ctx, made),
        _weight_words(ctx, made),
        _feeding_words(ctx, heavy),
        _target_words(made),
        f"As cast to ISO 8062 {casting_of(strut).tolerance_grade}, allowance {casting_of(strut).allowance_grade}. "
        "Gates, feeders and flash ground off flush, none on a target; no welding of faults without asking. Cast or "
        f"stamp {strut.identity.number}, the hand and the heat number on the {edge}.",
        "Guidance: contraction, stock, feeding, venting and moulding are the founder's to settle.",
        common.hand_words(strut),
    ]


def figure_notes(ctx: SheetContext, made: PatternSet) -> list[str]:
    """Return the notes of the pattern in figures."""
    has_fin = made.strut.skeg is not None
    lower = " or the fin's lower edge" if has_fin else ""
    fin = " and of the skeg square to the shaft below it" if has_fin else ""
    stations = (
        f"Stations lie along the arm's axis from the shaft line{fin}: 0 % at the barrel's outside, 100 % at the "
        f"finished hull face{lower}. Sections are cut along the chord and across the arm; y is half the thickness, the "
        "same on both sides. Edges are rounded by the edge radius."
    )
    told = "Stations and ordinates are pattern sizes" if made.strut.arms else "Templates are pattern sizes"
    return [
        f"{told} in {'inches' if ctx.inch else 'mm'}, {made.spec.contraction_text()}."
        " What is measured when the casting arrives is the casting's.",
        *([stations] if made.strut.arms else []),
        "Draft: asked by the height of the face, least as measured on the pattern's mesh. The draft as colours, "
        "full-size templates and solids lie beside this sheet.",
        f"Limits of the casting: ISO 8062 {casting_of(made.strut).tolerance_grade}, half of the total either way.",
        common.hand_words(made.strut),
    ]


def _joint_words(made: PatternSet, rows: Sequence[DraftRow]) -> str:
    spec, (first, second) = made.spec, foundry.half_names(made.spec.parting, made.strut.family)
    where = (
        "in the plane of shaft and arm" if len(made.strut.arms) == 1 else "in the plane of the shaft between the arms"
    )
    if spec.parting == "barrel_plane":
        where = "through the shaft line, square to the arm's plane"
    if not made.strut.arms:
        where = f"through the shaft line, {'upright' if spec.parting == 'arm_plane' else 'level'}"
    left = ""
    if any(r.undercut_mm2 > UNDERCUT_MM2 for r in rows):
        left = " A face that OVERHANGS does not draw: loose piece, core, other joint or lost pattern, by the founder."
    cap = " The cap has a pattern of its own, on sheet 3." if made.cap else ""
    return (
        f"Joint: flat, {where}; {first} and {second} are drawn square to it. Draft leans out "
        f"from the joint and only adds metal: {read(spec.draft.note, made.strut.file_units)}; by face on sheet 2."
        f"{left}{cap}"
    )


def _palm_words(made: PatternSet) -> list[str]:
    """How the palms' hull faces lie to the shaft."""
    told: dict[str, list[str]] = {}
    flange = made.strut.flange
    if flange is not None:
        return [_flange_words(flange), *([] if made.spec.draft.none else rib_words(flange, made.pull))]
    for palm in made.strut.palms:
        up = common.set_up(palm.plane)
        side = "port" if palm.plane.tilt_deg > 0 else "starboard"
        tilt = (
            f", tilted {common.degrees(abs(palm.plane.tilt_deg))} up to {side}"
            if abs(palm.plane.tilt_deg) > 0.005
            else ""
        )
        words = f"pitched {common.degrees(palm.plane.pitch_deg)} to the shaft, fore end nearer{tilt}"
        told.setdefault(f"{words}; true angle to the shaft {common.degrees(up.true_deg)}", []).append(palm.called)
    return [f"Hull face of the {' and the '.join(names)}: {words}." for words, names in told.items()]


def _flange_words(flange: Flange) -> str:
    """How the bedding face lies to the shaft."""
    plane = flange.plane
    if plane.square:
        return f"Bedding face of the flange: square to the shaft, it looks {plane.looks}."
    lean, turn = common.degrees(plane.lean_deg), common.degrees(plane.turn_deg)
    true = common.degrees(off_square_deg(plane))
    return (
        f"Bedding face of the flange: looks {plane.looks}, off square to the shaft {lean} in profile, + upper edge "
        f"aft, and {turn} in plan, + port edge aft; {true} in all."
    )


def _curve_words(ctx: SheetContext, made: PatternSet) -> list[str]:
    """What of the palms' hull faces is cut after casting."""
    told: dict[str, list[str]] = {}
    for palm in made.strut.palms:
        if palm.curve is not None:
            most = made.spec.stock_palm_mm + palm.stands_out_mm + palm.falls_away_mm
            words = (
                f"cast plain, machined to the hull's curve after, at part size without contraction: "
                f"{hull_face.curve_words(ctx, palm)}. Stock over it {ctx.with_unit(made.spec.stock_palm_mm)} at its "
                f"highest place, {ctx.with_unit(most)} at its lowest; the line of the finished face is that of the "
                "plane that touches it in the middle. Ordinates stand on the palm's drawing and template"
            )
            told.setdefault(words, []).append(palm.called)
    return [f"Hull face of the {' and the '.join(names)}: {words}." for words, names in told.items()]


def _core_words(ctx: SheetContext, made: PatternSet) -> str:
    spec = made.spec
    if not spec.cored:
        return "Bore cast solid, no core: drilled and bored."
    split = split_casting(made.strut, spec)
    if split is not None:
        r, flat = (ctx.with_unit(spec.factor * v) for v in (spec.core_diameter_mm / 2, split.open_mm))
        return (
            f"Half-round core, radius {r}, with straight sides from the shaft line to a flat {flat} beyond it; one box "
            f"makes those of body and cap. A print of {ctx.with_unit(spec.factor * spec.print_length_mm)} at each end, "
            "and along the open side, where the core stands out of the split; no clearance in these sizes. Hold it "
            "down."
        )
    lift = foundry.core_lift_n(spec.core_diameter_mm, foundry.in_metal_mm(made.strut, spec), spec.density_kg_m3)
    return (
        f"Core Ø{ctx.with_unit(spec.factor * spec.core_diameter_mm)}, a print of "
        f"{ctx.with_unit(spec.factor * spec.print_length_mm)} at each end, no clearance between core and print in "
        f"these sizes. The metal lifts it with some {Amount(lift, 'N').read(ctx.unit)}: hold it down."
    )


def _metal_words(ctx: SheetContext, made: PatternSet) -> str:
    try:
        metal = tables.material(made.strut.material)
    except tables.NotInTable:
        return f"Metal: {made.strut.material}, with a certificate of its analysis and of a test bar of the same melt."
    strength = [
        f"{word} {Amount(value, 'MPa').read(ctx.unit)}"
        for word, value in (("tensile", metal.ultimate_mpa), ("proof", metal.yield_mpa))
        if value is not None
    ]
    if metal.elongation_percent is not None:
        strength.append(f"elongation {metal.elongation_percent:g} %")
    known = f": {', '.join(strength)} at least" if strength and metal.basis == "minimum" else ""
    return (
        f"Metal: {metal.name}, {metal.spec}. From each melt a certificate of analysis and a test bar, cast with the "
        f"strut and under its heat number{known}; confirm against the standard."
    )


def _weight_words(ctx: SheetContext, made: PatternSet) -> str:
    low, high = (common.mass_text(ctx, v) for v in founder.poured_kg(made.casting_kg))
    finished = sum(mass_kg(p.volume_mm3, p.material) or 0.0 for p in ctx.built.parts if p.kind not in common.KEPT_OUT)
    both = "of body and cap " if made.cap else ""
    part = f", finished {common.mass_text(ctx, finished)}" if finished else ""
    return (
        f"Rough casting {both}{common.mass_text(ctx, made.casting_kg)} without runners and feeders{part}. "
        f"To be melted: some {low} to {high}, as {fixed(100 * founder.YIELD[0], 0)} to "
        f"{fixed(100 * founder.YIELD[1], 0)} % of what is "
        "poured becomes casting (common practice, no source)."
    )


def _feeding_words(ctx: SheetContext, heavy: Sequence[Heavy]) -> str:
    met = [h for h in heavy if h.centre_mm is not None]
    heaviest = max(heavy, key=lambda h: h.modulus_mm)
    rule = (
        "Modulus: volume over cooled surface, a circle counted as a plate, which errs towards more feeding; feeders "
        f"{founder.FEEDER:g} times it (from memory)."
    )
    if not ctx.strut.arms:
        beside = max((h.modulus_mm for h in heavy if h.centre_mm is None), default=0.0)
        own_feed = "no wall beside it can feed it: it needs a feeder or a chill of its own"
        feed = own_feed if heaviest.modulus_mm > beside else "it feeds what it joins"
        return f"Feeding: heaviest is the {heaviest.where} (modulus {ctx.length(heaviest.modulus_mm)}); {feed}. {rule}"
    said = []
    for part in ("arm", "web", "skeg"):
        bare = [h for h in heavy if h.where.endswith(("half length", "half depth")) and part in h.where]
        own = [h for h in met if part in h.where]
        if not bare or not own:
            continue
        thin = min(bare, key=lambda h: h.modulus_mm)
        alone = [h.where for h in own if h.modulus_mm > thin.modulus_mm]
        said.append(
            f"{' and '.join(alone)} freeze{'s' if len(alone) == 1 else ''} after the {part} beside (modulus "
            f"{ctx.length(thin.modulus_mm)}): a feeder or a chill of its own each, none can be fed through the {part}"
            if alone
            else f"the {part} is heavy enough to feed what it joins"
        )
    if not said:
        return "Feed the heavy places first."
    feed = "; ".join(said)
    return f"Feeding: heaviest is {heaviest.where} (modulus {ctx.length(heaviest.modulus_mm)}); {feed}. {rule}"


def _target_words(made: PatternSet) -> str:
    on: dict[str, list[str]] = {}
    for target in founder.datum_targets(made.strut, made.spec):
        on.setdefault(target.on, []).append(target.name)
    told = "; ".join(f"{', '.join(names)} on the {where}" for where, names in on.items())
    gives = "B the turn about it, C the place fore and aft"
    if made.strut.flange is not None:
        gives = "B the place fore and aft" + (", C the turn about it" if "flange's edge" in on else "")
    return (
        f"Datum targets for the first set-up: {told}. A gives the axis, {gives}. "
        "Keep gates, feeders and flash clear of them."
    )
