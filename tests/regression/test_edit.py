"""Values are changed in a parameter file's text; nothing else in it moves."""

from __future__ import annotations

import difflib
import os

import pytest

from strutwright.params import loader, strict_yaml
from strutwright.params.edit import changed, with_list

THOROUGH = os.environ.get("STRUTWRIGHT_THOROUGH")
GROUPS = ("hull", "propeller", "shaft", "palm")
"""What is changed in every shipped set; in the long run all is."""
TEXT = """# A head
hull:                # where it sits
  shaft_angle: {to_hull: 9 deg}   # by straight edge
  drop:
    vertical: 200    # plumb
    # below the barrel

  run:

# The boat
propeller: {diameter: 280}
duty: {}
"""


def test_only_the_value_changes() -> None:
    new = changed(TEXT, {"hull.drop.vertical": "201.5 mm", "hull.shaft_angle.to_hull": "9.25 deg"})
    assert new == TEXT.replace("vertical: 200 ", "vertical: 201.5 mm ").replace("9 deg", "9.25 deg")


@pytest.mark.parametrize(
    ("path", "old", "new"),
    [
        ("hull.run", "  run:\n", "  run: 7\n"),
        ("propeller.hub_gap", "{diameter: 280}", "{diameter: 280, hub_gap: 7}"),
        ("duty.power", "duty: {}", "duty: {power: 7}"),
        ("hull.drop.at", "    vertical: 200    # plumb\n", "    vertical: 200    # plumb\n    at: 7\n"),
        ("hull.deadrise", "  run:\n", "  run:\n  deadrise: 7\n"),
        ("shaft.coupling.mass", "duty: {}\n", "duty: {}\nshaft: {coupling: {mass: 7}}\n"),
    ],
)
def test_what_is_missing_is_added(path: str, old: str, new: str) -> None:
    assert changed(TEXT, {path: "7"}) == TEXT.replace(old, new)


def test_a_list_is_added_and_replaced() -> None:
    one = with_list(TEXT, "measured", ["{a: 1}", "{a: 2}"])
    assert one == f"{TEXT}measured:\n  - {{a: 1}}\n  - {{a: 2}}\n"
    more = one + "# the end\nunits: mm\n"
    assert with_list(more, "measured", ["{a: 3}"]) == f"{TEXT}measured:\n  - {{a: 3}}\n# the end\nunits: mm\n"


def test_line_ends_and_a_missing_one_at_the_end() -> None:
    windows = TEXT.replace("\n", "\r\n")
    assert changed(windows, {"hull.deadrise": "7"}) == changed(TEXT, {"hull.deadrise": "7"}).replace("\n", "\r\n")
    assert changed("hull:\n  run: 1", {"hull.deadrise": "7"}) == "hull:\n  run: 1\n  deadrise: 7\n"


def test_a_path_through_a_value_is_refused() -> None:
    with pytest.raises(ValueError, match="is a value, not a group"):
        changed(TEXT, {"hull.drop.vertical.mm": "7"})
    with pytest.raises(ValueError, match="is a group, not a value"):
        changed(TEXT, {"hull.drop": "7"})


@pytest.mark.parametrize("name", list(loader.shipped()))
def test_every_value_of_the_shipped_sets_can_be_changed(name: str) -> None:
    text = loader.shipped()[name].read_text(encoding="utf-8")
    document = strict_yaml.read_text(text, name)
    for path, place in document.values.items():
        at: object = document.data
        for part in path:
            at = at[part]  # type: ignore[index]
        if isinstance(at, (dict, list)) or at is None or (path[0] not in GROUPS and not THOROUGH):
            continue
        new = changed(text, {strict_yaml.dotted(path): "7.625"})
        lines = [line for line in difflib.ndiff(text.splitlines(), new.splitlines()) if line[0] in "+-"]
        assert len(lines) == 2, (path, place, lines)
