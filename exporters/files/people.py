"""Who takes which files of a job, what each must still measure or ask, and what each is warned of."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass

from strutwright.models import cautions
from strutwright.models.families import plain
from strutwright.models.spec import Strut
from strutwright.params.part_kinds import STRUT

DESIGNER, MODELLER, FOUNDER, FABRICATOR, MACHINIST, YARD, OWNER = PEOPLE = (
    "designer",
    "pattern maker",
    "founder",
    "fabricator",
    "machinist",
    "yard",
    "owner",
)
"""Those who work from a job, in the order of the work."""
_ONLY = {MODELLER: "cast", FOUNDER: "cast", FABRICATOR: "welded"}
"""Who works on struts of one construction only."""
_MAKER = "maker"
"""The pattern maker of a cast strut, the fabricator of a welded one."""

_TAKES: tuple[tuple[str, tuple[str, ...]], ...] = (
    (r"^solids/.*-script\.py$", (DESIGNER,)),
    (r"^solids/parts/", (DESIGNER, MACHINIST, FABRICATOR)),
    (r"^solids/", (DESIGNER, MACHINIST)),
    (r"^meshes/", (DESIGNER,)),
    (r"^finished-size/.*-(gasket|bedding|foot-shim)\.", (DESIGNER, _MAKER, YARD)),
    (r"^finished-size/", (DESIGNER, _MAKER)),
    (r"^pattern-size/.*(founders-|draft\.)", (MODELLER, FOUNDER)),
    (r"^pattern-size/.*-template-", (MODELLER,)),
    (r"^pattern-size/", (MODELLER, FOUNDER)),
    (r"^sheets/.*-sheets\.pdf$", PEOPLE),
    (r"^sheets/.*-general-arrangement\.", (DESIGNER, _MAKER, YARD, OWNER)),
    (r"^sheets/.*-(barrel-machining|boss-machining|(set|locking)-screws)\.", (MACHINIST,)),
    (r"^sheets/.*-drilling(-\d+)?\.", (MACHINIST, YARD)),
    (r"^sheets/.*-inspection-record\.", (MACHINIST, YARD)),
    (r"^sheets/.*-(boring|drilling|screws)-card(-\d+)?\.", (MACHINIST,)),
    (r"^sheets/.*-bearing-card\.", (MACHINIST, YARD)),
    (r"^sheets/.*-fitting-card\.", (YARD,)),
    (r"^sheets/.*-(cut-list-and-jig|weld-assembly|welding-card|press-card(-\d+)?)\.", (FABRICATOR,)),
    (r"^sheets/", (_MAKER, MACHINIST)),
    (r"^tables/.*-parts-list\.", (DESIGNER, _MAKER, OWNER)),
    (r"^tables/.*-(hole-table|drill-path|(set|locking)-screw-table)\.", (MACHINIST,)),
    (r"^tables/", (_MAKER,)),
    (r"^templates/.*-((hull|bed|base|keel)-template|structure-hole|backing-plate)\.", (YARD,)),
    (r"^templates/.*-drill-jig\.", (MACHINIST, YARD)),
    (r"^templates/.*-(set|locking)-screw-strip\.", (MACHINIST,)),
    (r"^templates/.*-bevel-gauges\.", (_MAKER, MACHINIST)),
    (r"^templates/", (_MAKER,)),
    (r"^report/.*-summary\.pdf$", PEOPLE),
    (r"^report/", (DESIGNER, OWNER)),
    (r"^view/", PEOPLE),
    (r"^parameters\.yaml$", (DESIGNER,)),
    (r"^[^/]*-(frequencies|response|tolerances)\.svg$", (DESIGNER,)),
    (r"^[^/]*\.png$", (OWNER,)),
)
"""Which files are whose: the first pattern that a file's path within the folder matches."""


@dataclass(frozen=True, slots=True)
class Task:
    """What someone must still measure or ask, and the command that helps with it, "" where none does."""

    what: str
    command: str = ""


def who(strut: Strut) -> tuple[str, ...]:
    """Return who works on a strut, in the order of the work.

    >>> who(shipped("canal-tender"))  # welded
    ('designer', 'fabricator', 'machinist', 'yard', 'owner')
    """
    return tuple(p for p in PEOPLE if _ONLY.get(p, strut.construction) == strut.construction)


def takers(path: str, strut: Strut) -> tuple[str, ...]:
    """Return who takes a file, by its path within the folder of the job; nobody for what no pattern knows.

    >>> takers("sheets/ct-01-centre-02-barrel-machining.dxf", shipped("canal-tender"))
    ('machinist',)
    """
    there = who(strut)
    maker = MODELLER if strut.construction == "cast" else FABRICATOR
    for pattern, people in _TAKES:
        if re.search(pattern, path):
            named = {maker if p == _MAKER else p for p in people}
            return tuple(p for p in there if p in named)
    return ()


def parted(paths: Iterable[str], strut: Strut) -> dict[str, list[str]]:
    """Return the paths that each takes, in their order; the designer takes what no pattern knows.

    >>> parted(["parameters.yaml"], shipped("canal-tender"))["designer"]
    ['parameters.yaml']
    """
    out: dict[str, list[str]] = {p: [] for p in who(strut)}
    for path in paths:
        for person in takers(path, strut) or (DESIGNER,):
            out[person].append(path)
    return out


def tasks(person: str, strut: Strut, set_name: str) -> tuple[Task, ...]:
    """Return what someone must still measure or ask before and after the own work. set_name: file of the set.

    Common practice, no source.

    >>> [t.command for t in tasks("machinist", shipped("canal-tender"), "canal-tender.yaml")][0]
    'strutwright fitting --blank FOLDER --set canal-tender.yaml'
    """
    found = _TASKS[person](strut, set_name)
    if strut.family == STRUT:
        return tuple(found)
    kept = (t.command if t.command.split()[1:2] in _OF_ANY_PART else "" for t in found)
    return tuple(Task(plain(t.what, strut.family), command) for t, command in zip(found, kept, strict=True))


_OF_ANY_PART = (["confirm"], ["fitting"], ["inspection"])
"""Commands that take the file of any part; the others named here work on struts."""


def _of_designer(strut: Strut, of: str) -> list[Task]:
    return [
        Task("read what is from memory in the standards", f"strutwright confirm {of}"),
        Task("ask class, flag or a surveyor before anything is cut"),
    ]


def _of_modeller(strut: Strut, of: str) -> list[Task]:
    return [
        Task("agree the contraction with the founder before wood is cut"),
        Task("measure boards and core box by the founder's sheet"),
    ]


def _of_founder(strut: Strut, of: str) -> list[Task]:
    return [
        Task("say whether grade, contraction and draft suit the foundry"),
        Task("measure the casting by the founder's sheet"),
    ]


def _of_fabricator(strut: Strut, of: str) -> list[Task]:
    return [
        Task("measure plate and tube as bought, against the cut list"),
        Task("measure the palms after welding, straighten them", f"strutwright straighten --blank FOLDER --set {of}"),
        Task("put order, times and holds on one sheet", f"strutwright process --set {of} RATES"),
    ]


def _of_machinist(strut: Strut, of: str) -> list[Task]:
    pressed = "before it is pressed" if strut.barrel.fit == "press" else "before it is fitted"
    return [
        Task(f"measure bore, bearing and shaft {pressed}", f"strutwright fitting --blank FOLDER --set {of}"),
        Task("fill in the inspection record and have it judged", f"strutwright inspection --blank FOLDER --set {of}"),
    ]


def _of_yard(strut: Strut, of: str) -> list[Task]:
    if strut.family != STRUT:
        return [
            Task("measure hull and shaft line again before metal is cut"),
            Task("write down gaps, clearances and torques as it is fitted"),
        ]
    rudder = strut.skeg is not None and strut.skeg.heel is not None
    return [
        Task("measure hull and shaft line again before metal is cut", "strutwright survey"),
        *([Task("measure the rudder stock", f"strutwright rudder READINGS --set {of}")] if rudder else []),
        Task("fit by the installation sheet, and fill it in", f"strutwright installation --blank FOLDER --set {of}"),
    ]


def _of_owner(strut: Strut, of: str) -> list[Task]:
    return [
        Task("look at nuts after launching, rubber at each haul"),
        Task("have wear measured at each haul", f"strutwright repair READINGS --set {of}"),
    ]


_TASKS: Mapping[str, Callable[[Strut, str], list[Task]]] = {
    DESIGNER: _of_designer,
    MODELLER: _of_modeller,
    FOUNDER: _of_founder,
    FABRICATOR: _of_fabricator,
    MACHINIST: _of_machinist,
    YARD: _of_yard,
    OWNER: _of_owner,
}


def warned(person: str, strut: Strut) -> tuple[str, ...]:
    """Return the cautions for someone's work on a strut, of its own metal and fit.

    >>> cautions.UNDER_BOAT in warned("yard", shipped("canal-tender"))
    True
    """
    family = cautions.family_of(strut)
    fume = (cautions.welding(family), cautions.grinding(family), *cautions.pickling(family))
    fitted = (cautions.PRESS, cautions.FREEZING) if strut.barrel.fit == "press" else ()
    return {
        DESIGNER: (cautions.STRUCTURE,),
        MODELLER: (cautions.STRUCTURE,),
        FOUNDER: (cautions.STRUCTURE, cautions.LIFTING, cautions.grinding(family)),
        FABRICATOR: (*fume, cautions.PRESS, cautions.LIFTING),
        MACHINIST: (cautions.drilling(family), cautions.LIFTING, *fitted),
        YARD: (cautions.STRUCTURE, cautions.LIFTING, cautions.UNDER_BOAT),
        OWNER: (cautions.STRUCTURE, cautions.UNDER_BOAT),
    }[person]
