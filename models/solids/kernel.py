"""The solid-modelling kernel behind plain functions.

It is imported inside the functions, because importing it takes seconds and everything numeric must do without.
Lengths mm, angles degrees. Points and vectors are arrays of shape (3,) in the strut frame. Shapes are cadquery shapes.
"""

from __future__ import annotations

import math
import weakref
from collections.abc import Callable, Iterable, Sequence
from functools import partial
from typing import TYPE_CHECKING, Any, TypeAlias, TypeVar

import numpy as np

from strutwright.models.frames import Axes, Vector
from strutwright.models.outline import Outline, OutlineError
from strutwright.models.sections import SectionError
from strutwright.models.solids.triangles import COARSE, closes
from strutwright.params.words import Words, told

if TYPE_CHECKING:
    import cadquery as cq

    Solid: TypeAlias = cq.Solid
    Edge: TypeAlias = cq.Edge
    Wire: TypeAlias = cq.Wire
else:
    Solid: TypeAlias = Any
    Edge: TypeAlias = Any
    Wire: TypeAlias = Any

Made = TypeVar("Made")

FUZZY_MM = (1e-4, 1e-3)  # far below what can be made or measured
MEND_MM = 0.01  # how far the kernel's repair may let edges miss each other
SMOOTH_RAD = 0.01  # between the faces on both sides of a smooth edge, half a degree
ENDS_MEET_MM = 1e-5  # two edges whose ends are this near hang together: above the kernel's 1e-7, below any real size


class KernelError(RuntimeError):
    """The kernel could not make a shape; the text says which operation."""


def refused(error: BaseException) -> Words:
    """Return why a shape could not be made, "" when an error is neither the kernel's nor of a shape's own rules.

    The kernel's many errors have no common ancestor in Python but their module.

    >>> refused(KernelError("nothing is left")), refused(KeyError("a fault of the program"))
    ('nothing is left', '')
    """
    if isinstance(error, KernelError | OutlineError | SectionError):
        return told(error)
    of_kernel = type(error).__module__.partition(".")[0] == "OCP"
    return f"the solid-modelling kernel gave up ({type(error).__name__})" if of_kernel else ""


def attempt(make: Callable[[], Made]) -> tuple[Made | None, Words]:
    """Return (what make returns, "") or (None, why not) when the kernel or a shape's own rules refuse.

    Any other error is a fault of the program and passes through.

    >>> attempt(lambda: 6 * 7), attempt(lambda: 1 / 0)
    ((42, ''), (None, 'division by zero'))
    """
    try:
        return make(), ""
    except Exception as error:
        if why_not := refused(error):
            return None, why_not
        if isinstance(error, ArithmeticError):
            return None, told(error)
        if type(error) in (ValueError, RuntimeError):
            return None, f"the solid-modelling kernel gave up ({type(error).__name__})"
        raise


# --- curves and wires -----------------------------------------------------------------------------------------------


def _vec(p: Vector) -> Any:
    import cadquery as cq

    return cq.Vector(float(p[0]), float(p[1]), float(p[2]))


def line(a: Vector, b: Vector) -> Edge:
    """Return the straight edge from a to b.

    >>> line(np.zeros(3), np.array([3.0, 4.0, 0.0])).Length()
    5.0
    """
    import cadquery as cq

    return cq.Edge.makeLine(_vec(a), _vec(b))


def _arc(a: Vector, middle: Vector, b: Vector) -> Edge:
    """Return the circular arc from a to b through middle."""
    import cadquery as cq

    return cq.Edge.makeThreePointArc(_vec(a), _vec(middle), _vec(b))


def _wire(edges: Sequence[Edge]) -> Wire:
    """Return the closed wire of edges given in order. Raises KernelError when they do not close."""
    import cadquery as cq

    made = cq.Wire.assembleEdges(list(edges))
    if not made.IsClosed():
        raise KernelError("an outline does not close")
    return made


def _outline_edges(outline: Outline, axes: Axes, height_mm: float = 0.0) -> list[Edge]:
    """Return the edges of an outline laid in the u, v plane of axes, lifted along n."""
    seg = outline.segments()
    start, end = axes.to_strut(seg.start, height_mm), axes.to_strut(seg.end, height_mm)
    chord = seg.end - seg.start
    # The middle of an arc stands off its chord by bulge times half the chord, on the right for a positive bulge.
    right = np.column_stack((chord[:, 1], -chord[:, 0]))
    middle = axes.to_strut(0.5 * (seg.start + seg.end) + 0.5 * seg.bulge[:, None] * right, height_mm)
    return [
        line(a, b) if turn == 0.0 else _arc(a, m, b)
        for a, m, b, turn in zip(start, middle, end, seg.sweep_rad, strict=True)
    ]


def outline_wire(outline: Outline, axes: Axes, height_mm: float = 0.0) -> Wire:
    """Return the wire of a closed outline laid in the u, v plane of axes, lifted along n.

    >>> outline_wire(tube_profile(10.0, 2.0, 30.0), Axes(np.zeros(3), *np.eye(3))).Length()  # 2 x (30 + 2)
    64.0
    """
    return _wire(_outline_edges(outline, axes, height_mm))


# --- solids ---------------------------------------------------------------------------------------------------------


def prism(outer: Wire, along: Vector, inner: Sequence[Wire] = ()) -> Solid:
    """Return the solid swept by a plane face (outer wire less inner wires) along a vector.

    >>> bar = outline_wire(tube_profile(10.0, 2.0, 30.0), Axes(np.zeros(3), *np.eye(3)))
    >>> round(prism(bar, np.array([0.0, 0.0, 5.0])).Volume(), 6)  # 30 x 2 x 5
    300.0
    """
    import cadquery as cq

    return cq.Solid.extrudeLinear(cq.Face.makeFromWires(outer, list(inner)), _vec(along))


def revolve(profile: Outline, origin: Vector, axis: Vector, start: Vector) -> Solid:
    """Return a full revolution of a closed profile (x along the axis, y the radius, mm).

    start (3,): direction square to the axis in which the seam lies. A profile may lie against the axis.

    >>> tube = revolve(tube_profile(10.0, 2.0, 30.0), np.zeros(3), *np.eye(3)[:2])
    >>> round(tube.Volume() / math.pi, 6)  # (10^2 - 8^2) x 30
    1080.0
    """
    import cadquery as cq

    n = np.cross(axis, start)
    made = outline_wire(profile, Axes(origin, axis, start, n))
    return cq.Solid.revolve(cq.Face.makeFromWires(made), 360.0, _vec(origin), _vec(origin + axis))


def tube_profile(radius_mm: float, wall_mm: float, length_mm: float) -> Outline:
    """Return the profile that makes a tube of an outside radius when it is revolved.

    >>> tube_profile(10.0, 2.0, 30.0).area_mm2()  # 2 x 30
    60.0
    """
    low, high = radius_mm - wall_mm, radius_mm
    return Outline(np.array(((0.0, low, 0.0), (length_mm, low, 0.0), (length_mm, high, 0.0), (0.0, high, 0.0))))


def cylinder(origin: Vector, axis: Vector, radius_mm: float, length_mm: float) -> Solid:
    """Return a cylinder from origin along the unit vector axis.

    >>> round(cylinder(np.zeros(3), np.eye(3)[2], 3.0, 10.0).Volume() / math.pi, 6)  # 3^2 x 10
    90.0
    """
    import cadquery as cq

    return cq.Solid.makeCylinder(radius_mm, length_mm, _vec(origin), _vec(axis))


def box(axes: Axes, half_u_mm: float, half_v_mm: float, from_n_mm: float, to_n_mm: float) -> Solid:
    """Return a block centred on the axes' origin in u and v, between two heights along n.

    >>> round(box(Axes(np.zeros(3), *np.eye(3)), 5.0, 3.0, 0.0, 2.0).Volume(), 6)  # 10 x 6 x 2
    120.0
    """
    a, b = half_u_mm, half_v_mm
    outline = Outline(np.array(((-a, -b, 0.0), (a, -b, 0.0), (a, b, 0.0), (-a, b, 0.0))))
    return prism(outline_wire(outline, axes, from_n_mm), (to_n_mm - from_n_mm) * axes.n)


# --- booleans -------------------------------------------------------------------------------------------------------


def _shape_list(shapes: Iterable[Any]) -> Any:
    from OCP.TopTools import TopTools_ListOfShape

    out = TopTools_ListOfShape()
    for s in shapes:
        out.Append(s.wrapped)
    return out


def _boolean(operation: Any, name: str, body: Any, tools: Sequence[Any]) -> Any:
    import cadquery as cq

    operation.SetArguments(_shape_list([body]))
    operation.SetTools(_shape_list(tools))
    operation.SetRunParallel(False)
    operation.Build()
    if not operation.IsDone():
        raise KernelError(f"the solids could not be {name}")
    return cq.Shape.cast(operation.Shape())


def solids(shape: Any) -> list[Solid]:
    """Return the solids in a shape, largest first, with ties by place.

    >>> axes = Axes(np.zeros(3), *np.eye(3))
    >>> parted = cut(box(axes, 9.0, 1.0, 0.0, 1.0), [box(axes, 1.0, 2.0, -1.0, 2.0)])
    >>> [round(s.Volume(), 6) for s in solids(parted)]  # each 8 x 2 x 1
    [16.0, 16.0]
    """

    def key(s: Solid) -> tuple[float, ...]:
        c = s.Center()
        return (-round(s.Volume(), 3), round(c.x, 4), round(c.y, 4), round(c.z, 4))

    return sorted(shape.Solids(), key=key)


def one_solid(shape: Any) -> Solid:
    """Return the only solid in a shape. Raises KernelError when there are none or several.

    >>> axes = Axes(np.zeros(3), *np.eye(3))
    >>> attempt(lambda: one_solid(cut(box(axes, 9.0, 1.0, 0.0, 1.0), [box(axes, 1.0, 2.0, -1.0, 2.0)])))[1]
    '2 separate bodies where there should be one'
    """
    found = shape.Solids()
    if len(found) != 1:
        raise KernelError(f"{len(found)} separate bodies where there should be one")
    return found[0]


def is_good(solid: Solid) -> bool:
    """Return whether a body on the way to a part is sound and its coarse triangles meet; asked twice, it is looked at
    once.

    >>> is_good(box(Axes(np.zeros(3), *np.eye(3)), 5.0, 3.0, 0.0, 2.0))
    True
    """
    if solid not in _GOOD:
        _GOOD[solid] = is_sound(solid) and closes(solid, COARSE)
    return _GOOD[solid]


_GOOD: weakref.WeakKeyDictionary[Any, bool] = weakref.WeakKeyDictionary()


def fuse(body: Solid, tool: Solid) -> tuple[Solid, list[Edge]]:
    """Return the union as one solid, and the edges in which the two surfaces meet (sorted by place).

    Where edges of the two run into each other by a hair, as a seam of an arm over the ridge of a drafted palm, the
    kernel is told to take for one what lies FUZZY_MM apart. Raises KernelError when they do not touch.

    >>> axes = Axes(np.zeros(3), *np.eye(3))
    >>> joined, edges = fuse(box(axes, 5.0, 5.0, 0.0, 1.0), cylinder(axes.origin, axes.n, 3.0, 10.0))
    >>> round(joined.Volume(), 3), len(edges)  # 10 x 10 x 1 and pi 3^2 x 9; one circle
    (354.469, 1)
    """
    make = partial(_fused, body, tool)
    first, why = attempt(lambda: make(0.0))
    made = _good_at_last(first, make, lambda made: made[0])
    if made is None:
        raise KernelError(why)
    return made


def drilled(body: Solid, tools: Sequence[Solid]) -> Solid:
    """Return body less all tools, still in one piece, with the same second tries as a union. Raises KernelError when it
    falls apart.

    >>> axes = Axes(np.zeros(3), *np.eye(3))
    >>> less = drilled(box(axes, 5.0, 5.0, 0.0, 1.0), [cylinder(axes.origin, axes.n, 3.0, 10.0)])
    >>> round(less.Volume(), 3)  # 10 x 10 x 1 less pi 3^2 x 1
    71.726
    """

    def make(fuzzy_mm: float) -> Solid:
        return one_solid(cut(body, tools, fuzzy_mm))

    made = _good_at_last(make(0.0), make, lambda made: made)
    assert made is not None
    return made


def _good_at_last(first: Made | None, make: Callable[[float], Made], solid_of: Callable[[Made], Solid]) -> Made | None:
    """Return first when its solid is good; otherwise what make returns with what lies FUZZY_MM apart taken for one, if
    that is; otherwise first."""
    for fuzzy_mm in FUZZY_MM:
        if first is not None and is_good(solid_of(first)):
            return first
        again, _ = attempt(partial(make, fuzzy_mm))
        if again is not None and is_good(solid_of(again)):
            return again
    return first


def _fused(body: Solid, tool: Solid, fuzzy_mm: float) -> tuple[Solid, list[Edge]]:
    import cadquery as cq
    from OCP.BRepAlgoAPI import BRepAlgoAPI_Fuse
    from OCP.TopAbs import TopAbs_EDGE
    from OCP.TopExp import TopExp
    from OCP.TopTools import TopTools_IndexedMapOfShape

    operation = BRepAlgoAPI_Fuse()
    operation.SetFuzzyValue(fuzzy_mm)
    made = one_solid(_boolean(operation, "joined", body, [tool]))
    kept = TopTools_IndexedMapOfShape()
    TopExp.MapShapes_s(made.wrapped, TopAbs_EDGE, kept)
    return made, _by_place([cq.Shape.cast(e) for e in operation.SectionEdges() if kept.Contains(e)])


def mended(solid: Solid) -> Solid:
    """Return a solid that is not sound as the kernel's own repair leaves it, if that is sound and of the same volume;
    otherwise as it is.

    >>> round(mended(box(Axes(np.zeros(3), *np.eye(3)), 5.0, 3.0, 0.0, 2.0)).Volume(), 6)  # nothing to mend
    120.0
    """
    import cadquery as cq
    from OCP.ShapeFix import ShapeFix_Shape

    repair = ShapeFix_Shape(solid.wrapped)
    repair.SetMaxTolerance(MEND_MM)  # without one the repair leaves wires that cross themselves by a hair
    repair.Perform()
    found = cq.Shape.cast(repair.Shape()).Solids()
    if (
        len(found) == 1
        and is_sound(found[0])
        and closes(found[0])
        and math.isclose(volume_mm3(found[0]), volume_mm3(solid), rel_tol=1e-5)
    ):
        return found[0]
    return solid


def slack_mm(solid: Solid) -> float:
    """Return by how much the edges that meet in a corner of a solid may miss each other, at its worst corner.

    >>> round(slack_mm(box(Axes(np.zeros(3), *np.eye(3)), 5.0, 3.0, 0.0, 2.0)), 9)  # the kernel's least
    1e-07
    """
    from OCP.BRep import BRep_Tool

    return max((float(BRep_Tool.Tolerance_s(v.wrapped)) for v in solid.Vertices()), default=0.0)


def smoothed(solid: Solid) -> Solid:
    """Return the solid with the edges marked over which its surface runs on without a kink: views draw them thin.

    >>> rod = cylinder(np.zeros(3), np.eye(3)[2], 3.0, 10.0)
    >>> smoothed(rod) is rod
    True
    """
    from OCP.BRepLib import BRepLib

    BRepLib.EncodeRegularity_s(solid.wrapped, SMOOTH_RAD)
    return solid


def cut(body: Any, tools: Sequence[Any], fuzzy_mm: float = 0.0) -> Any:
    """Return body less all tools: a shape of one or more solids. fuzzy_mm: what lies that near counts as one.

    >>> plate, tool = (box(Axes(np.zeros(3), *np.eye(3)), 5.0, 5.0, 0.0, high) for high in (1.0, 0.25))
    >>> round(cut(plate, [tool]).Volume(), 6)  # 10 x 10 x 0.75
    75.0
    """
    from OCP.BRepAlgoAPI import BRepAlgoAPI_Cut

    operation = BRepAlgoAPI_Cut()
    operation.SetFuzzyValue(fuzzy_mm)
    return _boolean(operation, "cut", body, tools) if tools else body


def common(body: Any, tool: Any) -> Any:
    """Return what two shapes share.

    >>> axes = Axes(np.zeros(3), *np.eye(3))
    >>> shared = common(box(axes, 5.0, 5.0, 0.0, 1.0), cylinder(axes.origin, axes.n, 3.0, 10.0))
    >>> round(shared.Volume(), 3)  # pi 3^2 x 1
    28.274
    """
    from OCP.BRepAlgoAPI import BRepAlgoAPI_Common

    return _boolean(BRepAlgoAPI_Common(), "intersected", body, [tool])


# --- edges ----------------------------------------------------------------------------------------------------------


def _place(edge: Edge) -> tuple[float, ...]:
    """Return a sorting key of an edge from its middle and length alone, the same in every process."""
    m = edge.positionAt(0.5)
    return (round(m.x, 4), round(m.y, 4), round(m.z, 4), round(edge.Length(), 4))


def _by_place(edges: Iterable[Edge]) -> list[Edge]:
    """Return edges in an order that depends only on where they lie."""
    return sorted(edges, key=_place)


def is_sound(solid: Solid) -> bool:
    """Return True for a valid, closed solid of positive volume.

    >>> is_sound(box(Axes(np.zeros(3), *np.eye(3)), 5.0, 3.0, 0.0, 2.0))
    True
    """
    return bool(solid.isValid()) and all(s.wrapped.Closed() for s in solid.Shells()) and solid.Volume() > 0


def bevel(solid: Solid, origin: Vector, normal: Vector, on_face_mm: float, off_face_mm: float) -> Solid | None:
    """Return the solid with the rim of its plane face (through origin, square to normal) bevelled, or None.

    on_face_mm: width of the bevel measured on that face; off_face_mm: its height.

    >>> block = box(Axes(np.zeros(3), *np.eye(3)), 10.0, 10.0, 0.0, 5.0)
    >>> round(bevel(block, np.zeros(3), np.eye(3)[2], 2.0, 1.0).Volume(), 2)  # 20^2 x 4 + (20^2 + 16^2 + 18^2 x 4) / 6
    1925.33
    """
    from OCP.BRepFilletAPI import BRepFilletAPI_MakeChamfer

    faces = [
        f
        for f in solid.Faces()
        if f.geomType() == "PLANE"
        and abs(float(np.array((f.Center()).toTuple()) @ normal - origin @ normal)) < ENDS_MEET_MM
        and abs(abs(float(np.array(f.normalAt().toTuple()) @ normal)) - 1) < 1e-9
    ]
    if len(faces) != 1:
        return None
    rim = _by_place(faces[0].Edges())

    def dress() -> Any:
        builder = BRepFilletAPI_MakeChamfer(solid.wrapped)
        for e in rim:
            builder.Add(on_face_mm, off_face_mm, e.wrapped, faces[0].wrapped)
        return builder

    return _dressed(dress, solid, rim, max(on_face_mm, off_face_mm))


def _joint(solid: Solid, origin: Vector, normal: Vector) -> list[Edge]:
    """The inner edges of a plane face (through origin, square to normal): where something stands on it."""
    out = []
    for face in solid.Faces():
        if face.geomType() != "PLANE" or abs(abs(float(np.array(face.normalAt().toTuple()) @ normal)) - 1) > 1e-9:
            continue
        if abs(float(np.array(face.Center().toTuple()) @ normal - origin @ normal)) < ENDS_MEET_MM:
            out += [edge for wire in face.innerWires() for edge in wire.Edges()]
    return _by_place(out)


def rounded(solid: Solid, origin: Vector, normal: Vector, radius_mm: float) -> Solid | None:
    """Return the solid with a fillet round what stands on its plane face (through origin, square to normal), or None.

    >>> axes = Axes(np.zeros(3), *np.eye(3))
    >>> joined, _ = fuse(box(axes, 20.0, 20.0, 0.0, 5.0), cylinder(axes.origin, axes.n, 5.0, 30.0))
    >>> round(rounded(joined, 5.0 * axes.n, axes.n, 2.0).Volume() - joined.Volume(), 1)  # (1 - pi/4) 2^2 round 5.45
    29.4
    """
    from OCP.BRepFilletAPI import BRepFilletAPI_MakeFillet

    edges = _joint(solid, origin, normal)

    def dress() -> Any:
        builder = BRepFilletAPI_MakeFillet(solid.wrapped)
        for e in edges:
            builder.Add(radius_mm, e.wrapped)
        return builder

    return _dressed(dress, solid, edges, radius_mm) if edges else None


def sheared(solid: Solid, along_y: float, along_z: float) -> Solid:
    """Return the solid with each place moved along x by so much of its y and its z: a plane square to x then slants.

    >>> ring = revolve(tube_profile(10.0, 2.0, 3.0), np.zeros(3), *np.eye(3)[:2])
    >>> round(volume_mm3(sheared(ring, 0.2, 0.0)) / volume_mm3(ring), 4)  # a shear keeps volumes
    1.0
    """
    import cadquery as cq

    matrix = cq.Matrix([[1.0, along_y, along_z, 0.0], [0.0, 1.0, 0.0, 0.0], [0.0, 0.0, 1.0, 0.0], [0.0, 0.0, 0.0, 1.0]])
    return one_solid(solid.transformGeometry(matrix))


def _dressed(dress: Callable[[], Any], solid: Solid, edges: Sequence[Edge], size_mm: float) -> Solid | None:
    def make() -> Solid | None:
        import cadquery as cq
        from OCP.ShapeFix import ShapeFix_Shape

        builder = dress()
        builder.Build()
        if not builder.IsDone():
            return None
        shape = builder.Shape()
        for repaired in (False, True):
            if repaired:  # a seam or a tolerance set a hair wrong is the kernel's commonest slip after a fillet
                fix = ShapeFix_Shape(shape)
                fix.Perform()
                shape = fix.Shape()
            found = cq.Shape.cast(shape).Solids()
            if len(found) == 1 and is_sound(found[0]) and _changed_little(found[0], solid, edges, size_mm):
                return found[0]
        return None

    return attempt(make)[0]


def _changed_little(made: Solid, before: Solid, edges: Sequence[Edge], size_mm: float) -> bool:
    """Return True unless dressing blew the solid up or ate it: a sign of a surface gone astray.

    A fillet in a corner of 25 degrees fills 3.6 radius^2 over its length; more than that was never asked.
    """
    length = sum(e.Length() for e in edges) + 8 * size_mm
    return bool(abs(volume_mm3(made) - volume_mm3(before)) < 4 * length * size_mm**2)


# --- measures -------------------------------------------------------------------------------------------------------


_MASSES: weakref.WeakKeyDictionary[Any, tuple[float, tuple[float, float, float]]] = weakref.WeakKeyDictionary()
"""Volume and centre of the shapes that were asked after, as long as they are there: a shape is never changed."""


def mass_properties(shape: Any) -> tuple[float, Vector]:
    """Return (volume in mm3, centre of mass (3,) in mm).

    Adaptive to a millionth: the kernel's plain quadrature is off by 1e-4 of a body with splined fillets, which is as
    much as a weld bead weighs.

    >>> volume, middle = mass_properties(box(Axes(np.ones(3), *np.eye(3)), 5.0, 3.0, 0.0, 2.0))
    >>> round(volume, 6), middle.round(6).tolist()
    (120.0, [1.0, 1.0, 2.0])
    """
    from OCP.BRepGProp import BRepGProp
    from OCP.GProp import GProp_GProps

    if shape not in _MASSES:
        made = GProp_GProps()
        BRepGProp.VolumeProperties_s(shape.wrapped, made, 1e-6, False, True)
        c = made.CentreOfMass()
        _MASSES[shape] = float(made.Mass()), (c.X(), c.Y(), c.Z())
    volume, middle = _MASSES[shape]
    return volume, np.array(middle)


def volume_mm3(shape: Any) -> float:
    """Return the volume of a shape, mm3, to about a millionth.

    >>> round(volume_mm3(cylinder(np.zeros(3), np.eye(3)[2], 3.0, 10.0)) / math.pi, 4)  # 3^2 x 10
    90.0
    """
    return mass_properties(shape)[0]


def centre(shape: Any) -> Vector:
    """Return the centre of mass (3,) of a shape, mm.

    >>> centre(cylinder(np.ones(3), np.eye(3)[2], 3.0, 10.0)).round(6).tolist()
    [1.0, 1.0, 6.0]
    """
    return mass_properties(shape)[1]


def write_brep(shape: Any, path: str) -> None:
    """Write a shape in the kernel's own format, exact, mm, without meshes left in it.

    >>> import os, tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     write_brep(line(*np.eye(3)[:2]), f"{folder}/edge.brep")
    ...     print(os.listdir(folder))
    ['edge.brep']
    """
    from OCP.BRepTools import BRepTools

    BRepTools.Clean_s(shape.wrapped)
    BRepTools.Write_s(shape.wrapped, path)
