"""The pages of the guide as Markdown text: worked jobs, parameters, commands, limits, sources, functions."""

from __future__ import annotations

import ast
import re
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from strutwright import models
from strutwright.models import cautions
from strutwright.models.families import CALLED
from strutwright.models.guidance import GUIDANCE
from strutwright.params import checks, limits, tables
from strutwright.params.explain import all_paths, meaning
from strutwright.params.families import root
from strutwright.params.loader import shipped
from strutwright.params.part_kinds import FAMILIES

JOBS = Path(__file__).parent / "jobs"
PEOPLE: Mapping[str, str] = {
    "designer": "Designer",
    "pattern-maker": "Pattern maker",
    "founder": "Founder",
    "fabricator": "Fabricator",
    "machinist": "Machinist",
    "yard": "Yard",
    "owner": "Owner and surveyor",
}
"""For whom there is a worked job, by the name of its page."""
_PICTURE = re.compile(r"^!\[[^]]*\]\(\.\./pictures/(?P<name>[^)]+)\)\n", re.M)


@dataclass(frozen=True, slots=True)
class Command:
    """A command of the program: its name, what it does, how it is called and what it takes."""

    name: str
    text: str
    usage: str
    takes: tuple[tuple[str, str], ...]


def table(heads: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    """Return a table; bars within cells are written as letters.

    >>> print(table(("a", "b"), [("1", "x|y")]), end="")
    | a | b |
    |---|---|
    | 1 | x\\|y |
    """
    lines = [heads, ["---"] * len(heads)]
    said = [" | ".join(lines[0]), "|".join(lines[1])]
    body = [" | ".join(cell.replace("|", "\\|") for cell in row) for row in rows]
    return "\n".join([f"| {said[0]} |", f"|{said[1]}|", *(f"| {row} |" for row in body)]) + "\n"


def pages(commands: Sequence[Command], failing: Sequence[Sequence[str]], pictures: Sequence[str]) -> dict[str, str]:
    """Return every page by its path. failing: rows of what fails; pictures: names of those that there are, by which
    pages leave out the others.

    >>> sorted(name for name in pages([], [], []) if name.startswith("jobs/"))[:2]
    ['jobs/designer.md', 'jobs/fabricator.md']
    """
    made = {f"jobs/{name}.md": _job(name, pictures) for name in PEOPLE}
    made |= {f"parameters/{family}.md": _parameters(family) for family in FAMILIES}
    made |= {
        "index.md": _index(),
        "cautions.md": _cautions(),
        "commands.md": _commands(commands),
        "limits.md": _limits(),
        "what-fails.md": _what_fails(failing),
        "sources.md": _sources(),
        "functions.md": _functions(),
    }
    return made


def site() -> str:
    """Return the file by which the generator of the site knows the pages.

    >>> "Machinist: jobs/machinist.md" in site()
    True
    """
    jobs = "".join(f"    - {words}: jobs/{name}.md\n" for name, words in PEOPLE.items())
    kinds = "".join(f"    - A {CALLED[family]} ({family}): parameters/{family}.md\n" for family in FAMILIES)
    return (
        "site_name: Making shaft struts with strutwright\n"
        "use_directory_urls: false\n"
        "theme:\n  name: material\n  font: false\n"
        "extra:\n  generator: false\n"
        "plugins:\n  - search\n"
        "markdown_extensions:\n  - tables\n  - attr_list\n"
        f"nav:\n  - Start: index.md\n  - A job for each:\n{jobs}  - Parameters:\n{kinds}"
        "  - Commands: commands.md\n  - Limits: limits.md\n  - What fails, and why: what-fails.md\n"
        "  - Sources: sources.md\n  - Cautions: cautions.md\n  - Functions: functions.md\n"
    )


def examples(page: str) -> Iterator[tuple[str, tuple[str, ...]]]:
    """Yield the commands that a page shows, and what it says that they print.

    >>> text = "so:\\n\\n```console\\n$ strutwright sets\\ncanal-tender\\n```\\n"
    >>> list(examples(text))
    [('strutwright sets', ('canal-tender',))]
    """
    for block in re.findall(r"^```console\n(.*?)^```$", page, re.M | re.S):
        for part in re.split(r"^\$ ", block, flags=re.M)[1:]:
            command, *told = part.rstrip("\n").split("\n")
            while command.endswith("\\"):
                command = command[:-1].rstrip() + " " + told.pop(0).strip()
            yield command, tuple(line for line in told if line.strip() and line.strip() != "...")


def _job(name: str, pictures: Sequence[str]) -> str:
    text = (JOBS / f"{name}.md").read_text(encoding="utf-8")
    return _PICTURE.sub(lambda found: found[0] if found["name"] in pictures else "", text)


def _index() -> str:
    jobs = "".join(f"* [{words}](jobs/{name}.md)\n" for name, words in PEOPLE.items())
    sets = "".join(f"* `{name}`: {_first_line(path)}\n" for name, path in shipped().items())
    return (
        "# Making shaft struts with strutwright\n\n"
        "One file of parameters says what a propeller-shaft strut is. From it come the checked solid for the designer, "
        "true-scale patterns for the pattern maker, drawings for the machinist, templates, weld and press figures for "
        "the fabricator, and sheets for the yard.\n\n"
        f"**{GUIDANCE}** See [Cautions](cautions.md) before metal is cut.\n\n"
        f"## A worked job for each\n\n{jobs}\n## Shipped sets\n\nEach is invented.\n\n{sets}"
    )


def _cautions() -> str:
    both = [*cautions.for_construction("welded"), *cautions.for_construction("cast"), *cautions.pickling("stainless")]
    said = dict.fromkeys([*both, cautions.FREEZING, cautions.RESIN])
    return "# Cautions\n\n" + "".join(f"* {one}\n" for one in said) + f"\n{GUIDANCE}\n"


def _first_line(path: Path) -> str:
    return path.read_text(encoding="utf-8").partition("\n")[0].lstrip("# ")


def _parameters(family: str) -> str:
    whole = root(family)
    parts = [f"# Parameters of a {CALLED[family]}\n\n{(whole.__doc__ or '').strip()}\n"]
    rows: list[tuple[str, str, str, str]] = []

    def put() -> None:
        if rows:
            parts.append(table(("parameter", "meaning", "takes", "left out"), rows))
            rows.clear()

    for path in all_paths(whole):
        told = meaning(path, family)
        if told.members:
            put()
            parts.append(f"{'###' if '.' in path else '##'} `{path}`\n\n{told.text}\n")
        else:
            rows.append((f"`{path}`", told.text, told.takes, "must be given" if told.required else told.left_out))
    put()
    return "\n".join(parts)


def _commands(commands: Sequence[Command]) -> str:
    parts = ["# Commands\n"]
    for one in commands:
        parts.append(f"## {one.name}\n\n{one.text[:1].upper()}{one.text[1:]}.\n\n```text\n{one.usage}\n```\n")
        if one.takes:
            parts.append(table(("option", "does"), one.takes))
    return "\n".join(parts)


def _limits() -> str:
    rows = [
        (f"`{one.name}`", f"{one.value:g} {one.unit}", one.meaning, one.breach, one.standing, _plain(one.source))
        for one in limits.standard().values()
    ]
    return (
        "# Limits\n\nWhat the checks hold a part to. Another figure: a file of `name: value` lines, given by "
        "`--limits FILE`; it counts as common practice then, with you as its source. What you read in a standard: "
        "`strutwright confirm`.\n\n" + table(("limit", "value", "meaning", "breach", "standing", "source"), rows)
    )


def _what_fails(failing: Sequence[Sequence[str]]) -> str:
    return (
        "# What fails, and why\n\nA part fails where it would lose its work or be unsafe; practice, sealing and looks "
        "warn; what has low confidence is told as a hint and decides nothing.\n\n"
        + table(("check", "what is asked", "limit", "rests on", "or else"), failing)
    )


def _sources() -> str:
    by_source: dict[tuple[str, str], list[str]] = defaultdict(list)
    for one in limits.standard().values():
        by_source[_plain(one.source), one.standing].append(f"`{one.name}`")
    for row in checks.rows():
        by_source[_plain(row.source), row.standing].append(f"`{row.code}`")
    rows = [
        (source if source not in ("", "none") else "no source", standing, ", ".join(dict.fromkeys(names)))
        for (source, standing), names in sorted(by_source.items(), key=lambda item: (item[0][1], item[0][0]))
    ]
    heads = [tables.shipped(name) for name in tables.names()]
    return (
        "# Sources\n\nWhere every figure comes from, and how far it is to be trusted: *published* was read, *from "
        "memory* is to be confirmed against the standard, *common practice* has no source, *geometry* follows by "
        "itself, and what has *low confidence* decides nothing.\n\n## Limits and checks\n\n"
        + table(("source", "standing", "limits and checks that rest on it"), rows)
        + "\n## Standard tables\n\n"
        + table(("table", "standard", "edition"), [(h.title, h.standard, h.edition) for h in heads])
    )


def _plain(source: str) -> str:
    """A source without the braces by which sizes in it are told in the unit of the job."""
    return re.sub(r"\{([^{}:]+)(?::([^{}]*))?\}", lambda m: f"{m[1]} {m[2] or ''}".strip(), source)


def _functions() -> str:
    """The public functions of the models by module, from their docstrings."""
    home = Path(models.__file__).parent
    parts = [
        "# Functions\n\nWhat the program works out, by module of `strutwright.models`. All take and give mm, N, MPa, "
        "kg and degrees unless a name says otherwise; with arrays they answer for many candidates at once.\n"
    ]
    for path in sorted(home.rglob("*.py")):
        name = ".".join(path.relative_to(home).with_suffix("").parts).removesuffix(".__init__")
        found = list(_public(ast.parse(path.read_text(encoding="utf-8"))))
        if found:
            parts.append(f"## {name}\n")
            parts += [f"**`{call}`**\n\n```text\n{said}\n```\n" for call, said in found]
    return "\n".join(parts)


def _public(tree: ast.Module) -> Iterator[tuple[str, str]]:
    for node in tree.body:
        if isinstance(node, ast.FunctionDef) and not node.name.startswith("_"):
            said = ast.get_docstring(node)
            if said:
                yield f"{node.name}({', '.join(a.arg for a in (*node.args.args, *node.args.kwonlyargs))})", said
