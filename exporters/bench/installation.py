"""The installation sheet: what the yard holds to, with room for how the strut was fitted and for the first trial."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import replace

from strutwright.exporters.bench.blank import SINGLE, Form, form_of
from strutwright.exporters.bench.paper import Imprint, broken, one_page, packed, paged, to_sign, work_sheet
from strutwright.exporters.drawing.figures import Figures
from strutwright.exporters.drawing.sheet import Sheet, Table
from strutwright.models import cautions
from strutwright.models.bench import installation
from strutwright.models.bench.installation import Stand, Told, figure, figure_least
from strutwright.models.finding import Finding
from strutwright.models.shop import bolting
from strutwright.models.spec import Strut
from strutwright.params.bench.installation import AsFitted
from strutwright.params.quantity import FileUnits
from strutwright.params.words import read

_TITLE = "Installation"
_RUNS, _MOST_RUNS = 8, 24
"""Lines for the trial, at least and at most."""
_HEARD_MM = 50.0
_GIVEN_ROW_MM = 3.9
"""Height of the rows of figures that are given."""
_LONG = 10
"""More holes than these stand in two halves."""
_CLOSE_MM = (42.0, 72.0, 39.0)
"""How wide what, found and limit are where bolts stand together."""
_BOLT = re.compile(r"bolt in hole (?P<number>\d+)(?P<palm> of the [^,]+)?, (?P<what>.+)\Z")
_QUARTERS = ("top", "port", "bottom", "starboard")
_ORDER = (Stand.OUT, Stand.LOOK, Stand.IN, Stand.NOTED)

DRY_FIT = (
    "Dry fit first, the strut loose on the real or a dummy shaft that is centred in the log: it takes its own place.",
    "Mark the trace of the shaft's vertical plane on the hull by string and plumb, mark the holes from it, drill one, "
    "bolt up, try the shaft, then drill the others through the palm. The palm counts where the table differs.",
)
BEDDING = (
    "Gaps under the palm are filled by bedding that hardens and carries (thickened resin or chocking resin), release "
    "wax on the palm, bolts only nipped until it has cured; then bed on sealant and draw up in steps, crosswise.",
    "Never pull the hull to the palm. Sealant alone does not carry; shims neither of lead, soft plastic nor plywood.",
)
BONDING = (
    "Bond strut and shaft to the anodes by wire and insulate where the figures say so: measure it before the bonding "
    "is connected."
)
LINING_UP = (
    "Line up the strut to the shaft, and the engine to the shaft last. Feel the coupling all round, turn the shaft by "
    "half and feel again; once more afloat, a day or two after launching, tanks and gear as usual."
)
ORDER_OF_WORK = (" ".join(DRY_FIT), " ".join(BEDDING), installation.BEDDED)
AS_FITTED = (f"{installation.BEDDED} {BONDING}", LINING_UP)
AT_THE_TRIAL = (
    "After launching: look at nuts, bedding and bilge; stuffing box warm to the hand at most. Trial: idle, half, full, "
    "astern, hard over both ways, a few minutes each; stop for any hot smell, knock or growing shake. Look again after "
    "the first haul: rubber not scorched or squeezed on one side, screws in place, edge of the palm sealed.",
)


def installation_form(strut: Strut, findings: Mapping[str, Finding], units: FileUnits) -> Form:
    """Return the form: the job's own figures, then blanks for how it was fitted and for the trial."""
    holes = sum(len(p.holes) for p in strut.palms)
    form = form_of(
        AsFitted, _TITLE, units=units, rows={"bedding": 4, "trial": _RUNS, "bearing": 8, "coupling": 4, "bolts": holes}
    )
    tables, several = [], len(strut.palms) > 1
    for table in form.tables:
        rows = [list(row) for row in table.rows]
        names = [c.name for c in table.columns]
        if table.name == "coupling":
            for row, at in zip(rows, _QUARTERS, strict=True):
                row[names.index("at")] = at
        elif table.name == "bearing":
            for k, row in enumerate(rows):
                row[names.index("end")], row[names.index("at")] = ("aft", "forward")[k // 4], _QUARTERS[k % 4]
        elif table.name == "bolts":
            own = [(p.called, str(h.number)) for p in strut.palms for h in p.holes]
            for row, (palm, number) in zip(rows, own, strict=True):
                row[names.index("palm")], row[names.index("hole")] = palm if several else "", number
        columns = tuple(
            replace(
                c,
                least_mm=_HEARD_MM if c.name == "heard" else 16.0,
                printed=c.printed and (several or c.name != "palm"),
            )
            for c in table.columns
        )
        tables.append(replace(table, columns=columns, rows=tuple(map(tuple, rows))))
    return replace(
        form,
        tables=tuple(tables),
        given=tuple(_given(strut, findings, Figures(unit=units))),
        notes=ORDER_OF_WORK,
        records=(
            ("As-fitted record", (SINGLE, "bearing", "bolts", "coupling", "bedding"), AS_FITTED),
            ("First trial, spares, wear", ("trial", "spares", "wear"), AT_THE_TRIAL),
        ),
        cautions=(cautions.STRUCTURE, cautions.LIFTING, cautions.UNDER_BOAT),
        row_mm=5.2,
    )


def with_trial_to_the_foot(form: Form, imprint: Imprint) -> Form:
    """Return the form with as many lines for the trial as its last page has room for."""
    pages = len(form.sheets(imprint))
    for count in range(_MOST_RUNS, _RUNS, -4):
        tables = tuple(
            replace(t, rows=(("",) * len(t.columns),) * count) if t.name == "trial" else t for t in form.tables
        )
        if len((longer := replace(form, tables=tables)).sheets(imprint)) == pages:
            return longer
    return form


def _given(strut: Strut, findings: Mapping[str, Finding], f: Figures) -> list[Table]:
    return [hull_holes_table(strut, f), held_to_table(strut, findings, f), _spares(strut, f), _wear(findings, f)]


def hull_holes_table(strut: Strut, f: Figures, most_high: int = _LONG) -> Table:
    """Return where the holes of the hull are, palms of a pair side by side; those of one palm that are more than
    most_high in two halves beside each other."""
    palms: dict[str, list[tuple[tuple[str, str, str], str]]] = {}
    for h in installation.hull_holes(strut):
        aft = "-" if h.aft_of_meeting_mm is None else f.length(h.aft_of_meeting_mm)
        along = (str(h.number), aft, f.length(h.ahead_of_aft_face_mm))
        palms.setdefault(h.palm, []).append((along, f.length(h.to_port_mm)))
    first, *others = ([along for along, _ in holes] for holes in palms.values())
    alike = all(other == first for other in others)
    across = ("aft of where\nthe shaft line\nmeets the hull", "ahead of the\nfoot square to\nthe aft face")
    if alike and others:  # only the side differs
        sides = zip(*([side for _, side in holes] for holes in palms.values()), strict=True)
        columns = ("hole", *across, *(f"{name},\nto port" for name in palms))
        beside = [[(*along, *side) for along, side in zip(first, sides, strict=True)]]
        heads = [columns]
    else:
        beside = [[(*along, side) for along, side in holes] for holes in palms.values()]
        heads = [("\n".join([*name.split(), "hole"]) if others else "hole", *across, "to port") for name in palms]
        if not others and len(beside[0]) > most_high:
            half = (len(beside[0]) + 1) // 2
            beside, heads = [beside[0][:half], beside[0][half:]], 2 * heads
    most = max(map(len, beside))
    filled = [[*rows, *[("",) * len(rows[0])] * (most - len(rows))] for rows in beside]
    return Table(
        name="hull-holes",
        title=f"HOLES OF THE HULL, ALONG ITS FACE FROM THE SHAFT'S TRACE, {f.unit}",
        columns=tuple(name for head in heads for name in head),
        rows=tuple(tuple(cell for cells in row for cell in cells) for row in zip(*filled, strict=True)),
        row_mm=_GIVEN_ROW_MM,
        corner="top left",
    ).filled()


def held_to_table(strut: Strut, findings: Mapping[str, Finding], f: Figures) -> Table:
    """Return what the yard holds to, with the figures that are known."""
    rows: list[tuple[str, str]] = []

    def add(what: str, value: float | None, words: str = "{}") -> None:
        if value is not None:
            rows.append((what, words.format(f"{f.length(value)} {f.unit}")))

    for plate in strut.plates[:1]:
        count = sum(len(p.holes) for p in strut.plates)
        rows.append(("bolts", f"{count} × {plate.bolt.size}, {bolting.bolt_metal(plate.bolt)}"))
        add("bolt, least length; measure the hull at each hole", figure(findings, "bolt_length"))
    if strut.palms:
        add("of that bedding", bolting.BEDDING_MM)
    if strut.backing_plate:
        add("backing plate, thickness", bolting.backing_thickness_mm(strut, strut.palms[0]))
        add("backing plate beyond the palm, all round", bolting.backing_overhang_mm(strut))
    if torque := installation.torque_words(findings, f.unit):
        rows.append(("torque with anti-seize, metal on hard bedding", torque))
    if strut.shoe is None:
        add("coupling faces, difference all round", installation.COUPLING_FACES_MM, "{} at most")
        add("coupling hangs below the line, free", figure(findings, "coupling_sag"))
        add("gap of the free coupling", figure(findings, "coupling_gap"))
    add("bearing, clearance at least", figure_least(findings, "clearance_pressed_least"))
    add("blade tip to hull", figure_least(findings, "tip_clearance"), "{} at least")
    add("bearing or barrel to hub", figure_least(findings, "hub_gap_least"), "{} at least")
    rows.append(("insulated joints, dry, bonding open", f"{installation.INSULATION_MEGOHM:g} megohm at least"))
    return Table(
        name="held-to",
        title="THE YARD HOLDS TO",
        columns=("what", "figure"),
        rows=tuple(rows),
        left=frozenset({0}),
        row_mm=_GIVEN_ROW_MM,
        corner="top left",
    )


def _wear(findings: Mapping[str, Finding], f: Figures) -> Table:
    """How far the bearing may wear: its limit, and those beside it."""
    rows: list[tuple[str, str]] = []
    if (most := figure(findings, "clearance_worn")) is not None:
        rows.append(("bearing, renew when worn to", f"{f.length(most)} {f.unit}"))
    others = [v for code in installation.OTHER_WEAR if (v := figure(findings, code)) is not None]
    if others:
        said = f"{f.length(min(others))} to {f.length(max(others))} {f.unit}"
        rows.append(("other limits in circulation", said))
    return Table(
        name="wear",
        title="WEAR",
        columns=("what", "clearance"),
        rows=tuple(rows),
        left=frozenset({0}),
        row_mm=_GIVEN_ROW_MM,
        corner="top left",
    )


def _spares(strut: Strut, f: Figures) -> Table:
    """What to have on board or at the yard."""
    palm = strut.palms[0]
    sizes = Counter((b.outside_mm, b.length_mm) for b in strut.bearings)
    shaft = f.length(strut.shaft.diameter_mm)
    rows = [
        *(
            (f"{count} × fluted rubber bearing", f"Ø{shaft} × Ø{f.length(outside)} × {f.length(length)}")
            for (outside, length), count in sizes.items()
        ),
        *([(f"{len(strut.set_screws)} × set screw", strut.set_screws[0].thread)] if strut.set_screws else []),
        (f"{sum(len(p.holes) for p in strut.palms)} × palm bolt, nut, washers", palm.bolt.size),
    ]
    if strut.skeg is not None and strut.skeg.heel is not None and strut.skeg.heel.bush_wall_mm > 0:
        rows.append(("1 × heel bush", f"bore Ø{f.length(strut.skeg.heel.bore_mm)}"))
    return Table(
        name="spares",
        title="SPARE PARTS",
        columns=("part", "size"),
        rows=tuple(rows),
        left=frozenset({0}),
        row_mm=_GIVEN_ROW_MM,
        corner="top left",
    )


def as_fitted_sheets(
    told: Sequence[Told], lacks: Sequence[str], said: AsFitted, *, imprint: Imprint, units: FileUnits
) -> list[Sheet]:
    """Return the record of how a strut was fitted: worst first, and what was not measured."""
    listed = sorted(told, key=lambda t: _ORDER.index(t.stand))
    signed = to_sign(f"strut {said.part}" if said.part else "strut", "fitted by", said)
    notes = [*([f"Not measured: {', '.join(lacks)}."] if lacks else []), *([said.remark] if said.remark else [])]

    def sheet(
        rows: Sequence[tuple[str, str, str, str]], wide: tuple[float, float, float] = (66.0, 60.0, 71.0)
    ) -> Sheet:
        table = Table(
            name="as-fitted",
            title=f"AS FITTED: {stand_line(told).upper()}",
            columns=("what", "found", "held to", "stands"),
            rows=tuple((*map(broken, row[:3], wide), row[3]) for row in rows),
            left=frozenset({0, 2}),
            row_mm=_GIVEN_ROW_MM,
            least_mm=(40.0, 20.0, 40.0, 18.0),
            corner="top left",
        )
        return work_sheet(
            _TITLE,
            said,
            imprint=imprint,
            unit=units,
            tables=[signed, table],
            notes=notes,
            cautions=(cautions.STRUCTURE,),
            document_type="As-fitted record",
            text_sizes_mm=(2.5,),
        )

    rows = [(t.what, read(t.found, units), read(t.limit, units), str(t.stand)) for t in listed]
    close = sheet(_bolts_together(rows), _CLOSE_MM)
    for tried in (sheet(rows), close):
        if (page := one_page(tried)) is not None:
            return [page]
    return paged(close, "As fitted: what is well")


def _bolts_together(rows: Sequence[tuple[str, str, str, str]]) -> list[tuple[str, str, str, str]]:
    """The rows, those of bolts that are held to the same and stand alike as one, which tells each bolt's figure."""
    alike: dict[tuple[str, str], list[tuple[str, str, str]]] = {}
    for what, found, limit, stand in rows:
        bolt = _BOLT.match(what)
        called, number = (f"bolts{bolt['palm'] or ''} by hole, {bolt['what']}", bolt["number"]) if bolt else (what, "")
        alike.setdefault((called, stand), []).append((number, found, limit))
    made = []
    for (what, stand), of in alike.items():
        limits = dict.fromkeys(limit for *_, limit in of)
        size, _, why = of[0][2].partition(", ")
        if len(limits) == 1:
            told, held = [f"{number}: {found}" if number else found for number, found, _ in of], of[0][2]
        else:
            least = " at least"
            figures = [limit.partition(", ")[0].removesuffix(least).rpartition(" ")[0] for *_, limit in of]
            told = [f"{n}: {found} ({figure})" for (n, found, _), figure in zip(of, figures, strict=True)]
            held = f"{'at least ' if size.endswith(least) else ''}what is in brackets{', ' if why else ''}{why}"
        made.append((what, packed(told, _CLOSE_MM[1]), held, stand))
    return made


def stand_line(told: Sequence[Told]) -> str:
    """Return how many figures stand how, worst first."""
    counts = [(s, sum(t.stand is s for t in told)) for s in _ORDER]
    return ", ".join(f"{n} {s}" for s, n in counts if n) or "nothing measured"


def document(said: AsFitted, told: Sequence[Told], lacks: Sequence[str]) -> dict[str, object]:
    """Return the record as plain data; what was only noted on the trial too."""
    return {
        "trial": [{"rpm": r.speed, "drips_a_minute": r.drips, "heard": r.heard} for r in said.trial],
        "figures": [
            {"what": t.what, "found": read(t.found, "mm"), "held_to": read(t.limit, "mm"), "stands": str(t.stand)}
            for t in told
        ],
        "not_measured": list(lacks),
    }
