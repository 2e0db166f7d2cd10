"""What a fitting comes to, in words: whether and why, and what else can be done."""

from __future__ import annotations

from collections.abc import Iterator

from strutwright.models.bench.fitting import Fitted, Judged, Way
from strutwright.models.bench.fitting_case import Case
from strutwright.models.bench.fitting_screws import Clocking, Marked
from strutwright.params.words import Amount, Part, Words, deg, fine_mm, mm, say


def shown(judged: Judged) -> tuple[Part, Part, Part]:
    """Return value, how sure it is, and limit of what is judged, as amounts.

    >>> from strutwright.models.bench.fitting import fit
    >>> [part.read("mm") for part in shown(fit(fitting_case(), standard(), None).judged[0])]
    ['0.083 mm', '0.041 mm', '0.05 mm']
    """
    fine = judged.unit == "mm"

    def amount(value: float) -> Part:
        if judged.unit == "":
            return Amount(round(100.0 * value), "%")
        return fine_mm(round(value, 3)) if fine else Amount(round(value), judged.unit)

    return amount(judged.value), amount(judged.within), amount(judged.limit)


def reasons(found: Fitted) -> Iterator[Words]:
    """What is not go, with its figures and which end of each range entered.

    >>> from strutwright.models.bench.fitting import fit
    >>> str(next(reasons(fit(fitting_case(), standard(), None)))).split(":")[0]
    'doubtful, clearance left on the shaft'
    """
    for judged in found.judged:
        if judged.verdict != "go":
            value, within, limit = shown(judged)
            template = "{verdict}, {what}: {value} within {within}, {side} {limit} ({end})"
            yield say(
                template,
                verdict=judged.verdict,
                what=judged.what,
                value=value,
                within=within,
                side="at most" if judged.at_most else "at least",
                limit=limit,
                end=judged.end,
            )
    if found.ways and all(way.verdict == "no go" for way in found.ways):
        yield "no go, no way in: more force than the press has, and no warmth or cold allowed is enough"


def way_words(way: Way) -> Words:
    """Return a way in, in words: what it asks and why it is not go.

    >>> way_words(Way(name="press", verdict="go", force_n=12345.0)).read("mm")
    'press: 12300 N, go'
    """
    why = f" ({way.why})" if way.why else ""
    if way.force_n is not None:
        return say(
            "{name}: {force}, {verdict}{why}", name=way.name, force=_kn(way.force_n), verdict=way.verdict, why=why
        )
    template = "{name}: bearing at {cold}, barrel at {warm}, {verdict}{why}"
    cold, warm = (Amount(round(c or 0.0), "C") for c in (way.bearing_c, way.barrel_c))
    return say(template, name=way.name, cold=cold, warm=warm, verdict=way.verdict, why=why)


def _kn(newton: float) -> Amount:
    return Amount(float(f"{newton:.3g}"), "N")


def options(found: Fitted) -> Iterator[Words]:
    """What can be done where it is not go; nothing that puts metal back.

    >>> from strutwright.models.bench.fitting import fit
    >>> str(next(options(fit(fitting_case(), standard(), None))))
    'no bore is right for this bearing: another bearing, with more clearance or a thicker shell'
    """
    if found.verdict == "go":
        return
    bad = {j.name for j in found.judged if j.verdict != "go"}
    case, middle = found.case, found.case.bore.middle_mm
    if found.bore_for_mm is None:
        yield "no bore is right for this bearing: another bearing, with more clearance or a thicker shell"
    elif not found.bore_for_mm[0] <= middle <= found.bore_for_mm[1]:
        least, most = (fine_mm(round(v, 3)) for v in found.bore_for_mm)
        if middle < found.bore_for_mm[0]:
            yield say("open the bore to {least} to {most}, round and straight", least=least, most=most)
        else:
            step = middle - found.bore_for_mm[1]
            over = fine_mm(round(step, 3))
            yield say("bore is {over} over the widest for this bearing ({most})", over=over, most=most)
            outside = fine_mm(round(case.outside.middle_mm + step, 3))
            yield say("a bearing of {outside} outside or more, or the bore opened for the next size", outside=outside)
            yield "a sleeve bonded or pressed in, bored to this bearing; or fitted as a slide fit held by the screws"
    if bad & {"clearance", "clearance_usual"}:
        short = max(j.limit + j.within - j.value for j in found.judged if j.name in ("clearance", "clearance_usual"))
        yield say("a bearing with {more} more bore over the rubber", more=fine_mm(round(max(short, 0.0), 3)))
    if "loose" in bad and case.bore.out_of_round_mm > 0:
        yield "line-bore where it is worn or bell-mouthed, to the next outside diameter"
    if "out_of_round" in bad:
        yield "measure the bore again in three directions; if it stays, bore it round to the next outside diameter"
    if "doubtful" in {j.verdict for j in found.judged}:
        yield (
            "what is doubtful lies within the readings' own scatter of a limit, or is beyond one of practice: "
            "measure again with a finer instrument before deciding"
        )
    if found.ways and all(w.verdict != "go" for w in found.ways):
        yield "a press with more force, or less interference"


def structure_notes(case: Case) -> Iterator[Words]:
    """What is to be told of the structure that stands round a barrel.

    >>> list(structure_notes(fitting_case()))
    []
    """
    if case.closes_later_mm > 0.0:
        template = (
            "pressing the housing into its structure closes this bore by up to {more}, counted where that is worse"
        )
        yield say(template, more=fine_mm(round(case.closes_later_mm, 3)))
    if case.in_structure:
        yield (
            "the structure round the housing is taken not to give; press against the housing's other face, not against "
            "what holds it"
        )


def screw_notes(marked: tuple[Marked, ...], clocked: Clocking) -> Iterator[Words]:
    """What is to be told of screws and flutes.

    >>> clocked = Clocking(first_flute_deg=22.5, bottom_on_land=True, as_fitted=False)
    >>> str(next(screw_notes((), clocked)))
    'flutes: the middle of one to clock 22.5 deg, which puts a land at the bottom'
    """
    for m in marked:
        for fault in m.faults:
            yield say("screw {n}: {fault}", n=str(m.number), fault=fault)
        if m.dimple_mm < m.screw.dimple_mm - 1e-9:
            template = "screw {n}: dimple {depth} instead of {drawn}, as the shell measured is thin"
            yield say(template, n=str(m.number), depth=mm(round(m.dimple_mm, 2)), drawn=mm(m.screw.dimple_mm))
    if clocked.first_flute_deg is None:
        yield "flutes: their number and width are not known; keep them clear of the screws, a land at the bottom"
        return
    template = "flutes: the middle of one {found} clock {clock}, which puts a {under} at the bottom"
    yield say(
        template,
        found="was found at" if clocked.as_fitted else "to",
        clock=deg(round(clocked.first_flute_deg, 1)),
        under="land" if clocked.bottom_on_land else "flute",
    )


def summary(found: Fitted) -> Iterator[Words]:
    """The figures of the fit.

    >>> from strutwright.models.bench.fitting import fit
    >>> str(next(summary(fit(fitting_case(), standard(), None))))
    'interference 0.03 mm to 0.03 mm along the length, within 0.01 mm'
    """
    least, most = float(found.interference_mm.min()), float(found.interference_mm.max())
    yield say(
        "interference {least} to {most} along the length, within {within}",
        least=fine_mm(round(least, 3)),
        most=fine_mm(round(most, 3)),
        within=fine_mm(round(found.within_mm, 3)),
    )
    if found.closure_mm[1] > 0:
        yield say(
            "closure of the bore {least} to {most} (shell alone, {share}; rubber that keeps its volume)",
            least=fine_mm(round(found.closure_mm[0], 3)),
            most=fine_mm(round(found.closure_mm[1], 3)),
            share=say("{share} of the interference", share=Amount(round(100.0 * found.closure_share), "%")),
        )
    left = [fine_mm(round(v, 3)) for v in found.clearance_mm]
    yield say("clearance left on the shaft {least} to {most}", least=left[0], most=left[1])
    yield say("press force at the end of the stroke {force}", force=_kn(float(found.force_n[-1])))
