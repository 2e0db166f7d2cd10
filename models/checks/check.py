"""What there is to know of a check beside what it finds: the rows of params/checks.yaml and checks_geometry.yaml."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import KW_ONLY, dataclass, field, replace
from typing import Any

from strutwright.models.finding import STANDINGS, Standing
from strutwright.params import checks as table
from strutwright.params import limits as limit_table
from strutwright.params import readings
from strutwright.params.checks import LimitIs
from strutwright.params.limits import Limits
from strutwright.params.words import FIELD, Amount, Part, Words, say, spoken_share, spoken_times

_MEASURES = ("MPa", "mm", "C", "m", "m/s", "%")


@dataclass(frozen=True, slots=True, kw_only=True)
class Check:
    """What there is to know of one check beside its findings.

    code: stable name, as in its findings. group: what part it looks at. meaning: one line. limits: names of the limits
    it follows; none when it follows from geometry alone.
    Of a number: limit_is: whether it must stay under its capacity ("at most": the capacity is the limit; "at least":
    the demand is), or is information. needs: names of inputs it cannot do without and that a file may leave out.
    parameter: dotted path of the value to change. warn: breaking it warns, not fails. standing LOW: a hint always.
    """

    code: str
    group: str
    meaning: Words
    limits: tuple[str, ...] = ()
    _: KW_ONLY
    unit: str = ""
    limit_is: LimitIs = "information"
    source: Words = ""
    standing: Standing = Standing.GEOMETRY
    parameter: str = ""
    advice: Words = ""
    needs: tuple[str, ...] = ()
    warn: bool = False
    forms: Mapping[str, table.Said] = field(default_factory=dict, compare=False)
    """Of a check of the geometry: its words by name, the usual ones under ""."""

    rests: tuple[str, ...] = ()
    """What it rests on that is from memory, or of low confidence, and unread: limits, or its own source, as called."""

    def under(self, limits: Limits) -> Check:
        """Return it as it is under these limits and readings: their values in its words, and what it rests on.

        With a limit that the user set it rests on common practice; but a hint stays one unless it was one for that
        limit. Else it is published when all was read that held its standing down: its limits that are from memory or of
        low confidence, and its own source where none of its limits is of so low a standing as it.
        """
        own = [n for n in self.limits if limits[n].changed]
        words: dict[str, Any] = {name: _said(getattr(self, name), limits) for name in ("meaning", "source", "advice")}
        words["rests"] = self._unread(limits)
        if own:
            words["source"] = limit_table.OWN
            freed = any(limit_table.shipped()[n].standing == "low confidence" for n in own)
            if self.standing is not Standing.LOW or freed:
                words["standing"] = Standing.PRACTICE
        elif told := [r for r in (readings.current().check(self.code), *_read_of(self.limits, limits)) if r]:
            words |= self._as_read(words["source"], told, words["rests"])
        return replace(self, **words)

    def _unread(self, limits: Limits) -> tuple[str, ...]:
        unread = tuple(table.called("limit", n) for n in self.limits if limits[n].standing in _DOUBTFUL)
        row, shipped = table.sources().get(self.code), [limit_table.shipped()[n].standing for n in self.limits]
        held_down = {"from memory": _DOUBTFUL, "low confidence": _DOUBTFUL[1:]}.get("" if row is None else row.standing)
        own = held_down is not None and not set(held_down) & set(shipped)
        if not own or readings.current().check(self.code) is not None:
            return unread
        return (table.called("check", self.code), *unread)

    def _as_read(self, source: Words, told: list[readings.Reading], unread: tuple[str, ...]) -> dict[str, Any]:
        """Return source, standing and whether it warns, of a check of which something was read."""
        read = "; ".join(dict.fromkeys(r.words for r in told))
        if read in str(source):  # it is said already
            return {}
        left = f"; not read yet: {', '.join(unread)}" if unread else ""
        out: dict[str, Any] = {"source": say("{source}; {read}{left}", source=source, read=read, left=left)}
        if unread:
            return out
        if breaches := {r.breach for r in told if r.breach}:
            out["warn"] = "failure" not in breaches
        row, own = table.sources().get(self.code), any(r.kind == "check" for r in told)
        # What a load case, a strength or a hull leaves in doubt is not mended by reading the limits.
        if row is not None and STANDINGS[row.standing] is self.standing and (own or row.standing in _DOUBTFUL):
            out |= {"standing": Standing.PUBLISHED, "warn": out.get("warn", self.warn or self.standing is Standing.LOW)}
        return out


_DOUBTFUL = ("from memory", "low confidence")


def _read_of(names: tuple[str, ...], limits: Limits) -> list[readings.Reading]:
    known = readings.current().limits()
    return [known[n] for n in names if limits[n].confirmed and n in known]


def rows_of(module: str) -> tuple[Check, ...]:
    """Return the checks of a module of the geometry, in the order of the table.

    >>> rows_of("barrel")[0].code
    'barrel_wall'
    """
    rows = table.geometry_rows()[module]
    return tuple(
        Check(code=row.code, group=row.group, meaning=row.meaning, limits=row.limits, forms=row.forms) for row in rows
    )


def of_groups(*groups: str) -> tuple[Check, ...]:
    """Return the checks of the table that look at these groups, in its order; words are templates still.

    >>> [c.code for c in of_groups("shaft")][:2]
    ['shaft_by_power', 'shaft_by_class']
    """
    return tuple(
        Check(
            code=row.code,
            group=row.group,
            meaning=row.meaning,
            limits=row.limits,
            unit=row.unit,
            limit_is=row.limit_is,
            source=row.source,
            standing=STANDINGS[row.standing],
            parameter=row.parameter,
            advice=row.advice,
            needs=row.needs,
            warn=row.breach == "warning",
        )
        for row in table.rows()
        if row.group in groups
    )


def without_limits(checks: tuple[Check, ...], *names: str) -> tuple[Check, ...]:
    """Return checks that do not follow these limits: rows for another kind of strut.

    >>> without_limits(rows_of("barrel"), "barrel_wall")[0].limits
    ('barrel_wall_hard',)
    """
    return tuple(replace(c, limits=tuple(n for n in c.limits if n not in names)) for c in checks)


def _said(words: Words, limits: Limits) -> Words:
    """Return a template with its sizes and limits in place; what has no braces, or is said already, as it is."""
    if not isinstance(words, str) or "{" not in words:
        return words
    return say(words, **{name: _value(name, limits) for name in FIELD.findall(words) if name.split(":")[0] in limits})


def _value(name: str, limits: Limits) -> Part:
    """Return a limit as a template wants it: `tip_speed` with its unit, `load_weight:times` spoken, or as formatted."""
    name, _, how = name.partition(":")
    limit = limits[name]
    if how == "times":
        return spoken_times(limit.value)
    if how == "share":
        return spoken_share(limit.value)
    return format(limit.value, how) if how else Amount(limit.value, limit.unit if limit.unit in _MEASURES else "")
