"""The program's own modules as text: what each defines and imports, and what each definition refers to.

The standard library's `ast` finds the places and the text is cut at them, so that layout and comments stay; nothing is
run. Places are byte offsets into a module's text, as the parser counts columns in bytes.
"""

from __future__ import annotations

import ast
import functools
import importlib.util
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from itertools import accumulate
from pathlib import Path
from typing import NamedTuple, TypeAlias

ROOT = "strutwright"
Key: TypeAlias = tuple[str, str]
"""A definition: its module and its name there."""
Span: TypeAlias = tuple[int, int]
Function: TypeAlias = ast.FunctionDef | ast.AsyncFunctionDef | ast.Lambda
_COMPREHENSION = (ast.ListComp, ast.SetComp, ast.DictComp, ast.GeneratorExp)


class Outside(NamedTuple):
    """A name of a library: the module, the name in it or "" for the module itself, and what it is called."""

    module: str
    name: str
    called: str


Target: TypeAlias = Key | Outside
"""What a name stands for. (module, "") is one of the program's modules."""


class Use(NamedTuple):
    """A place where a name is used. annotation: only to say what type something is of."""

    at: Span
    target: Target
    annotation: bool


@dataclass(slots=True)
class Unit:
    """A definition, or a member of a class, and what it takes. attributes: the names asked of objects; local: names of
    its own; imports: statements within it; calls: each keyword given to a definition, and where it stands."""

    node: ast.stmt
    uses: list[Use] = field(default_factory=list)
    attributes: set[str] = field(default_factory=set)
    local: set[str] = field(default_factory=set)
    imports: list[Span] = field(default_factory=list)
    calls: list[tuple[Key, str, Span]] = field(default_factory=list)


class Module:
    """One module: its text, its definitions by name, and what its imports stand for."""

    def __init__(self, name: str) -> None:
        file = _file(name)
        assert file is not None
        self.name, self.source = name, file.read_bytes()
        tree = ast.parse(self.source)
        self.about = ast.get_docstring(tree) or ""
        self.definitions: dict[str, ast.stmt] = {}
        self.imports: dict[str, Target] = {}
        self.first: list[str] = []
        self._starts = [0, *accumulate(len(line) for line in self.source.splitlines(keepends=True))]
        self._take(tree.body)

    def _take(self, body: Sequence[ast.stmt]) -> None:
        for number, node in enumerate(body):
            if isinstance(node, ast.Import | ast.ImportFrom):
                taken = dict(imported(node))
                self.imports.update(taken)
                self.first += [t[0] for t in taken.values() if not isinstance(t, Outside)]
            elif isinstance(node, ast.If):  # what types alone need: a cycle, or the kernel
                before = len(self.first)
                self._take(node.body)
                del self.first[before:]
            elif isinstance(node, ast.FunctionDef | ast.ClassDef):
                self.definitions[node.name] = node
            elif isinstance(node, ast.For):
                self.definitions[f"for {number}"] = node
            else:
                self.definitions.update((t.id, node) for t in targets(node))

    def span(self, node: ast.AST) -> Span:
        """Return where a node stands, its decorators with it."""
        line, column, end, last = (getattr(node, n) for n in ("lineno", "col_offset", "end_lineno", "end_col_offset"))
        for decorator in getattr(node, "decorator_list", ()):
            line, column = min((line, column), (decorator.lineno, decorator.col_offset - 1))
        return self._starts[line - 1] + column, self._starts[end - 1] + last

    def lines(self, span: Span) -> Span:
        """Return a span drawn out to whole lines."""
        start = self.source.rfind(b"\n", 0, span[0]) + 1
        end = self.source.find(b"\n", span[1])
        return start, len(self.source) if end < 0 else end + 1

    @functools.cache  # noqa: B019 - modules are kept as long as the process
    def unit(self, node: ast.stmt) -> Unit:
        """Return what a definition or a member of a class takes."""
        scan = _Scan(self, node)
        if isinstance(node, ast.ClassDef):  # its members are units of their own
            for part in (*node.decorator_list, *node.bases):
                scan.visit(part)
        else:
            scan.visit(node)
        return scan.unit

    @functools.cache  # noqa: B019
    def member(self, node: ast.stmt) -> Unit:
        """Return what a member of a class takes; a field's own name is none of the module's."""
        scan = _Scan(self, node)
        scan.scopes.append({t.id for t in targets(node)})
        scan.visit(node)
        return scan.unit


READ: dict[str, Module] = {}
"""The modules that were read in this process."""


def module(name: str) -> Module:
    """Return a module of the program, read once a process."""
    if name not in READ:
        READ[name] = Module(name)
    return READ[name]


@functools.cache
def _file(name: str) -> Path | None:
    """Return where a module's text is; None for what is no module."""
    parts = name.split(".")
    top = importlib.util.find_spec(".".join(parts[:2]))
    if top is None or not top.submodule_search_locations:
        return None if top is None or top.origin is None else Path(top.origin)
    at = Path(top.submodule_search_locations[0]).joinpath(*parts[2:])
    return next((f for f in (at / "__init__.py", at.with_name(f"{at.name}.py")) if f.is_file()), None)


def is_package(name: str) -> bool:
    """Whether a module of the program is a folder of modules, which may hand on what they define."""
    file = _file(name)
    return file is not None and file.name == "__init__.py"


def imported(node: ast.Import | ast.ImportFrom) -> Iterator[tuple[str, Target]]:
    """Yield the names that an import binds, and what they stand for."""
    if isinstance(node, ast.Import):
        for alias in node.names:
            yield alias.asname or alias.name, Outside(alias.name, "", alias.asname or alias.name)
        return
    of = node.module or ""
    for alias in node.names:
        called = alias.asname or alias.name
        if of.split(".")[0] != ROOT:
            yield called, Outside(of, alias.name, called)
        elif _file(f"{of}.{alias.name}") is not None:
            yield called, (f"{of}.{alias.name}", "")
        else:
            yield called, (of, alias.name)


def targets(node: ast.stmt) -> list[ast.Name]:
    """Return the names that an assignment binds."""
    to = node.targets if isinstance(node, ast.Assign) else [node.target] if isinstance(node, ast.AnnAssign) else []
    flat = [e for t in to for e in (t.elts if isinstance(t, ast.Tuple) else [t])]
    return [t for t in flat if isinstance(t, ast.Name)]


def resolved(of: str, name: str) -> Target | None:
    """Return what a name stands for in a module, followed to where it is defined; None for one that is built in."""
    here = module(of)
    if name in here.definitions:
        return of, name
    target = here.imports.get(name)
    if target is None or isinstance(target, Outside) or not target[1]:
        return target
    return resolved(*target)


def bound(body: Sequence[ast.AST]) -> set[str]:
    """Return the names that statements bind in their own scope, imports apart."""
    out: set[str] = set()
    todo: list[ast.AST] = list(body)
    while todo:
        node = todo.pop()
        if isinstance(node, ast.FunctionDef | ast.ClassDef):
            out.add(node.name)
            continue
        if isinstance(node, (ast.Lambda, *_COMPREHENSION)):
            continue
        if isinstance(node, ast.Name) and isinstance(node.ctx, ast.Store):
            out.add(node.id)
        elif isinstance(node, ast.ExceptHandler) and node.name:
            out.add(node.name)
        todo += ast.iter_child_nodes(node)
    return out


class _Scan(ast.NodeVisitor):
    """Finds what a unit takes, with Python's rules of scopes."""

    def __init__(self, of: Module, node: ast.stmt) -> None:
        self.module, self.unit = of, Unit(node)
        self.scopes: list[set[str]] = []
        self.taken: dict[str, Target] = {}  # by imports within functions
        self.annotating = False

    def _target(self, name: str) -> Target | None:
        if any(name in scope for scope in self.scopes):
            return None
        found = self.taken.get(name) or self.module.imports.get(name)
        if found is not None and not isinstance(found, Outside) and found[1]:
            return resolved(*found)
        return found or resolved(self.module.name, name)

    def _use(self, node: ast.expr, target: Target) -> None:
        self.unit.uses.append(Use(self.module.span(node), target, self.annotating))

    def _annotated(self, node: ast.expr | None) -> None:
        if node is not None:
            before, self.annotating = self.annotating, True
            self.visit(node)
            self.annotating = before

    def _inside(self, names: set[str], nodes: Sequence[ast.AST]) -> None:
        self.unit.local |= names
        self.scopes.append(names)
        for node in nodes:
            self.visit(node)
        self.scopes.pop()

    def _function(self, node: Function) -> None:
        a = node.args
        every = [*a.posonlyargs, *a.args, *a.kwonlyargs, *(x for x in (a.vararg, a.kwarg) if x)]
        for arg in every:
            self._annotated(arg.annotation)
        for default in (*a.defaults, *(d for d in a.kw_defaults if d)):
            self.visit(default)
        body = [node.body] if isinstance(node, ast.Lambda) else node.body
        self._inside({arg.arg for arg in every} | bound(body), body)

    def visit_FunctionDef(self, node: ast.FunctionDef) -> None:
        for decorator in node.decorator_list:
            self.visit(decorator)
        self._annotated(node.returns)
        self._function(node)

    def visit_Lambda(self, node: ast.Lambda) -> None:
        self._function(node)

    def _comprehension(self, node: ast.ListComp | ast.SetComp | ast.DictComp | ast.GeneratorExp) -> None:
        names = bound([generator.target for generator in node.generators])
        self._inside(names, list(ast.iter_child_nodes(node)))

    visit_ListComp = visit_SetComp = visit_DictComp = visit_GeneratorExp = _comprehension  # noqa: N815

    def visit_AnnAssign(self, node: ast.AnnAssign) -> None:
        self._annotated(node.annotation)
        self.visit(node.target)
        if node.value is not None:
            self.visit(node.value)

    def _imports(self, node: ast.Import | ast.ImportFrom) -> None:
        self.taken.update(imported(node))
        self.unit.imports.append(self.module.span(node))

    visit_Import = visit_ImportFrom = _imports  # noqa: N815

    def visit_Name(self, node: ast.Name) -> None:
        if (target := self._target(node.id)) is not None and (isinstance(target, Outside) or target[1]):
            self._use(node, target)

    def visit_Attribute(self, node: ast.Attribute) -> None:
        target = self._target(node.value.id) if isinstance(node.value, ast.Name) else None
        if target is not None and not isinstance(target, Outside) and not target[1]:
            if (found := resolved(target[0], node.attr)) is not None:
                self._use(node, found)
            return
        self.unit.attributes.add(node.attr)
        self.visit(node.value)

    def visit_Call(self, node: ast.Call) -> None:
        before = len(self.unit.uses)
        self.visit(node.func)
        made = self.unit.uses[before].target if len(self.unit.uses) > before else None
        for keyword in node.keywords:
            if keyword.arg and made is not None and not isinstance(made, Outside):
                self.unit.calls.append((made, keyword.arg, self.module.span(keyword)))
            self.visit(keyword.value)
        for argument in node.args:
            self.visit(argument)
