"""The script of one part: its sizes in words, the program's builders below them, and the solids that come of them."""

from __future__ import annotations

import textwrap

from strutwright.exporters.files.naming import stem
from strutwright.exporters.script.flatten import Flat, Reach, flattened
from strutwright.exporters.script.modules import Key
from strutwright.exporters.script.sizes import Sizes, key_of, records, sizes_of
from strutwright.models.families import called
from strutwright.models.geometry.members import RootRoom, root_room
from strutwright.models.guidance import GUIDANCE
from strutwright.models.solids.assembly import beside, makers
from strutwright.models.spec import Strut
from strutwright.params.limits import Limits

_BUILD: Key = ("strutwright.exporters.script.plain_job", "build")
_ROOM: Key = (RootRoom.__module__, RootRoom.__name__)
_ZERO: Key = ("strutwright.models.frames", "palm_zero_mm")
RESERVED = frozenset(
    {
        "result",
        "room",
        "bodies",
        "body",
        "the_strut",
        "show_object",
        "main",
        "sys",
        "cq",
        "barrel",
        "arms",
        "palms",
        "bearings",
    }
    | {"set_screws", "skeg", "weld", "flange", "let_in", "hull_face", "port_hull_face", "starboard_hull_face"}
    | {"material", "construction", "family"}
)
"""Names that a script has for itself."""
_FRAME = (
    "Frame: x forward along the shaft from mid-barrel, y to port, z square to the shaft in the vertical plane through "
    "it, up. Clock angles: 0 along z, positive toward port."
)
_FRAMES = {
    "rudder_shoe": "Frame: x down along the stock from the middle of the boss, y to port, z square to the stock, "
    "forward. The barrel is the boss, its aft face the upper one; the flange is the plate, the bearing the bush, the "
    "set screws are its locking screws. Clock angles: 0 forward, positive toward port."
}
"""In what frame a part stands; the rule, and where it is another."""


def script(strut: Strut, limits: Limits, set_name: str, version: str) -> str:
    """Return the script of a part: with cadquery alone it builds the solids that stand in its STEP file.

    set_name: the file of its parameters. limits: of the job, for the room that roots are to have.
    """
    steps: list[Key] = [(make.__module__, make.__name__) for make in (*makers(strut), beside)]
    roots: set[Key] = {*steps, _BUILD, _ROOM, key_of(strut), *([_ZERO] if strut.palms else [])}
    reach = Reach(sorted(roots))
    while more := records(strut, reach) - set(reach.found):  # only as far as the builders ask
        reach.add(sorted(more))
    flat = flattened(reach, RESERVED)
    lines, made = sizes_of(strut, reach, flat.names, flat.names.get(_ZERO, ""))
    room = Sizes(reach, flat.names, {})
    if strut.arms:
        room.heading("Room that roots are to have")
    of_room = room.made([root_room(limits)], ["root"], "root")[0]
    clash = {line.split(" = ")[0] for line in (*lines, *room.lines) if " = " in line} & set(flat.names.values())
    assert not clash
    parts = [
        _head(strut, set_name, version),
        "\n".join(("from __future__ import annotations", "", *flat.imports)),
        "\n".join((_rule("sizes"), "# Change a number and run the script again.", *lines, *room.lines)),
        made,
        flat.body,
        _end(strut, flat, steps, of_room),
    ]
    return (
        "\n\n\n".join(parts).replace("\n\n\n# --- sizes", "\n\n# --- sizes", 1).replace('"""\n\n\nfrom', '"""\n\nfrom')
        + "\n"
    )


def _rule(title: str) -> str:
    return f"# --- {title} ".ljust(118, "-")


def _head(strut: Strut, set_name: str, version: str) -> str:
    who = strut.identity
    name = f"{who.name}, {who.stands}: the {called(strut)} as solids. Drawing {who.number}, revision {who.revision}."
    what = (
        f"Written by strutwright {version} from {set_name}; it needs Python with cadquery and nothing else. Lengths "
        f"are mm, angles degrees; a name ends in its unit. {_FRAMES.get(strut.family, _FRAME)} Sizes come first, then "
        "how they are built; the last lines make `result`, show it in an editor that has show_object, and write it "
        "where the script is given the name of a STEP file. A size does not move those beside it, and no check is made "
        "here: the parameter file is where a part is changed for good."
    )
    licence = "The builders are part of strutwright; licence Apache-2.0."
    paragraphs = (name, what, GUIDANCE, licence)
    text = "\n\n".join("\n".join(textwrap.wrap(p, 116)) for p in paragraphs)
    return f'"""{text.replace(chr(92), "/").replace(chr(34) * 2, chr(39) * 2)}\n"""'


def _end(strut: Strut, flat: Flat, steps: list[Key], room: str) -> str:
    names = ", ".join(flat.names[m] for m in steps)
    build = flat.names[_BUILD]
    return "\n".join(
        (
            _rule("result"),
            "",
            f"room = {room}",
            f"bodies = {build}(the_strut(), room, [{names}])",
            f'result = cq.Assembly(name="{stem(strut.identity)}")',
            "for body in bodies:",
            "    result.add(body.shape, name=body.name, color=cq.Color(*body.colour))",
            'if "show_object" in globals():',
            '    globals()["show_object"](result)',
            'elif sys.argv[1:] and sys.argv[1].lower().endswith((".step", ".stp")):',
            "    result.export(sys.argv[1])",
        )
    )
