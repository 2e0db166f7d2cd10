"""What a few of the program's functions need of the program, as one text without it.

A standalone script has the program's own builders, not others written a second time, which would drift away from them.
They are taken when a script is written, by the standard library alone and within a tenth of a second or so: a copy kept
beside them would have to be made again after each change, and would hold the members of every kind of part.

From a few functions everything is followed that they use. Of a class only those members are kept whose names are asked
of any object, so that a strut here has no propeller and a section no strength. The program's surroundings (findings,
watched steps, units of a job) are replaced by `plain_job` and `plain_words`. Layout and comments stay; worked examples
go, as does the name of the module before a name.
"""

from __future__ import annotations

import ast
import functools
import re
import sys
import textwrap
from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple

from strutwright.exporters.script.modules import (
    Key,
    Module,
    Outside,
    Span,
    Unit,
    Use,
    is_package,
    module,
    resolved,
    targets,
)

_SOLIDS = "strutwright.models.solids"
_WORDS = "strutwright.params.words"
_JOB, _PLAIN_WORDS = "strutwright.exporters.script.plain_job", "strutwright.exporters.script.plain_words"
REPLACED: Mapping[Key, Key] = {
    **{(f"{_SOLIDS}.job", name): (_JOB, name) for name in ("Job", "Part", "cut_away")},
    ("strutwright.models.families", "called"): (_JOB, "called"),
    (f"{_SOLIDS}.let_in", "_colour"): (_JOB, "colour"),
    **{(_WORDS, name): (_PLAIN_WORDS, name) for name in ("say", "mm", "fine_mm", "told", "Words")},
    (f"{_SOLIDS}.triangles", "Solid"): (f"{_SOLIDS}.kernel", "Solid"),
    ("strutwright.models.outline.segments", "Floats"): ("strutwright.models.arrays", "Floats"),
}
"""What stands for a definition of the program in a script."""
HEADINGS = {_JOB: "building", _PLAIN_WORDS: "words"}
"""Headings of modules that are not called as they are in the program."""
WITH: Mapping[Key, str] = {("strutwright.models.sections.kind", "kind_of"): "strutwright.models.sections"}
"""What is of use only after a loop of a module, which enters what it finds there."""
LEFT_OUT = {
    "models.barrel_ends": {"length_mm", "face_mm", "least_length_mm"},
    "models.bolt_heads": {"holds", "from_table", "called", "book", "standards", "washed"},
    "models.sections": {"points", "perimeter_mm", "unit", "properties", "outline", "around"},
    "models.outline.chain": {"translate", "mirror"},
    "models.hull_curve": {"mean_mm"},
    "models.spec.Bolt": {"size", "material"},
    "models.spec.Arm": {"wall_mm"},
    "models.spec.SetScrew": {"point", "number", "pitch_mm"},
    "models.spec_let_in.LockingScrew": {"pitch_mm"},
    "models.spec_flange.Gasket": {"thickness_mm"},
    "models.spec.Identity": {"name", "drawing_number", "hand"},
}
"""Members that are named as others are which the builders ask for, and not asked of classes of these modules."""
WIDE = 120
ALSO = ("turn_deg",)
"""Members that stay though nothing asks for them: what they are given is worked out anyway."""
_ALIASES = (ast.Assign, ast.AnnAssign)


class Member(NamedTuple):
    """A member of a class, and the names it has."""

    node: ast.stmt
    names: frozenset[str]


class Flat(NamedTuple):
    """The text of all that was reached. names: what each definition is called in it; imports: its lines that import."""

    names: dict[Key, str]
    imports: list[str]
    body: str


@functools.cache
def _class(key: Key) -> ast.ClassDef | None:
    node = module(key[0]).definitions.get(key[1])
    return node if isinstance(node, ast.ClassDef) else None


def _bases(key: Key) -> list[Key]:
    node = _class(key)
    found = [resolved(key[0], b.id) for b in node.bases if isinstance(b, ast.Name)] if node else []
    return [f for f in found if f is not None and not isinstance(f, Outside)]


@functools.cache
def _prunable(node: ast.ClassDef) -> bool:
    """Whether fields can go: those of a class that is made by names alone, and what is no record of the class."""
    made = [ast.unparse(d) for d in node.decorator_list if "dataclass" in ast.unparse(d)]
    if any(isinstance(b, ast.Name) and b.id == "NamedTuple" for b in node.bases):
        return False
    return all("kw_only=True" in d for d in made)


def _unwanted(key: Key) -> set[str]:
    name = ".".join(key).removeprefix("strutwright.")
    return next((names for of, names in LEFT_OUT.items() if name.startswith(of)), set())


def _fields(key: Key, asked: Iterable[str]) -> list[str]:
    node = _class(key)
    if node is None:
        return []
    own = [t.id for m in node.body if isinstance(m, ast.AnnAssign) for t in targets(m)]
    if _prunable(node):
        out = _unwanted(key)
        own = [name for name in own if name in asked and name not in out]
    return [*(name for base in _bases(key) for name in _fields(base, asked)), *own]


@functools.cache
def _members(node: ast.ClassDef) -> list[Member]:
    out = []
    for part in node.body:
        names = [part.name] if isinstance(part, ast.FunctionDef) else [t.id for t in targets(part)]
        if names:
            out.append(Member(part, frozenset(names)))
    return out


class Reach:
    """Everything that some definitions need, found step by step. found: in the order found; asked: names of members."""

    def __init__(self, roots: Iterable[Key]) -> None:
        self.found: dict[Key, None] = {}
        self.asked = set(ALSO)
        self.add(roots)

    def add(self, keys: Iterable[Key]) -> None:
        """Find what more definitions need."""
        todo = [replaced(key) for key in keys]
        before = -1
        while todo or before != len(self.asked):
            if not todo:  # members of classes found before may be asked for by now
                before = len(self.asked)
                todo = [k for key in self.found if _class(key) is not None for k in self._wanted(key)]
            new = [key for key in dict.fromkeys(todo) if key not in self.found]
            self.found.update(dict.fromkeys(new))
            todo = [k for key in new for k in (*_loops(key), *self._wanted(key))]

    def fields(self, of: Key) -> list[str]:
        """Return the fields of a dataclass that are kept, its own after those of the classes it stands on."""
        return _fields(of, self.asked)

    def _wanted(self, key: Key) -> list[Key]:
        out: dict[Key, None] = {}
        for unit in units(key, self.asked):
            self.asked |= unit.attributes
            gone = dropped(unit, self.asked)
            for use in unit.uses:
                if isinstance(use.target, Outside) or any(low <= use.at[0] < high for low, high in gone):
                    continue
                target = replaced(use.target)
                alias = isinstance(module(target[0]).definitions.get(target[1]), _ALIASES)
                if (alias or not use.annotation) and target not in self.found:
                    out[target] = None
        return list(out)


def _loops(key: Key) -> list[Key]:
    loop = WITH.get(key)
    return [(loop, name) for name in module(loop).definitions if name.startswith("for ")] if loop else []


def replaced(key: Key) -> Key:
    """Return what stands for a definition."""
    return REPLACED.get(key, key)


def kept(key: Key, asked: Iterable[str]) -> list[ast.stmt]:
    """Return the members of a class that are kept when these names are asked of objects."""
    node, asked = _class(key), frozenset(asked)
    assert node is not None
    out = _unwanted(key)
    every = not _prunable(node)
    return [
        m.node
        for m in _members(node)
        if (m.names & asked and not m.names & out)
        or all(n.startswith("__") for n in m.names)
        or (every and isinstance(m.node, ast.AnnAssign))
    ]


def units(key: Key, asked: Iterable[str]) -> list[Unit]:
    """Return the definition and those of its members that are kept."""
    of = module(key[0])
    node = of.definitions[key[1]]
    if not isinstance(node, ast.ClassDef):
        return [of.unit(node)]
    return [of.unit(node), *(of.member(m) for m in kept(key, asked))]


def dropped(unit: Unit, asked: Iterable[str]) -> list[Span]:
    """Return where a unit gives a record what is none of its kept fields."""
    out = []
    for made, keyword, span in unit.calls:
        node = _class(replaced(made))
        if node is not None and any("dataclass" in ast.unparse(d) for d in node.decorator_list):
            out += [span] if keyword not in _fields(replaced(made), asked) else []
    return out


def ordered(found: Iterable[Key]) -> list[Key]:
    """Return definitions in an order in which each module can be run: what it imports stands before it."""
    wanted, order, seen = list(found), list[str](), set[str]()
    holding = {key[0] for key in wanted}

    def visit(name: str) -> None:
        seen.add(name)
        for of in module(name).first:
            if of not in seen and (of in holding or is_package(of)):
                visit(of)
        order.append(name)

    for name in (_PLAIN_WORDS, *sorted(holding)):
        if name not in seen:
            visit(name)
    place = {name: k for k, name in enumerate(order)}
    return sorted(wanted, key=lambda k: (place[k[0]], module(k[0]).span(module(k[0]).definitions[k[1]])))


def flattened(reach: Reach, taken: frozenset[str]) -> Flat:
    """Return what was reached as one text. taken: names that the script has for itself."""
    return _flattened(tuple(ordered(reach.found)), frozenset(reach.asked), taken)


@functools.lru_cache(maxsize=8)
def _flattened(order: tuple[Key, ...], asked: frozenset[str], taken: frozenset[str]) -> Flat:
    names = _named(order, asked, taken)
    outside: set[Outside] = {Outside("typing", "Any", "Any"), Outside("cadquery", "", "cq"), Outside("sys", "", "sys")}
    parts, last, seen = list[str](), "", set[Span]()
    for key in order:
        of = module(key[0])
        if key[0] != last:
            last, seen = key[0], set()
            parts.append(_heading(of))
        span = of.span(of.definitions[key[1]])
        if span not in seen:  # one assignment may bind several names
            seen.add(span)
            parts.append(_Text(key, asked, names, outside).text())
    return Flat(names, _imports(outside), "\n\n\n".join(parts))


def _heading(of: Module) -> str:
    name = HEADINGS.get(of.name) or of.name.rpartition(".")[2].replace("_", " ")
    return f"# {f'--- {name} '.ljust(116, '-')}\n# {of.about.splitlines()[0]}"


def _named(order: Sequence[Key], asked: frozenset[str], taken: frozenset[str]) -> dict[Key, str]:
    """Return what each definition is called: as in the program, with its module before it where that is another's or
    a name of its own of any function that uses it."""
    local: dict[Key, set[str]] = {key: set() for key in order}
    used = set(taken)
    for key in order:
        for unit in units(key, asked):
            for use in unit.uses:
                if isinstance(use.target, Outside):
                    used.add(use.target.called)
                elif (target := replaced(use.target)) in local:
                    local[target] |= unit.local
    out: dict[Key, str] = {}
    for key in order:
        out[key] = key[1] if key[1] not in used | local[key] else _qualified(key)
        assert out[key] not in used
        used.add(out[key])
    return out


def _qualified(key: Key) -> str:
    """Return a name with that of its module before it, as the kind of name it is."""
    *_, package, of = key[0].split(".")
    bare, of = key[1].lstrip("_"), of.removeprefix("plain_")
    if bare.isupper():
        return f"{of.upper()}_{bare}"
    if bare[0].isupper():
        return f"{(package if of.title() == bare else of).title()}{bare}"
    return f"{of}_{bare}"


def _imports(outside: set[Outside]) -> list[str]:
    """Return the lines that import, those of the standard library first, then a blank one and those of others."""
    lines: list[str] = []
    for standard in (True, False):
        these = [o for o in outside if (o.module.split(".")[0] in sys.stdlib_module_names) is standard]
        lines += sorted(
            f"import {o.module}" + (f" as {o.called}" if o.called != o.module else "") for o in these if not o.name
        )
        parts: dict[str, set[str]] = {}
        for o in these:
            if o.name:
                parts.setdefault(o.module, set()).add(o.name + (f" as {o.called}" if o.called != o.name else ""))
        lines += [_from(of, sorted(parts[of], key=_by_kind)) for of in sorted(parts, key=str.lower)]
        lines += [""] if standard else []
    return lines


def _by_kind(name: str) -> tuple[int, str]:
    return 0 if name.isupper() else 1 if name[0].isupper() else 2, name.lower()


def _from(of: str, names: list[str]) -> str:
    line = f"from {of} import {', '.join(names)}"
    return line if len(line) <= WIDE else f"from {of} import (\n" + "".join(f"    {n},\n" for n in names) + ")"


class _Text:
    """The text of one definition, changed for the script."""

    def __init__(self, key: Key, asked: frozenset[str], names: Mapping[Key, str], outside: set[Outside]) -> None:
        self.key, self.asked, self.names, self.outside = key, asked, names, outside
        self.module = module(key[0])
        self.node = self.module.definitions[key[1]]
        self.edits: list[tuple[Span, bytes]] = []

    def text(self) -> str:
        """Return it."""
        start, end = self.module.lines(self.module.span(self.node))
        if isinstance(self.node, ast.ClassDef):
            self._class(self.node)
        elif isinstance(self.node, ast.FunctionDef):
            self._examples(self.node)
        if isinstance(self.node, ast.ClassDef | ast.FunctionDef):
            self._own_name(self.node)
        for unit in units(self.key, self.asked):
            self._unit(unit)
        source = self.module.source
        out, at = [self._comment_above(start)], start
        for (low, high), new in sorted(self.edits):
            if low >= at:
                out += [source[at:low], new]
                at = high
        out.append(source[at:end])
        return _tidy(b"".join(out).decode("utf-8"))

    def _comment_above(self, start: int) -> bytes:
        source, low = self.module.source, start
        while low > 0:
            before = source.rfind(b"\n", 0, low - 1) + 1
            line = source[before:low].strip()
            if not line.startswith(b"#") or line.startswith((b"# ---", b"# ===")):
                break
            low = before
        return source[low:start]

    def _unit(self, unit: Unit) -> None:
        source, gone = self.module.source, dropped(unit, self.asked)
        for low, high in gone:
            after = re.compile(rb",\s*").match(source, high)
            self.edits.append(((low, after.end() if after else high), b""))
        for use in unit.uses:
            if not any(low <= use.at[0] < high for low, high in gone):
                self._name(use)
        for low, high in map(self.module.lines, unit.imports):
            end = high + 1 if source[high : high + 1] == b"\n" else high  # with the empty line behind them
            self.edits.append(((low, end), b""))

    def _name(self, use: Use) -> None:
        if isinstance(use.target, Outside):
            self.outside.add(use.target)
            return
        name = self.names.get(replaced(use.target), "Any")
        if self.module.source[slice(*use.at)] != name.encode():
            self.edits.append((use.at, name.encode()))

    def _own_name(self, node: ast.ClassDef | ast.FunctionDef) -> None:
        new, word = self.names[self.key], b"def " if isinstance(node, ast.FunctionDef) else b"class "
        if new != node.name:
            first = self.module.span(node)[0]
            at = self.module.source.index(word + node.name.encode(), first) + len(word)
            self.edits.append(((at, at + len(node.name)), new.encode()))

    def _class(self, node: ast.ClassDef) -> None:
        """Cut out the members that are not kept, each with the words behind it."""
        stay = set(map(id, kept(self.key, self.asked)))
        self._examples(node)
        out = False
        for part in node.body[1:] if ast.get_docstring(node) else node.body:
            words = isinstance(part, ast.Expr)
            out = out if words else id(part) not in stay
            if out:
                low, high = self.module.lines(self.module.span(part))
                self.edits.append(((self._comments_from(low), high), b""))
            elif isinstance(part, ast.FunctionDef):
                self._examples(part)

    def _comments_from(self, low: int) -> int:
        return low - len(self._comment_above(low))

    def _examples(self, node: ast.ClassDef | ast.FunctionDef) -> None:
        """Cut the worked examples out of a docstring."""
        if not ast.get_docstring(node):
            return
        low, high = self.module.span(node.body[0])
        text = self.module.source[low:high]
        at = text.find(b">>>")
        if at >= 0:
            words = text[:at].rstrip()
            line = node.body[0].col_offset + len(words)
            close = b'"""' if b"\n" not in words and line <= 117 else b"\n" + b" " * node.body[0].col_offset + b'"""'
            self.edits.append(((low, high), words + close))


def _tidy(text: str) -> str:
    """Take out the empty lines that cuts have left."""
    text = re.sub(r"\n{3,}", "\n\n", text.strip("\n"))
    text = re.sub(r"(\n *(?:def|class) [^\n]*:\n)\n+", r"\1", f"\n{text}")[1:]
    lines = textwrap.dedent(text.rstrip()).split("\n")
    return "\n".join(_folded(line) if len(line) > WIDE else line for line in lines)


def _folded(line: str) -> str:
    """Return a line that longer names have made too long, with what stands in its first brackets on one of its own."""
    low, deep = line.find("("), 0
    for high in range(max(low, 0), len(line)):
        deep += {"(": 1, ")": -1}.get(line[high], 0)
        if deep == 0:
            break
    else:
        return line
    indent = line[: len(line) - len(line.lstrip())]
    return f"{line[: low + 1]}\n{indent}    {line[low + 1 : high]}\n{indent}{line[high:]}"
