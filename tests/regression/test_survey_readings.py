"""Files of survey readings: what does not hang together is told with its place, all at once."""

from __future__ import annotations

import pytest

from strutwright.params.bench.survey import Survey, checked
from strutwright.params.measured import reads
from strutwright.params.problems import ParameterError

GOOD = """side,centre
instrument.scatter,1
references
name,way,slope [deg]
edge,straight_edge,2

hull
name,along,port,up,reference
H1,-50,-30,200,edge
H2,50,-30,200,edge
H3,0,30,200,edge

line
name,along,port,up
S1,-300,0,0
S2,900,0,120

places
what,along,point,distance
mid_barrel,0,,
hub,,S1,-40
"""


def faults(text: str) -> list[str]:
    """What is told of a CSV file, place and words."""
    with pytest.raises(ParameterError) as caught:
        checked(reads(text, Survey, "a.csv", as_csv=True))
    return [f"{p.line}:{p.path} {p.what}" for p in caught.value.problems]


def test_what_hangs_together_is_taken() -> None:
    said = checked(reads(GOOD, Survey, as_csv=True))
    assert (len(said.hull), said.places[1].distance) == (3, -40.0)


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ("H2,50,-30,200,edge", "H1,50,-30,200,edge", "10:hull[1].name is named twice"),
        ("H2,50,-30,200,edge", "H2,50,-30,200,egde", "10:hull[1].reference is no reference"),
        ("edge,straight_edge,2", "edge,level,2", "5:references[0].slope has a slope, but is level"),
        ("hub,,S1,-40", "hub,,S9,-40", "21:places[1].point is no point of `line`"),
        ("hub,,S1,-40", "hub,-340,S1,-40", "21:places[1] is told in two ways"),
        ("hub,,S1,-40", "mid_barrel,1,,", "21:places[1].what is given twice"),
        ("mid_barrel,0,,\n", "", "18:places say nowhere where mid-barrel is"),
        ("S2,900,0,120\n", "", "13:line does not say how the shaft lies"),
        ("H3,0,30,200,edge\n", "", "7:hull has too few points"),
        ("side,centre", "side,pair", "9:hull[0] says no side"),
        ("side,centre", "side,centre\nframe,bench", "19:places lack the mark `upright`, without which nothing is up"),
        ("side,centre", "side,centre\ndrop.vertical,200", "2:drop.vertical is told by the hull points"),
        ("hub,,S1,-40", "upright,,S1,", "21:places[1] is a mark"),
        ("side,centre", "side,centre\nframe,bench\nattitude.trim,1", "3:attitude has no meaning on the bench"),
        ("hub,,S1,-40", "stem,9000,,", "18:places have one mark of the centre line"),
    ],
)
def test_each_fault_is_told_with_its_place(old: str, new: str, told: str) -> None:
    assert old in GOOD
    assert told in faults(GOOD.replace(old, new))


def test_all_are_told_at_once() -> None:
    text = GOOD.replace("H2,50,-30,200,edge", "H1,50,-30,200,egde").replace("S1,-40", "S9,-40")
    assert len(faults(text)) == 3


def test_angles_alone_need_a_drop() -> None:
    text = "side,centre\nangles.shaft,9\nangles.run,1\nangles.deadrise,0\n"
    assert faults(text) == ["1:hull has no points, and angles do not say how it lies"]
    assert checked(reads(text + "drop.vertical,200\n", Survey, as_csv=True)).drop.vertical == 200.0


def test_a_place_is_told_from_a_point_of_its_own_line() -> None:
    sided = (
        GOOD.replace("side,centre", "side,pair")
        .replace("up,reference", "up,side,reference")
        .replace("name,along,port,up\n", "name,along,port,up,side\n")
    )
    rows = [
        f"H{k}{s[0]},{x},{y},200,{s},edge"
        for s in ("port", "starboard")
        for k, (x, y) in enumerate([(-50, -30), (50, -30), (0, 30)])
    ]
    sided = sided.replace("H1,-50,-30,200,edge\nH2,50,-30,200,edge\nH3,0,30,200,edge", "\n".join(rows))
    lines = [
        f"{n}{s[0]},{x},0,{z},{s}" for s in ("port", "starboard") for n, x, z in (("S1", -300, 0), ("S2", 900, 120))
    ]
    sided = sided.replace("S1,-300,0,0\nS2,900,0,120", "\n".join(lines)).replace("hub,,S1,-40", "hub,,S1p,-40")
    assert [f.partition(" ")[2] for f in faults(sided)] == ["is no point of the starboard line"]
    both = sided.replace("what,along,point,distance", "what,along,point,distance,side").replace(
        "S1p,-40", "S1p,-40,port"
    )
    assert len(checked(reads(both, Survey, as_csv=True)).line) == 4


def test_a_drop_at_an_end_of_the_barrel_needs_its_length() -> None:
    text = "side,centre\nangles.shaft,9\nangles.run,1\nangles.deadrise,0\ndrop.vertical,200\ndrop.at,aft\n"
    assert faults(text) == ["6:drop.at needs the barrel's length"]
    measured = reads(text, Survey, as_csv=True)
    assert checked(measured, with_set=True).drop.at == "aft"
