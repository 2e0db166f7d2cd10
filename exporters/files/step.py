"""STEP files (ISO 10303-21, AP214) of the strut: named, coloured parts in one assembly, or one part alone.

The file's bytes depend on the shapes, names, unit and hand only: the time stamp is fixed, and the kernel's
running counters are renumbered. The kernel is imported inside the functions, as it is slow to load.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal, Protocol

from strutwright.models.solids import watch

if TYPE_CHECKING:
    from OCP.STEPCAFControl import STEPCAFControl_Writer

FileUnit = Literal["mm", "in"]
TIME_STAMP = "2000-01-01T00:00:00"
"""Stands in the header in place of the clock, so that equal parts give equal files."""
ORIGIN = "strutwright"
_UNIT_NAMES: dict[FileUnit, str] = {"mm": "MM", "in": "INCH"}
_USAGE = re.compile(r"^(NEXT_ASSEMBLY_USAGE_OCCURRENCE\()'\d+'")
_ENTITY = re.compile(r"#(\d+)\s*=\s*((?:[^';]|'(?:[^']|'')*')*);")
_TOKEN = re.compile(r"'(?:[^']|'')*'|[^',()]+|[,()]")
_REFERENCE = re.compile(r"'(?:[^']|'')*'|#(\d+)")
_STYLES = "MECHANICAL_DESIGN_GEOMETRIC_PRESENTATION_REPRESENTATION"
_MARK = re.compile("~([0-9A-F]{8})~")
_LINE = 100
_END = "END-ISO-10303-21;"


class PartLike(Protocol):
    """What an exporter needs of a part: a name, a cadquery shape in mm, red, green, blue in 0..1, and the parameter to
    blame when the kernel cannot cope with it."""

    @property
    def name(self) -> str: ...

    @property
    def shape(self) -> Any: ...

    @property
    def colour(self) -> tuple[float, float, float]: ...

    @property
    def parameter(self) -> str: ...


class StepError(RuntimeError):
    """The kernel could not write or read a STEP file; the text says which and what to do."""


def write_assembly(
    path: Path, parts: Sequence[PartLike], product: str, unit: FileUnit = "mm", *, curves: bool = True
) -> None:
    """Write all parts as one STEP assembly.

    path: the file. parts: in the order wanted in the tree, shapes in mm. product: name of the assembly; put
    the hand in it. unit: "mm" or "in"; the geometry is converted and the unit stands in the file. curves: with each
    edge's curves on its faces, more than half of a file: where a blend runs out at a few degrees, who reads it without
    may find others and leave a gap between the faces. Raises StepError when the kernel refuses, ValueError for names
    that are empty or used twice.
    """
    names = [part.name for part in parts]
    if not parts or not all(names) or len(set(names)) != len(names):
        raise ValueError(f"a STEP assembly needs parts with names of their own; given were {names}")
    with watch.step("the STEP file of the whole strut", parts[0].parameter):
        _write(path, parts, product, unit, assembly=True, curves=curves)


def write_part(path: Path, part: PartLike, product: str, unit: FileUnit = "mm", *, curves: bool = True) -> None:
    """Write one part alone, in its place in the strut frame. Arguments and errors as `write_assembly`."""
    with watch.step(f"the STEP file of the {part.name}", part.parameter):
        _write(path, [part], product, unit, assembly=False, curves=curves)


def _write(
    path: Path, parts: Sequence[PartLike], product: str, unit: FileUnit, *, assembly: bool, curves: bool
) -> None:
    from OCP.IFSelect import IFSelect_ReturnStatus
    from OCP.Quantity import Quantity_Color, Quantity_TypeOfColor
    from OCP.STEPCAFControl import STEPCAFControl_Writer
    from OCP.STEPControl import STEPControl_StepModelType
    from OCP.TCollection import TCollection_ExtendedString
    from OCP.TDataStd import TDataStd_Name
    from OCP.TDocStd import TDocStd_Document
    from OCP.TopLoc import TopLoc_Location
    from OCP.XCAFDoc import XCAFDoc_ColorType, XCAFDoc_DocumentTool

    def named(label: Any, name: str) -> Any:
        TDataStd_Name.Set_s(label, TCollection_ExtendedString(_marked(name)))
        return label

    doc = TDocStd_Document(TCollection_ExtendedString("XmlXCAF"))
    shapes = XCAFDoc_DocumentTool.ShapeTool_s(doc.Main())
    colours = XCAFDoc_DocumentTool.ColorTool_s(doc.Main())
    top = named(shapes.NewShape(), product) if assembly else None
    for part in parts:
        label = named(shapes.AddShape(part.shape.wrapped, False, False), part.name if assembly else product)
        colour = Quantity_Color(*part.colour, Quantity_TypeOfColor.Quantity_TOC_sRGB)
        colours.SetColor(label, colour, XCAFDoc_ColorType.XCAFDoc_ColorSurf)
        if top is not None:
            named(shapes.AddComponent(top, label, TopLoc_Location()), part.name)
    shapes.UpdateAssemblies()

    writer = STEPCAFControl_Writer()
    writer.SetColorMode(True)
    writer.SetNameMode(True)
    with _settings(unit, curves):
        if not writer.Transfer(doc, STEPControl_StepModelType.STEPControl_AsIs):
            raise StepError(
                f"{path.name}: the kernel could not turn {product} into STEP; check that its solids are valid"
            )
        _head(writer, product)
        if writer.Write(str(path)) != IFSelect_ReturnStatus.IFSelect_RetDone:
            raise StepError(f"{path}: could not be written; check that the folder exists and may be written to")
    text = path.read_text("ascii")
    if not text.rstrip().endswith(_END):
        raise StepError(f"{path}: could not be written to its end; check that there is room on the disk")
    path.write_bytes(_canonical(text).encode("ascii"))


@contextmanager
def _settings(unit: FileUnit, curves: bool) -> Iterator[None]:
    """The kernel's settings are global: put them back, whatever happens."""
    from OCP.Interface import Interface_Static

    wanted = {"write.step.unit": _UNIT_NAMES[unit], "write.step.schema": "AP214IS"}
    before = {key: Interface_Static.CVal_s(key) for key in wanted}
    mode = Interface_Static.IVal_s("write.surfacecurve.mode")
    try:
        for key, value in wanted.items():
            Interface_Static.SetCVal_s(key, value)
        Interface_Static.SetIVal_s("write.surfacecurve.mode", int(curves))
        yield
    finally:
        for key, value in before.items():
            Interface_Static.SetCVal_s(key, value)
        Interface_Static.SetIVal_s("write.surfacecurve.mode", mode)


def _head(writer: STEPCAFControl_Writer, product: str) -> None:
    from OCP.APIHeaderSection import APIHeaderSection_MakeHeader
    from OCP.TCollection import TCollection_HAsciiString as Text

    head = APIHeaderSection_MakeHeader(writer.ChangeWriter().Model())
    head.SetName(Text(_marked(product)))
    head.SetTimeStamp(Text(TIME_STAMP))
    head.SetAuthorValue(1, Text(ORIGIN))
    head.SetOrganizationValue(1, Text(ORIGIN))
    head.SetPreprocessorVersion(Text(ORIGIN))
    head.SetOriginatingSystem(Text(ORIGIN))
    head.SetAuthorisation(Text(""))
    head.SetDescriptionValue(1, Text(_marked(product)))


def _marked(text: str) -> str:
    """Replace what is not plain ASCII by marks: the kernel would write it in a way the standard does not know.

    The quote goes too, as the kernel loses its way in a text with doubled quotes and brackets when reading it back.
    """
    return "".join(c if " " <= c < "~" and c not in "\\'" else f"~{ord(c):08X}~" for c in text)


_REAL = re.compile(r"-?\b\d+\.\d*(?:E[-+]?\d+)?")
_OF_POINTS, _OF_OTHERS = 10, 15
"""Places of decimals: of points, in mm or inches, which fill most of a file; of directions and the like. What is less
is nothing."""
_SHARED = re.compile(r"(?:CARTESIAN_POINT|DIRECTION|VECTOR|AXIS2_PLACEMENT_[23]D|LINE|CIRCLE)\(")
"""What may stand once for all that are made of it."""


def _canonical(text: str) -> str:
    """Return the file with everything taken out that depends on the process rather than on the parts.

    The kernel numbers the usages of parts through the whole process, breaks lines by the length of those
    numbers, and writes the colours in the order of memory addresses. An intersection that lies on a plane of the frame
    comes out as 0 in one process and as 1e-30 in another. Points and axes that it writes again and again stand once.
    """
    header, rest = text.split("DATA;\n", 1)
    bodies = _once({int(m[1]): _rounded(re.sub(r"\n *", "", m[2])) for m in _ENTITY.finditer(rest)})
    order = _order(bodies)
    number = {old: new for new, old in enumerate(order, start=1)}
    usages = iter(range(1, len(bodies) + 1))
    lines = []
    for old in order:
        body = _USAGE.sub(lambda m: f"{m[1]}'{next(usages)}'", bodies[old])
        body = _REFERENCE.sub(lambda m: f"#{number[int(m[1])]}" if m[1] else m[0], body)
        lines.append(_wrapped(f"#{number[old]}={_standard(body)};"))
    return f"{_standard(header)}DATA;\n" + "\n".join(lines) + f"\nENDSEC;\n{_END}\n"


def _rounded(body: str) -> str:
    """Return an entity with its numbers rounded, but for those of units and tolerances."""
    if "MEASURE" in body:
        return body
    places = _OF_POINTS if body.startswith("CARTESIAN_POINT") else _OF_OTHERS
    return _REAL.sub(lambda found: _real(float(found[0]), places), body)


def _real(number: float, places: int) -> str:
    """Return a number as ISO 10303-21 writes it, no longer than it has to be."""
    digits, power, exponent = repr(round(number, places) + 0.0).upper().partition("E")
    return (
        (digits.removesuffix("0") if digits.endswith(".0") else digits + "." * ("." not in digits)) + power + exponent
    )


def _once(bodies: dict[int, str]) -> dict[int, str]:
    """Return the entities with those that say the same, and may be shared, once: the first of them."""
    first, same = dict[str, int](), dict[int, int]()
    for n, body in bodies.items():
        if _SHARED.match(body) and first.setdefault(body, n) != n:
            same[n] = first[body]
    if not same:
        return bodies
    kept = {
        n: _REFERENCE.sub(lambda m: f"#{same.get(int(m[1]), int(m[1]))}" if m[1] else m[0], body)
        for n, body in bodies.items()
        if n not in same
    }
    return _once(kept)


def _order(bodies: dict[int, str]) -> list[int]:
    """Return the entity numbers as written, but the styles at the end in the order of the solids they colour."""
    refers = {n: [int(m[1]) for m in _REFERENCE.finditer(body) if m[1]] for n, body in bodies.items()}
    styles = [n for n, body in bodies.items() if body.startswith(_STYLES)]
    if not styles:
        return sorted(bodies)
    order = [n for n in sorted(bodies) if n < min(styles)]
    done = set(order)

    def emit(n: int) -> None:
        if n not in done:
            done.add(n)
            order.append(n)
            for m in refers[n]:
                emit(m)

    # representation -> styled item -> the solid is its last reference
    for n in sorted(styles, key=lambda n: refers[refers[n][0]][-1]):
        emit(n)
    return order


def _standard(text: str) -> str:
    """Put the marks of `_marked` back as ISO 10303-21 writes other characters: by code point, a backslash twice."""

    def written(m: re.Match[str]) -> str:
        code = int(m[1], 16)
        if code == ord("\\"):
            return "\\\\"
        return f"\\X2\\{code:04X}\\X0\\" if code < 0x10000 else f"\\X4\\{code:08X}\\X0\\"

    return _MARK.sub(written, text)


def _wrapped(entity: str) -> str:
    """Break a long entity after commas that stand outside texts."""
    lines = [""]
    for token in _TOKEN.findall(entity):
        if len(lines[-1]) + len(token) > _LINE and token not in ",)":
            lines.append(" ")
        lines[-1] += token
    return "\n".join(lines)
