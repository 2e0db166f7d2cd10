"""What is printed for a hanger is in its own words, and its hand stays the boat's where its left and right do not."""

from __future__ import annotations

import re

import pytest
import yaml
from checks_support import merged
from support import sets_of

from strutwright.exporters.files.patterns import pattern_files
from strutwright.exporters.files.templates import template_files
from strutwright.exporters.sheets import common
from strutwright.models.families import drawn, plain
from strutwright.models.resolve import resolve
from strutwright.models.spec import Strut
from strutwright.params.loader import loads, shipped

HANGERS = sets_of("shaft_hanger")
OTHERS = re.compile(
    r"\b(strut|arms?|palm|hull|water face|skeg|port(?![ -]hand)|starboard(?![ -]hand))\b", re.IGNORECASE
)


def of(name: str, **changes: object) -> Strut:
    said = yaml.safe_load(shipped()[name].read_text(encoding="utf-8"))
    return resolve(loads(yaml.safe_dump(merged(said, changes)), "hanger.yaml")).strut


@pytest.mark.parametrize("name", HANGERS)
@pytest.mark.parametrize("stands", ["above", "below", "port", "starboard"])
def test_files_of_a_hanger_keep_to_its_words(name: str, stands: str) -> None:
    strut = of(name, identity={"hand": "port"}, foot={"stands": stands})
    for file, cut in {**template_files(strut), **pattern_files(strut)}.items():
        said = [w.text for w in cut.words()]
        assert not (found := [w for w in said if OTHERS.search(w)]), (file, found)
        assert any("PORT hand" in w for w in said), file


@pytest.mark.parametrize("stands", ["above", "below", "port", "starboard"])
def test_the_hand_is_the_boat_s_wherever_the_foot_lies(stands: str) -> None:
    strut = of("tunnel-hanger", identity={"hand": "starboard"}, foot={"stands": stands})
    words = drawn(plain(common.hand_words(strut), strut.family), strut.family)
    assert words.startswith("Hand: STARBOARD HAND of the boat, number TH-40-01-S. The mirror image, PORT HAND, "), words
    assert drawn(common.hand_name(strut), strut.family) == "STARBOARD HAND"
    assert drawn("seen from starboard, port edge up", strut.family) == "seen from right, left edge up"


def test_shims_have_outlines_of_their_own() -> None:
    files = pattern_files(of("tunnel-hanger"))
    assert {"split-shim", "foot-shim"} <= set(files)
    left, bottom, right, top = files["split-shim"].bounds("CUT_OUTER")
    assert (right - left, bottom, top) == (124.0, 30.0, 74.0)  # the ears' length, from the bore to their edge
    assert not {"split-shim", "foot-shim"} & set(pattern_files(of("shaft-log-hanger")))


def test_templates_of_a_hanger_speak_of_its_bed_and_none_is_made_of_screws_that_it_has_not() -> None:
    files = template_files(of("tunnel-hanger"))
    assert "set-screw-strip" not in files
    assert "set-screw-strip" in template_files(of("shaft-log-hanger"))
    said = " ".join(w.text for w in files["foot-backing-plate"].words())
    assert "AWAY FROM THE BED" in said
    assert "beyond the bed" in said
    assert not re.search(r"\b(boat|hull)\b", said, re.IGNORECASE)
