"""What is printed has words: the name that a check, a limit or a choice has in files tells a shop nothing."""

from __future__ import annotations

from pathlib import Path

import pypdfium2
import pytest
from support import codes_in, every, long_run

from strutwright import cli
from strutwright.errors import Exit

WORKS = [
    ("repair", "repair-harbour-launch", "harbour-launch"),
    ("inspection", "harbour-launch-inspection", "harbour-launch"),
    ("installation", "harbour-launch-as-fitted", "harbour-launch"),
    ("fitting", "fitting-harbour-launch", "harbour-launch"),
    ("process", "shop-rates", "pilot-vee"),
    ("rudder", "yawl-rudder-stock", "yawl-with-heel"),
    ("straighten", "straighten-palm", "canal-tender"),
    ("survey", "survey-twin-screw", "coastal-pair"),
    ("survey", "survey-old-strut", "harbour-launch"),
]


def printed(file: Path) -> str:
    with pypdfium2.PdfDocument(file) as document:
        return "\n".join(page.get_textpage().get_text_range() for page in document)


def test_codes_are_found() -> None:
    assert codes_in("Way 4 is worse in barrel_wall, heel_off_stock2") == ["barrel_wall", "heel_off_stock2"]
    assert codes_in("wall of the parallel part, 12 % of its limit; C95800 to b/2; -P_") == []


@pytest.mark.parametrize(("work", "readings", "name"), every(WORKS, 5))
def test_no_sheet_of_a_work_has_a_code(work: str, readings: str, name: str, tmp_path: Path) -> None:
    done = cli.main([work, readings, "--set", name, "--out", str(tmp_path)])
    assert done in (Exit.PASS, Exit.WARNINGS, Exit.FAILURE)
    assert codes_in(printed(tmp_path / "records" / f"{work}-1" / f"{work}.pdf")) == []


@long_run
@pytest.mark.parametrize(("work", "readings", "name"), WORKS)
def test_no_form_has_a_code(work: str, readings: str, name: str, tmp_path: Path) -> None:
    assert cli.main([work, "--blank", str(tmp_path), "--set", name]) == Exit.PASS
    assert codes_in(printed(tmp_path / f"{work}-form.pdf")) == []
