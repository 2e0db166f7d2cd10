"""Names of files and numbers of drawings: no part is taken for its mirror image, no size for another."""

from __future__ import annotations

import json
import re
from collections.abc import Sequence
from dataclasses import replace
from functools import cache

import pytest
from hypothesis import given
from hypothesis import strategies as st
from support import SETS, THOROUGH, pattern_without_solids, templates_of

from strutwright import cli, outputs
from strutwright.exporters.files import naming, pattern_templates
from strutwright.exporters.files.cut_list import cut_rows
from strutwright.exporters.files.patterns import pattern_files
from strutwright.models.resolve import Resolved, resolve
from strutwright.models.shop import foundry as casting
from strutwright.models.solids.casting import PatternSet
from strutwright.models.spec import Hand, Identity, Strut
from strutwright.params.loader import load, loads, shipped

FEW = ("harbour-launch", "patrol-vee-pair", "yawl-with-heel")
NAMES = SETS if THOROUGH else FEW
HANDED = tuple(name for name in NAMES if "hand: centre" not in shipped()[name].read_text(encoding="utf-8"))
HANDS: tuple[Hand, Hand] = ("port", "starboard")


@cache
def resolved(name: str) -> Resolved:
    return resolve(load(shipped()[name]))


def said(text: str, **identity: str) -> Resolved:
    """Return a shipped set's text with other words in its first group, resolved."""
    for key, value in identity.items():
        text = re.sub(rf"(?m)^  {key}:.*$", f"  {key}: {json.dumps(value)}", text, count=1)
    return resolve(loads(text, "changed"))


def pattern(one: Resolved, strut: Strut) -> PatternSet:
    """Return a pattern set without its solids."""
    return pattern_without_solids(strut, casting.foundry_settings(one))


@cache
def names(name: str, hand: Hand) -> tuple[set[str], set[str]]:
    """Return the names of all DXF files of a set's hand, in finished size and at pattern size."""
    one = resolved(name)
    strut = one.of_hand(hand)
    made = {naming.finished(strut, n) for n in (*pattern_files(strut), *templates_of(strut))}
    if strut.construction != "cast":
        return made, set()
    cast = pattern(one, strut)
    return made, {naming.pattern_size(strut, cast.spec, n) for n in pattern_templates.template_files(cast)}


@pytest.mark.parametrize("name", NAMES)
def test_a_name_tells_number_hand_and_size(name: str) -> None:
    one = resolved(name)
    hand = one.strut.identity.hand
    mark = {"port": "-p-port-hand", "starboard": "-s-starboard-hand", "centre": "-centre"}[hand]
    start = one.said.identity.drawing_number.lower() + mark
    finished, at_pattern_size = names(name, hand)
    assert all(n.startswith(f"{start}-finished-size-") for n in finished)
    assert not any("pattern-size" in n or "percent" in n for n in finished)
    percent = f"{100 * (casting.foundry_settings(one).factor - 1):.2f}" if at_pattern_size else ""
    assert all(n.startswith(f"{start}-pattern-size-{percent}-percent-") for n in at_pattern_size)
    assert bool(at_pattern_size) == (one.strut.construction == "cast")
    # The part's own name does not begin with a hand that could be taken for the strut's, unless the strut has none.
    if hand != "centre":
        rest = {n.partition("-finished-size-")[2] or n.partition("-percent-")[2] for n in finished | at_pattern_size}
        assert not [n for n in rest if n.startswith(HANDS)]


@pytest.mark.parametrize("name", HANDED)
def test_the_two_hands_share_neither_number_nor_name(name: str) -> None:
    one = resolved(name)
    port, starboard = (one.of_hand(hand) for hand in HANDS)
    number = one.said.identity.drawing_number
    assert (port.identity.number, starboard.identity.number) == (f"{number}-P", f"{number}-S")
    left, right = (set().union(*names(name, hand)) for hand in HANDS)
    assert left.isdisjoint(right)
    assert {n.partition("-hand-")[2] for n in left} == {n.partition("-hand-")[2] for n in right}


@pytest.mark.parametrize("name", HANDED)
def test_the_same_part_has_the_same_name_and_place_on_both_hands(name: str) -> None:
    """Outboard is away from the boat's centre line: to port on the port strut. So sheet 4 is the same part on both."""
    for hand in HANDS:
        strut = resolved(name).of_hand(hand)
        assert [a.name for a in strut.arms] == [a.name for a in resolved(name).strut.arms]
        assert [p.name for p in strut.palms] == [p.name for p in resolved(name).strut.palms]
        if len(strut.arms) == 2:
            to_port = {a.name: a.clock_deg for a in strut.arms}
            out = to_port["outboard arm"] - to_port["inboard arm"]
            assert out > 0 if hand == "port" else out < 0
        assert strut.identity.side(hand) == f"{hand}, outboard"
        assert strut.identity.side(HANDS[hand == "port"]) == f"{HANDS[hand == 'port']}, inboard"


@pytest.mark.parametrize("name", [n for n in NAMES if resolved(n).strut.construction == "cast"])
def test_every_file_of_a_pattern_says_its_own_name_and_number(name: str) -> None:
    one = resolved(name)
    for hand in HANDS if name in HANDED else ("centre",):
        cast = pattern(one, one.of_hand(hand))  # type: ignore[arg-type]
        for part, cut in pattern_templates.template_files(cast).items():
            words = " ".join(text.text for text in cut.words())
            assert f"File {naming.pattern_size(cast.strut, cast.spec, part)}" in words, part
            assert f", {cast.strut.identity.number}, revision" in words, part


@pytest.mark.parametrize("name", [n for n in NAMES if resolved(n).strut.construction == "welded"])
def test_outlines_named_in_the_cut_list_are_written(name: str) -> None:
    one = resolved(name)
    named = {row.outline_file for row in cut_rows(one.strut, [])}
    assert named
    assert named <= names(name, one.strut.identity.hand)[0]


@pytest.mark.parametrize(
    ("written", "hand", "numbers"),
    [
        ("AB-1", "pair", ("AB-1-P", "AB-1-S")),
        ("AB-1-P", "port", ("AB-1-P", "AB-1-S")),
        ("AB-1-p", "pair", ("AB-1-P", "AB-1-S")),
        ("AB-1 S", "starboard", ("AB-1-P", "AB-1-S")),
        ("AB-1-S", "port", ("AB-1-S-P", "AB-1-S-S")),
        ("SHIP", "port", ("SHIP-P", "SHIP-S")),
        ("P", "port", ("P-P", "P-S")),
    ],
)
def test_a_hand_that_the_number_has_already_is_not_taken_over_by_the_mirror_image(
    written: str, hand: str, numbers: tuple[str, str]
) -> None:
    one = said(shipped()["coastal-pair"].read_text(encoding="utf-8"), drawing_number=written, hand=hand)
    assert tuple(one.of_hand(h).identity.number for h in HANDS) == numbers  # type: ignore[arg-type]


WORDS = st.text(min_size=1, max_size=80)


@given(WORDS, WORDS, st.sampled_from(("port", "starboard", "centre")))
def test_names_are_safe_whatever_number_and_name(number: str, name: str, hand: str) -> None:
    stem = naming.stem(Identity(name=name, drawing_number=number, revision="A", hand=hand))  # type: ignore[arg-type]
    assert re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*", stem)
    assert stem.endswith({"port": "-p-port-hand", "starboard": "-s-starboard-hand", "centre": "-centre"}[hand])
    assert len(stem) < 80


def test_without_a_number_the_name_stands_for_it() -> None:
    strut = resolved("harbour-launch").strut
    assert naming.stem(replace(strut.identity, drawing_number="unnumbered")) == "harbour-launch-strut-centre"
    assert naming.stem(replace(strut.identity, drawing_number="№ 七")) == "harbour-launch-strut-centre"


def test_a_build_gives_every_kind_a_folder_of_its_own() -> None:
    folders: Sequence[str] = sorted(outputs.FOLDERS)
    assert set(outputs.FOLDERS.values()) == set(cli.WHAT) == set(outputs.STAGES)
    assert {"finished-size", "pattern-size"} <= set(folders)
    assert not {"patterns", "pattern-set"} & set(folders)
