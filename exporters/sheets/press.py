"""The pack's press card: how the palm that welding curls is pressed flat, arm by arm, before anything is measured.

It is the card of `straighten`, made from the curl that welding is expected to leave.
"""

from __future__ import annotations

from dataclasses import replace

from strutwright.exporters.bench import press_card as cards
from strutwright.exporters.bench.paper import capital
from strutwright.exporters.bench.press_card import TEXT_MM, Card
from strutwright.exporters.drawing.figures import fixed
from strutwright.exporters.drawing.sheet import Sheet, Table
from strutwright.exporters.sheets import common, tolerances
from strutwright.exporters.sheets.card_form import PRESS_CARD
from strutwright.exporters.sheets.context import SheetContext
from strutwright.exporters.sheets.weld import PLANE_MM
from strutwright.models import cautions
from strutwright.models.bench.straightening_case import drawn_angle_deg
from strutwright.models.shop import pressing
from strutwright.models.shop.pressing import Press, machining_stock_mm, press_case
from strutwright.params.quantity import in_file_units
from strutwright.params.words import read, say, spoken_share, spoken_times

ROW_MM, BLANKS = 7.5, 4


def press_card(ctx: SheetContext, *, index: int = 0) -> Sheet | None:
    """Return the press card of an arm's line, by the arm's place in the list; None for a cast strut, where no pressing
    is judged, and for an arm whose case is the mirror image of an earlier one's.
    """
    strut = ctx.strut
    if strut.construction != "welded":
        return None
    case = press_case(strut, strut.arms[index], ctx.limits)
    others = {
        k: pressing.alike(case, press_case(strut, arm, ctx.limits)) for k, arm in enumerate(strut.arms) if k != index
    }
    if any(same for k, same in others.items() if k < index) or not case.judged:
        return None
    both = any(others.values())
    own = f", {case.arm.called}" if others else ""
    shown = f"{own.upper()}, THE OTHER MIRRORED" if both else ""
    card = Card(
        case=case.case,
        shape=case.expected,
        push=None if case.strained_too_far else case.step.push,
        wanted_deg=drawn_angle_deg(case.palm),
    )
    doing = [] if card.push is None else [cards.steps_table(card, ctx.unit, ROW_MM)]
    sheet = ctx.sheet(
        f"Press card{', both arms' if both else own}",
        PRESS_CARD,
        cards.views(card, shown),
        face="HULL FACE",
        tables=[
            *doing,
            cards.stages_table(card, [], ctx.unit, ROW_MM, BLANKS),
            _expected(ctx, case),
            *([] if case.strained_too_far else [_bites(ctx, case)]),
            _recheck(ctx, case, both),
        ],
        notes=_press_notes(ctx, case, card, both),
        cautions=[cautions.PRESS],
        scales=common.no_larger(common.scales_between(max(case.case.size_mm), 60.0, 200.0)),
        part="",
        smallest=0,
        caution_text_mm=TEXT_MM,
        note_text_mm=TEXT_MM,
    )
    sheet.title = replace(sheet.title, short=True, remark="Guidance, see cautions. Do not scale.")
    sheet.marks = sheet.to_scale = False
    return sheet


def _force(ctx: SheetContext, force_n: float) -> str:
    value, unit = in_file_units(force_n, "N", ctx.unit)
    return f"{fixed(value / 1e3, 0)} kN" if unit == "N" else f"{value:,.0f} lbf"


def _expected(ctx: SheetContext, case: Press) -> Table:
    """What the card is made from."""
    limit = case.cold_strain
    shown = "none" if limit is None else f"{fixed(100 * limit.value, 1)} %"
    rests = "from memory" if limit is None else "the shop's own" if limit.changed else limit.standing
    strain = case.step.push.strain if case.step.push is not None else 0.0
    width = ctx.with_unit(case.width_mm)
    over = f"over {width}, this arm's half" if case.shared else f"over {width}"
    return Table(
        name="press",
        title="DO NOT PRESS COLD" if case.strained_too_far else "EXPECTED: MEASURE FIRST",
        columns=("what", "figure"),
        rows=(
            (f"curl ±50 %, {over}", cards.fine(case.curl_mm).read(ctx.unit)),
            ("surface strain", f"{fixed(100 * strain, 2)} %"),
            (f"its limit ({rests})", shown),
            ("cold pressing", "NO" if case.strained_too_far else "within the limit"),
        ),
        left=frozenset({0}),
        row_mm=ROW_MM,
        text_mm=TEXT_MM,
    )


def _bites(ctx: SheetContext, case: Press) -> Table:
    rows = []
    for press in pressing.presses_n(inch=ctx.inch):
        made = case.bites(press)
        told = f"{_force(ctx, press)} (about {fixed(press / 9806.65, 0)} t)"
        if ctx.inch:
            told = f"{fixed(press / pressing.SHORT_TON_N, 0)} short tons"
        rows.append((told, *(("too small", "") if made is None else (ctx.length(round(made[0], 1)), str(made[1])))))
    return Table(
        name="bites",
        title=f"BITES, {spoken_share(case.limit('press_share'))} of the press used",
        columns=("press", "bar", "bites"),
        rows=tuple(rows),
        row_mm=ROW_MM,
        text_mm=TEXT_MM,
    )


def _recheck(ctx: SheetContext, case: Press, both: bool) -> Table:
    """What is measured again, of each palm that the card holds for."""
    strut = ctx.strut
    half = strut.barrel.length_mm / 2
    rows: list[tuple[str, str]] = []
    for palm in strut.palms if both else [case.palm]:
        up = common.set_up(palm.plane)
        name = f"{palm.name}: " if both and len(strut.palms) > 1 else ""
        late = machining_stock_mm(strut, palm, ctx.limits, inch=ctx.inch) > 0.0
        over = "over the finished hull face" if late else "over the hull face"
        flat = f"{ctx.length(tolerances.flatness_mm(strut, palm))} at most"
        face = "hull face flat" if palm.curve is None else "water face flat, before the hull face is made to its curve"
        rows += [
            (f"{name}{face}, feeler all round", flat),
            (f"{name}shaft line {over}, aft", ctx.length(up.height_mm(-half))),
            (f"{name}shaft line {over}, forward", ctx.length(up.height_mm(half))),
            (f"{name}skew of a bar to the trace, to port", common.degrees(up.skew_deg)),
        ]
    rows += [("arm plane through the axis", f"±{ctx.length(PLANE_MM)}"), ("welds, dye penetrant", "no crack")]
    return Table(
        name="recheck",
        title="RE-CHECK, fill in",
        columns=("what", "wanted", "before", "end"),
        rows=tuple((*r, "", "") for r in rows),
        left=frozenset({0}),
        row_mm=ROW_MM,
        text_mm=TEXT_MM,
        least_mm=(0.0, 0.0, 20.0, 20.0),
    )


def _press_notes(ctx: SheetContext, case: Press, card: Card, both: bool) -> list[str]:
    f, notes = ctx.figures, []
    flat = "flat" if case.palm.curve is None else "to the hull's curve"
    if case.cold_strain is None:
        notes.append(
            "DO NOT PRESS THIS METAL COLD: it takes little bending or none, and cracks at the toe of the weld. Pre-set "
            f"the palm, or machine the hull face {flat}."
        )
    elif case.strained_too_far:
        notes.append(
            "THE EXPECTED CURL IS MORE THAN THIS METAL TAKES COLD: pre-set the palm or clamp two struts back to back "
            f"in welding, use a smaller leg, or machine the hull face {flat}."
        )
    elif case.too_strong(inch=ctx.inch):
        notes.append(
            "NO PRESS LISTED HERE IS LARGE ENOUGH if the plate is as strong as it may be: at least "
            f"{_force(ctx, case.press_needed_n)} is needed, in the shortest bites. Have it pressed where there is such "
            f"a press, or machine the hull face {flat} after welding."
        )
    if case.palm.curve is not None:
        notes.append(
            "This card is for the plate before its hull face is machined to the hull's curve: flat is asked of the "
            "water face then, and of the hull face never. Once it is machined, do not press the palm by this card."
        )
    if not case.strained_too_far:  # a card that forbids pressing tells nobody how to press
        notes += _how_to_press(ctx, case, card, both)
    notes.append(
        "The curl is a handbook estimate for mild steel"
        + (f", times {case.limit('press_curl'):g} for this metal" if case.case.family in pressing.PULLING else "")
        + "; measure the palm first and let `straighten` make this card of what you measure."
    )
    stock = machining_stock_mm(ctx.strut, case.palm, ctx.limits, inch=ctx.inch)
    if stock > 0.0:
        times = spoken_times(case.limit("press_stock"))
        bought = f"For machining the plate is bought {f.length(stock)} thicker (cut list), {times} the curl that the "
        curved = case.palm.curve is not None
        preset = "" if curved else " A palm that is to be pre-set is bought at its finished thickness."
        out = " and what the hull's curve stands out" if case.palm.stands_out_mm > 0.0 else ""
        notes.insert(
            1,
            f"{bought}thicker plate is expected to have{out}; the card is for the finished thickness. Take it off the "
            f"hull face only.{preset}",
        )
    return [*notes, common.hand_words(ctx.strut)]


def _how_to_press(ctx: SheetContext, case: Press, card: Card, both: bool) -> list[str]:
    notes = [
        "Press before the countersinks are cut; where they are cut, fill each with a turned plug of mild steel."
        if case.palm.bolt.head.conical
        else "Press before the holes are drilled: holes in the bend go oval.",
        "Control the stroke, not the force. Use parallels of mild steel at the bolts, one piece each side; press from "
        f"the middle outward; measure; then add {ctx.length(0.1)} to {ctx.length(0.2)} a stroke. Never press the arm.",
    ]
    notes += [capital(read(words, ctx.unit)) for words in cards.remarks(card)]
    strength = read(
        say(
            "forces are for a yield of {least} MPa to {most} MPa",
            least=f"{case.case.yield_mpa:.0f}",
            most=f"{case.case.yield_most_mpa:.0f}",
        ),
        ctx.unit,
    )
    notes.append(capital(strength))
    if len(ctx.strut.arms) > 1:
        mirrored = "; the card is for both arms, which are mirror images" if both else ""
        notes.append(f"Press along one arm at a time, with its own parallels{mirrored}.")
    return notes
