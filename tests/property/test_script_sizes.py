"""The sizes at the top of a script make the records that the program builds from, whatever a file asks for."""

from __future__ import annotations

from contextlib import suppress
from pathlib import Path

import pytest
import yaml
from script_support import assert_same, ran, run_scripts, same_bodies, text_of, written
from support import THOROUGH, built_of, long_run

from strutwright.models.resolve import resolve
from strutwright.models.spec import Strut
from strutwright.params.loader import loads
from strutwright.params.problems import ParameterError


def struts(family: str, count: int, begin: int) -> list[Strut]:
    """The first of the random parts of a kind that the reader takes."""
    from property.built_sets import DRAWS  # loads the kernel

    out: list[Strut] = []
    number = begin
    while len(out) < count:
        with suppress(ParameterError):
            out.append(resolve(loads(yaml.safe_dump(DRAWS[family](number)), f"random-{number}.yaml")).strut)
        number += 1
    return out


FAMILIES = ("strut", "flanged_housing", "let_in_housing", "rudder_shoe")


@pytest.mark.parametrize("family", FAMILIES)
def test_the_sizes_of_any_part_are_in_its_script(family: str) -> None:
    for strut in struts(family, 60 if THOROUGH else 3, 7_000):
        assert_same(ran(text_of(strut))["the_strut"](), strut)


@long_run
@pytest.mark.parametrize("family", FAMILIES)
def test_a_random_part_is_built_alike(tmp_path: Path, family: str) -> None:
    for strut in struts(family, 12, 8_000):
        if built_of(strut).sound:
            assert same_bodies(run_scripts(tmp_path, [text_of(strut)], [written(tmp_path, strut)])[0])
