"""A strict reader for YAML parameter files: plain data with the line and column of every value.

The parser is PyYAML's; this module only walks its node tree, because the usual constructors let duplicate keys
through, turn `no` into False, read `1e3` as text and `12:30:00` as a number.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, field
from pathlib import Path

import yaml

from strutwright.params.problems import ParameterError, Problem, shown

Key = str | int
Path_ = tuple[Key, ...]

MAX_BYTES = 256 * 1024
MAX_EVENTS = 20_000
MAX_DEPTH = 12
_INT = re.compile(r"[-+]?(0|[1-9][0-9]*)\Z")
_FLOAT = re.compile(r"[-+]?([0-9]+\.[0-9]*|\.[0-9]+|[0-9]+(?=[eE]))([eE][-+]?[0-9]+)?\Z")
_WORDS: dict[str, object] = {"true": True, "false": False, "yes": True, "no": False, "null": None, "~": None, "": None}
_NOT_FINITE = re.compile(r"[-+]?\.?(nan|inf|infinity)\Z", re.IGNORECASE)
_UNREADABLE = re.compile("[^\t\n\r\x20-\x7e\x85\xa0-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
_Loader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)


@dataclass(slots=True)
class Document:
    """A file's data and where each value and key stands (1-based line and column), by path."""

    file: str
    data: dict[str, object]
    values: dict[Path_, tuple[int, int]] = field(default_factory=dict)
    keys: dict[Path_, tuple[int, int]] = field(default_factory=dict)
    faults: list[Problem] = field(default_factory=list)
    """Faults that leave the rest of the file readable: duplicate keys, values that are not finite."""
    unsure: set[Path_] = field(default_factory=set)
    """Where a number stands whose unit is not known: it is held to no range."""

    def where(self, path: Path_, *, key: bool = False) -> tuple[int, int]:
        """Return line and column of a value (or its key), or of the nearest enclosing one."""
        if key and path in self.keys:
            return self.keys[path]
        while path and path not in self.values:
            path = path[:-1]
        return self.values.get(path, (1, 1))

    def problem(
        self,
        path: Path_,
        what: str,
        given: str = "",
        allowed: str = "",
        advice: str = "",
        *,
        key: bool = False,
        at: Path_ | None = None,
    ) -> Problem:
        """Return the fault of a value (or its key). at: the path that it is shown at, where that is another."""
        line, column = self.where(path if at is None else at, key=key)
        return Problem(
            file=self.file,
            line=line,
            column=column,
            path=dotted(path),
            what=what,
            given=given,
            allowed=allowed,
            advice=advice,
        )


def read_file(path: Path) -> Document:
    """Return the document in a file. Raises ParameterError with every fault found."""
    return read_text(text_of(path, "a parameter set")[1], str(path))


def text_of(path: Path, meant: str) -> tuple[bytes, str]:
    """Return the bytes and the text of a file. meant: what it should hold. Raises ParameterError."""
    name = str(path)
    try:
        size = path.stat().st_size
        if not path.is_file():
            raise _refused(name, "is not a file", advice="give a YAML file")
        if size > MAX_BYTES:
            raise _refused(name, f"is too large for {meant}", f"{size} bytes", f"at most {MAX_BYTES} bytes")
        raw = path.read_bytes()
    except ParameterError:
        raise
    except (OSError, ValueError) as error:
        why = f"cannot be read ({getattr(error, 'strerror', None) or error})"
        raise _refused(name, why, advice="check the name and the permissions") from None
    try:
        return raw, raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        at = (raw[: error.start].count(b"\n") + 1, 1)
        raise _refused(name, "is not UTF-8 text", advice="save the file as UTF-8", at=at) from None


def read_text(text: str, name: str) -> Document:
    """Return the document in a text; `name` is used in messages.

    Raises ParameterError when the text cannot be read at all; lesser faults are left in `Document.faults`.
    """
    refuse_unreadable(text, name)
    try:
        _refuse_tricks(text, name)
        node = yaml.compose(text, Loader=_Loader)
    except yaml.MarkedYAMLError as error:
        mark = error.problem_mark or error.context_mark
        at = (mark.line + 1, mark.column + 1) if mark else (1, 1)
        lines = text.splitlines() or [""]
        what, advice = _unreadable(f"{error.context or ''} {error.problem or ''}", lines[min(at[0], len(lines)) - 1])
        raise _refused(name, what, advice=advice, at=at) from None
    except yaml.YAMLError:
        raise _refused(name, "cannot be read as YAML", advice=_LOOK) from None
    if not isinstance(node, yaml.MappingNode):
        raise _refused(name, "holds no parameter groups", allowed="group names such as `shaft:`, with lines below them")
    document = Document(name, {})
    document.data = _Walk(document).mapping(node, ())
    return document


def of_data(data: dict[str, object], name: str) -> Document:
    """Return the document of plain data that the program itself made, as it would be read from a text; its places are
    all the first one."""
    document = Document(name, data)
    waiting: list[tuple[Path_, object]] = [((key,), value) for key, value in data.items()]
    while waiting:
        path, value = waiting.pop()
        document.values[path] = (1, 1)
        inside = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
        waiting += [((*path, key), each) for key, each in inside]
    return document


def refuse_unreadable(text: str, name: str) -> None:
    """Raise ParameterError for a text with a control character."""
    odd = _UNREADABLE.search(text)
    if odd is not None:
        before = text[: odd.start()]
        at = (before.count("\n") + 1, odd.start() - before.rfind("\n"))
        given = f"character number {ord(odd[0])}"
        raise _refused(name, "holds a control character", given, "printable text", "remove it", at=at)


def _refused(
    name: str, what: str, given: str = "", allowed: str = "", advice: str = "", *, at: tuple[int, int] = (1, 1)
) -> ParameterError:
    """Return the error for a text that cannot be read at all. at: line and column."""
    line, column = at
    return ParameterError(
        [Problem(file=name, line=line, column=column, path="", what=what, given=given, allowed=allowed, advice=advice)]
    )


_LOOK = "check indentation, colons, brackets and quotes near here"
_UNREADABLE_BY = (
    (
        "quoted scalar",
        "a quote is not closed, or a backslash stands in double quotes",
        "close the quote; use single quotes where a backslash is meant",
    ),
    ("flow", "a brace or bracket is not closed, or a comma is missing in one", "close it, or add the comma"),
    (
        "mapping values",
        "a second colon stands in one line, or a line is indented too far",
        "put a text with a colon in quotes; line up the names of one group",
    ),
    ("block", "a line does not line up with those of its group", "line up the names of one group"),
    ("expected ':'", "a line has no colon", "write `name: value`, or `name:` with its group below"),
    ("single document", "more than one set, parted by `---`", "keep one"),
)


def _unreadable(reason: str, line: str) -> tuple[str, str]:
    """Return (what, advice) for a text that is no YAML. reason: as the library has it; line: the line it stopped at."""
    if "\t" in line[: len(line) - len(line.lstrip())]:
        return "is not YAML: a line is indented with a tab", "indent with spaces"
    return next(
        ((f"is not YAML: {what}", advice) for words, what, advice in _UNREADABLE_BY if words in reason),
        ("is not YAML", _LOOK),
    )


def _refuse_tricks(text: str, name: str) -> None:
    """Refuse anchors, aliases, type tags and oversize trees on the event stream, before any tree is built."""
    depth = 0
    for count, event in enumerate(yaml.parse(text, Loader=_Loader)):
        depth += isinstance(event, (yaml.MappingStartEvent, yaml.SequenceStartEvent))
        depth -= isinstance(event, (yaml.MappingEndEvent, yaml.SequenceEndEvent))
        fault = None
        if isinstance(event, yaml.AliasEvent) or getattr(event, "anchor", None):
            fault = ("uses an anchor or alias (& or *)", "plain values only", "write the value out where it is needed")
        elif getattr(event, "tag", None):
            fault = ("has a type tag (!)", "plain values only", "remove the tag")
        elif depth > MAX_DEPTH or count > MAX_EVENTS:
            fault = ("is too large or nested too deeply", f"at most {MAX_EVENTS} values and {MAX_DEPTH} levels", "")
        if fault:
            mark = event.start_mark
            assert mark is not None
            raise _refused(name, fault[0], "", *fault[1:], at=(mark.line + 1, mark.column + 1))


class _Walk:
    def __init__(self, document: Document) -> None:
        self.document = document

    def fault(
        self, node: yaml.Node, path: Path_, what: str, given: str = "", allowed: str = "", advice: str = ""
    ) -> None:
        mark = node.start_mark
        self.document.faults.append(
            Problem(
                file=self.document.file,
                line=mark.line + 1,
                column=mark.column + 1,
                path=dotted(path),
                what=what,
                given=given,
                allowed=allowed,
                advice=advice,
            )
        )

    def visit(self, node: yaml.Node, path: Path_) -> object:
        mark = node.start_mark
        self.document.values[path] = (mark.line + 1, mark.column + 1)
        if isinstance(node, yaml.MappingNode):
            return self.mapping(node, path)
        if isinstance(node, yaml.SequenceNode):
            return [self.visit(child, (*path, i)) for i, child in enumerate(node.value)]
        assert isinstance(node, yaml.ScalarNode)
        return self.scalar(node, path)

    def mapping(self, node: yaml.MappingNode, path: Path_) -> dict[str, object]:
        result: dict[str, object] = {}
        for key_node, value_node in node.value:
            key = key_node.value
            if not isinstance(key_node, yaml.ScalarNode) or not isinstance(key, str) or key == "<<":
                self.fault(key_node, path, "has a key that is not a plain word")
                continue
            here = (*path, key)
            if key in result:
                self.fault(
                    key_node,
                    here,
                    "is given twice",
                    given=f"first in line {self.document.keys[here][0]}",
                    advice="keep one of the two",
                )
                continue
            self.document.keys[here] = (key_node.start_mark.line + 1, key_node.start_mark.column + 1)
            result[key] = self.visit(value_node, here)
        return result

    def scalar(self, node: yaml.ScalarNode, path: Path_) -> object:
        text = str(node.value)
        if node.style in ("'", '"', "|", ">"):
            return text
        if text.lower() in _WORDS:
            return _WORDS[text.lower()]
        if _NOT_FINITE.match(text):
            self.fault(node, path, "is not a finite number", given=text, advice="give a real size")
            return None
        if _INT.match(text):
            if len(text) > 18:
                self.fault(node, path, "is absurdly large", given=shown(text))
                return None
            return int(text)
        if _FLOAT.match(text):
            number = float(text)
            if not math.isfinite(number):
                self.fault(node, path, "is not a finite number", given=shown(text))
                return None
            return number
        return text


def dotted(path: Path_) -> str:
    """Return a path as text: `bolts.points[2].forward`."""
    out = ""
    for part in path:
        word = f"[{part}]" if isinstance(part, int) else shown(part)
        out += f".{word}" if out and isinstance(part, str) else word
    return out
