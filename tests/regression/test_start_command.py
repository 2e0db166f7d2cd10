"""What `start` asks, and the sets that it writes: checked, never over a file that is there."""

from __future__ import annotations

import math
import os
import random
import re
import select
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from command_line_support import run
from support import THOROUGH, every, long_run

from strutwright import job, starter
from strutwright.cli import main
from strutwright.errors import Exit
from strutwright.models.finding import Finding, Verdict
from strutwright.models.resolve import resolve
from strutwright.params.loader import load, loads, shipped


def plausible(rng: random.Random) -> dict[str, str]:
    """Answers as boats and yards have them, drawn wide: shafts of 14 to 200 mm, drops of 3 to 15 shafts, deadrise to 40
    degrees; about one in eight lies at an angle of shaft to hull that no strut is made for."""
    one = {q.key: rng.choice(q.choices) for q in starter.QUESTIONS if q.choices}
    common = rng.choice([20.0, 25.0, 25.4, 28.575, 30.0, 31.75, 35.0, 38.1, 40.0, 45.0, 50.0, 50.8, 60.0, 63.5, 76.2])
    shaft = rng.choice([common, rng.uniform(14, 200)])
    keel = one["hand"] == "centre" and one["arms"] == "single"
    return {
        **one,
        "shaft": f"{shaft:.5g} mm",
        "drop": f"{shaft * rng.uniform(3, 15):.5g} mm",
        "angle": f"{rng.uniform(-2, 18):.3g} deg",
        "run": f"{rng.choice([0.0, rng.uniform(-3, 7)]):.3g} deg",
        "deadrise": f"{0.0 if keel else rng.choice([0.0, rng.uniform(0, 40)]):.3g} deg",
    }


def attempt(values: starter.Values) -> tuple[str, list[Finding]]:
    """Return the set that is made, or what is told instead and the findings it names."""
    try:
        return starter.complete(values).text, []
    except starter.UnmetError as error:
        return str(error), error.findings


@pytest.mark.parametrize("seed", every(range(10), 10))
def test_start_makes_no_set_that_fails_its_own_check(seed: int) -> None:
    """It adjusts, or says which answer cannot be met; it does not give up where a set can be made."""
    rng, made, unmet = random.Random(seed), 0, 0
    for _ in range(25 if THOROUGH else 10):
        given = plausible(rng)
        values = starter.ask(given, None)
        pitch = float(values["angle"]) + float(values["run"])
        text, fails = attempt(values)
        if fails:
            unmet += 1
            assert text.count("answer to change: ") == len(fails)
            codes = {f.code for f in fails}
            steep = not -2 <= pitch <= 20
            assert steep == bool(codes & {"palm_pitch", "palm_pitch_least"}), given
            crowded = given["arms"] == "vee" and (
                float(values["drop"]) < 6 * float(values["shaft"]) or float(values["deadrise"]) > 15
            )
            assert steep or (crowded and (codes & {"palms_apart", "palm_tilt"})), (given, codes)
            continue
        made += 1
        found = resolve(loads(text))
        for hand in found.hands():
            assert [f.about("mm") for f in job.run_checks(found, hand) if f.fails] == [], given
        strut = found.strut
        assert strut.shaft.diameter_mm == pytest.approx(float(values["shaft"]), rel=1e-5)
        assert strut.hull.drop_square_to_shaft_mm == pytest.approx(float(values["drop"]), rel=1e-5)
        assert strut.hull.shaft_to_hull_deg == pytest.approx(pitch, abs=1e-4)
        assert len(strut.arms) == (1 if given["arms"] == "single" else 2)
    assert made > 3 * unmet


@pytest.mark.parametrize(
    ("answers_", "told"),
    [
        ({"angle": "16 deg", "run": "6 deg"}, "angle or run"),
        ({"arms": "vee", "drop": "120 mm"}, "arms (single), or drop"),
        ({"drop": "50 mm"}, "answer to change: drop"),
    ],
)
def test_start_says_which_answer_cannot_be_met_and_writes_nothing(
    answers_: dict[str, str], told: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "mine.yaml"
    status, out, err = run(
        capsys, "start", str(path), *(w for k, v in answers_.items() for w in ("--answer", f"{k}={v}"))
    )
    assert (status, out) == (Exit.UNUSABLE, "")
    assert told in err
    assert "nothing was written" in err
    assert not path.exists()


def test_start_writes_loads_and_checks(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    path = tmp_path / "mine.yaml"
    words = [w for said in ("name=My strut", "shaft=1 1/4", "units=in") for w in ("--answer", said)]
    status, out, _ = run(capsys, "start", str(path), *words)
    assert status == 0
    assert str(path) in out
    assert resolve(load(path)).strut.shaft.diameter_mm == pytest.approx(31.75, abs=1e-3)
    assert run(capsys, "check", str(path))[0] in (Exit.PASS, Exit.WARNINGS)


def test_start_like_a_shipped_set_copies_it(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    path = tmp_path / "mine.yaml"
    assert run(capsys, "start", str(path), "--like", "coastal-pair")[0] == 0
    assert path.read_bytes() == shipped()["coastal-pair"].read_bytes()
    status, _, err = run(capsys, "start", str(tmp_path / "other.yaml"), "--like", "costal-pair")
    assert status == Exit.UNUSABLE
    assert "coastal-pair" in err
    assert list(tmp_path.iterdir()) == [path]


@pytest.mark.parametrize("arguments", [[], ["--like", "harbour-launch"]])
def test_start_never_overwrites(capsys: pytest.CaptureFixture[str], tmp_path: Path, arguments: list[str]) -> None:
    path = tmp_path / "mine.yaml"
    path.write_text("mine", encoding="utf-8")
    status, _, err = run(capsys, "start", str(path), *arguments)
    assert status == Exit.UNUSABLE
    assert "already exists and was left as it is" in err
    assert path.read_text(encoding="utf-8") == "mine"


def test_start_does_not_follow_a_link_to_nowhere(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    link = tmp_path / "mine.yaml"
    link.symlink_to(tmp_path / "elsewhere.yaml")
    assert run(capsys, "start", str(link))[0] == Exit.UNUSABLE
    assert not (tmp_path / "elsewhere.yaml").exists()


@pytest.mark.parametrize(
    "answer",
    [
        "shaft",
        "shaft=",
        "shaft=5 mm",
        "shaft=900 mm",
        "shaft=nan",
        "shaft=-40",
        "shaft=x",
        "colour=red",
        "units=cm",
        "hand=up",
        "drop=0",
        "drop=20 mm",
        "drop=1 km",
        "deadrise=89 deg",
        "deadrise=-1",
        "angle=80 deg",
        "name=a/b",
        "name=..",
        "name=a:b",
        'name="x"',
        "name=a\nb",
        "name=" + "x" * 81,
        "=x",
    ],
)
def test_start_refuses_answers_that_make_no_strut(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, answer: str
) -> None:
    path = tmp_path / "mine.yaml"
    status, out, err = run(capsys, "start", str(path), "--answer", answer)
    if answer == "shaft=":  # an empty answer is the default
        assert status == 0
        return
    if answer == "drop=20 mm":  # it can be drawn, but the barrel stands in the hull
        assert "barrel and hull" in err
        assert "answer to change: drop" in err
    assert (status, out) == (Exit.UNUSABLE, "")
    assert err.startswith("strutwright: ")
    assert not path.exists()


@pytest.mark.parametrize("where", ["no/such/folder/mine.yaml", "a\0b", "x" * 400])
def test_start_where_nothing_can_be_written(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, where: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    status, _, err = run(capsys, "start", where)
    assert status == Exit.UNUSABLE
    assert "cannot be written" in err
    assert list(tmp_path.iterdir()) == []


def piped_in(folder: Path, said: str) -> subprocess.CompletedProcess[str]:
    """Return what `start` makes of answers that another program gives it."""
    command = [sys.executable, "-m", "strutwright", "start", "mine.yaml"]
    return subprocess.run(command, input=said, cwd=folder, capture_output=True, text=True, check=False)


def test_start_reads_answers_that_are_piped_in(tmp_path: Path) -> None:
    said = "Tern\nin\nport\n\nwelded\nvee\n1 1/4\n12 deg\n"  # no line for run, deadrise and drop
    done = piped_in(tmp_path, said)
    assert (done.returncode, done.stderr) == (0, "")
    strut = resolve(load(tmp_path / "mine.yaml")).strut
    assert (strut.identity.name, strut.identity.hand, strut.construction, len(strut.arms), strut.file_units) == (
        "Tern",
        "port",
        "welded",
        2,
        "in",
    )
    assert strut.shaft.diameter_mm == pytest.approx(31.75)
    assert strut.hull.shaft_to_waterline_deg == pytest.approx(12)
    assert strut.hull.drop_square_to_shaft_mm == pytest.approx(7.75 * 25.4)
    assert "Shaft diameter? [1 1/4 in] 1 1/4\n" in done.stdout
    assert "defaults used: hull laminate, run 0 deg, deadrise 0 deg, drop 7.75 in;" in done.stdout


@pytest.mark.parametrize(
    ("said", "words"),
    [
        ("Tern\ncm\n", "units: choose one of mm, in"),
        ("Tern\nin\nport\n\ncast\nvee\n40\n", "shaft: '40' is outside what can be built; allowed: at most 15.748 in"),
    ],
)
def test_start_refuses_a_piped_answer_that_cannot_be_used(tmp_path: Path, said: str, words: str) -> None:
    done = piped_in(tmp_path, said)
    assert done.returncode == Exit.UNUSABLE
    assert done.stderr == f"strutwright: {words}; nothing was written\n"
    assert list(tmp_path.iterdir()) == []


def test_start_does_not_wait_for_a_silent_pipe_and_names_the_defaults(tmp_path: Path) -> None:
    reads, writes = os.pipe()
    try:
        done = subprocess.run(
            [sys.executable, "-m", "strutwright", "start", "mine.yaml", "--answer", "units=in"],
            stdin=reads,
            cwd=tmp_path,
            capture_output=True,
            text=True,
            check=False,
            timeout=30,
        )
    finally:
        os.close(reads)
        os.close(writes)
    assert done.returncode == 0
    assert (
        "defaults used: name New strut, hand centre, hull laminate, construction cast, arms single, shaft 1 1/4 in, "
        "angle 10 deg, run 0 deg, deadrise 0 deg, drop 7.75 in; give others with --answer KEY=VALUE, "
        "or answer in a terminal" in done.stdout
    )


def test_start_names_no_default_when_all_is_answered(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    answer = [
        w
        for key, value in {
            "name": "a",
            "units": "mm",
            "hand": "port",
            "hull": "laminate",
            "construction": "cast",
            "arms": "vee",
            "shaft": "40",
            "drop": "300",
            "angle": "9",
            "run": "1",
            "deadrise": "8",
        }.items()
        for w in ("--answer", f"{key}={value}")
    ]
    status, out, _ = run(capsys, "start", str(tmp_path / "mine.yaml"), *answer)
    assert status == 0
    assert "defaults used" not in out


def test_start_in_a_terminal_asks_each_question_until_its_answer_can_be_used(tmp_path: Path) -> None:
    pty = pytest.importorskip("pty")
    screen, keyboard = pty.openpty()
    process = subprocess.Popen(
        [sys.executable, "-m", "strutwright", "start", "mine.yaml"],
        stdin=keyboard,
        stdout=keyboard,
        stderr=keyboard,
        cwd=tmp_path,
    )
    os.close(keyboard)
    seen = ""
    for wanted, typed in [
        ("called? [New strut] ", "a/b"),
        ("called? [New strut] ", "Tern"),
        ("(mm | in) [mm] ", "in"),
        ("[centre] ", ""),
        ("[laminate] ", ""),
        ("[cast] ", "welded"),
        ("[single] ", ""),
        ("diameter? [1 1/4 in] ", "90"),
        ("diameter? [1 1/4 in] ", "1 1/2"),
        ("waterline? [10 deg] ", "80 deg"),
        ("waterline? [10 deg] ", "12"),
        ("level)? [0 deg] ", "2"),
        ("pad)? [0 deg] ", "1 in"),
        ("pad)? [0 deg] ", "0"),
        ("mid-barrel? [9.5 in] ", "900"),
        ("mid-barrel? [9.5 in] ", "11"),
    ]:
        told = ""
        while not told.endswith(wanted):
            assert select.select([screen], [], [], 30)[0], told
            told += os.read(screen, 1024).decode()
        seen += told
        os.write(screen, f"{typed}\n".encode())
    while process.poll() is None:
        time.sleep(0.02)
    os.close(screen)
    assert process.returncode == 0
    assert seen.count("allowed:") == 4
    assert "at most 196.8503 in" in seen
    assert "'80 deg' is outside what can be built; allowed: at most 30 deg" in seen
    strut = resolve(load(tmp_path / "mine.yaml")).strut
    assert strut.shaft.diameter_mm == pytest.approx(38.1)
    assert strut.hull.drop_square_to_shaft_mm == pytest.approx(11 * 25.4)
    assert (strut.hull.run_deg, strut.hull.shaft_to_hull_deg) == pytest.approx((2, 14))


def test_start_in_a_terminal_keeps_the_answers_that_make_no_strut_together(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A shaft of 400 mm is in its range, but no limits are kept for so large a bearing: it alone, and what the bearing
    hangs on beside it, is asked once more."""
    asked, typed = typed_in(monkeypatch, ["Tern", "", "", "", "", "", "400 mm", "", "", "", "3 m", "", "60 mm"])
    status, out, err = run(capsys, "start", str(tmp_path / "mine.yaml"))
    assert (status, err, list(typed)) == (0, "", [])
    assert "Press Enter to take the answer in brackets" in out
    assert "construction (cast), shaft (400 mm): " in out
    assert [q.endswith(("[cast] ", "[400 mm] ")) for q in asked[11:]] == [True, True]
    strut = resolve(load(tmp_path / "mine.yaml")).strut
    assert (strut.identity.name, strut.shaft.diameter_mm, strut.hull.drop_square_to_shaft_mm) == ("Tern", 60.0, 3000.0)


def typed_in(monkeypatch: pytest.MonkeyPatch, lines: list[str]) -> tuple[list[str], Iterator[str]]:
    """Let lines be typed in a terminal; return what will have been asked, and the lines that are left."""
    asked: list[str] = []
    typed = iter(lines)

    def reply(text: str) -> str:
        asked.append(text)
        return next(typed)

    for stream in (sys.stdin, sys.stdout):
        monkeypatch.setattr(stream, "isatty", lambda: True)
    monkeypatch.setattr("builtins.input", reply)
    return asked, typed


@pytest.mark.parametrize("beforehand", [[], ["--answer", "hand=centre"]])
def test_start_in_a_terminal_asks_again_only_what_does_not_go_together(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch, beforehand: list[str]
) -> None:
    """A V bottom has no flat place on the centre line for one palm; no line of the file to be is named."""
    hand = [] if beforehand else [""]
    asked, typed = typed_in(monkeypatch, ["Tern", "", *hand, "", "", "", "50 mm", "", "", "8", "", "port", ""])
    status, out, err = run(capsys, "start", str(tmp_path / "mine.yaml"), *beforehand)
    assert (status, err, list(typed)) == (0, "", [])
    assert "your answers do not go together\nhand (centre), deadrise (8 deg): " in out
    assert re.search(r"\d+:\d+", out) is None
    assert [q.split()[0] for q in asked[-2:]] == ["Which", "Deadrise:"]
    strut = resolve(load(tmp_path / "mine.yaml")).strut
    assert (strut.identity.hand, strut.hull.deadrise_deg, strut.shaft.diameter_mm) == ("port", 8.0, 50.0)


def test_start_without_a_terminal_names_the_answers_that_do_not_go_together(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    status, out, err = run(capsys, "start", str(tmp_path / "mine.yaml"), "--answer", "deadrise=8")
    assert (status, out) == (Exit.UNUSABLE, "")
    assert "hand (centre), deadrise (8 deg): does the strut stand" in err
    assert err.endswith("nothing was written\n")


@pytest.mark.parametrize("units", ["mm", "in"])
def test_a_new_set_shows_how_what_it_leaves_open_is_written(units: str) -> None:
    """The examples in its comments make a set in which nothing is left out over them."""
    text = starter.complete(starter.ask({"units": units}, None)).text
    text = re.sub(r"^(\w+): \{\}   # such as (\{.*\})$", r"\1: \2", text, flags=re.MULTILINE)
    text = re.sub(r"^  # (\w+: )", r"  \1", text, flags=re.MULTILINE)
    strut = resolve(loads(text)).strut
    assert None not in (strut.shaft.bearing_span_mm, strut.hull.thickness_mm, strut.propeller.hub_gap_mm)
    assert [f.about("mm") for f in job.run_checks(resolve(loads(text))) if f.missing] == []


def test_start_asks_nothing_for_a_file_that_is_there(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "mine.yaml").write_text("mine", encoding="utf-8")
    for stream in (sys.stdin, sys.stdout):
        monkeypatch.setattr(stream, "isatty", lambda: True)
    monkeypatch.setattr("builtins.input", lambda text: pytest.fail(f"asked: {text}"))
    assert run(capsys, "start", str(tmp_path / "mine.yaml"))[0] == Exit.UNUSABLE


def in_range(rng: random.Random) -> dict[str, str]:
    """Answers over the whole of what is sane: every kind of strut and hull, shafts of 20 to 200 mm, a palm at 1 to 15
    degrees to the shaft, deadrise to 30."""
    given = {q.key: rng.choice(q.choices) for q in starter.QUESTIONS if q.choices}
    keel = given["hand"] == "centre" and given["arms"] == "single"
    return {
        **given,
        "shaft": f"{math.exp(rng.uniform(math.log(20), math.log(200))):.4g} mm",
        "angle": f"{rng.uniform(1, 12):.3g} deg",
        "run": f"{rng.choice([0.0, rng.uniform(0, 3)]):.3g} deg",
        "deadrise": f"{0.0 if keel else rng.choice([0.0, rng.uniform(0, 30)]):.3g} deg",
    }


def may_warn(given: dict[str, str]) -> set[str]:
    """Checks that warn whatever is tried. The arms of a vee on a V bottom lean on their palms, and bolts have to stand
    far off for a tool to pass an arm that leans; on plywood they press too hard."""
    leans = given["hand"] == "centre" and given["arms"] == "vee" and float(given["deadrise"].split()[0]) > 8
    heavy = given["arms"] == "vee" and float(given["shaft"].split()[0]) > 80
    weak = given["hull"] == "plywood" and (leans or heavy)
    return {
        c
        for there, codes in ((leans, {"palm_spreads", "arm_length"}), (weak, {"palm_on_hull"}))
        if there
        for c in codes
    }


@pytest.mark.parametrize("seed", every(range(40), 40))
def test_over_the_whole_range_a_set_is_made_without_failures_and_warnings(seed: int) -> None:
    """The drop by default."""
    rng = random.Random(seed)
    for _ in range(6):
        given = in_range(rng)
        made = starter.complete(starter.ask(given, None))
        found = resolve(loads(made.text))
        # What needs the propeller or the power waits for them.
        told = [
            f
            for hand in found.hands()
            for f in job.run_checks(found, hand)
            if not f.missing and f.verdict in (Verdict.WARN, Verdict.FAIL, Verdict.NOT_CHECKED)
        ]
        assert [f"{f.code}: {f.about('mm')}" for f in told if f.code not in may_warn(given)] == [], given
        assert {f.code for f in told} == {f.code for f in made.warnings}
        strut = found.strut
        assert (strut.construction, len(strut.arms)) == (given["construction"], 1 if given["arms"] == "single" else 2)
        assert strut.identity.pair == (given["hand"] == "pair")
        assert strut.palms[0].thickness_mm < 0.9 * strut.shaft.diameter_mm + 6.0


LARGE = [
    {"hull": "aluminium", "construction": "welded", "arms": "vee", "hand": "pair", "shaft": "193.4 mm", "angle": "2.61"}
    | {"units": "in", "deadrise": "18.8"},
    {"hull": "plywood", "construction": "welded", "arms": "vee", "hand": "starboard", "shaft": "181.7 mm"}
    | {"angle": "5.56", "run": "2.81", "deadrise": "1.95"},
    {"hull": "plywood", "arms": "vee", "hand": "centre", "shaft": "186.8 mm", "angle": "3.74", "deadrise": "3.4"}
    | {"units": "in"},
]
"""A bearing that lost its hold in warm water, and palms that pressed plywood too hard."""


@pytest.mark.parametrize("given", every(LARGE, 3))
def test_a_large_strut_is_made_without_warnings(given: dict[str, str]) -> None:
    assert starter.complete(starter.ask(given, None)).warnings == ()


def test_a_warning_that_no_proportions_mend_says_why() -> None:
    checks = job.run_checks(resolve(load(shipped()["harbour-launch"])))
    spreads = next(f for f in checks if f.code == "palm_spreads")
    why = "the arms of a vee on a bottom so steep lean so far on their palms"
    for arms, steep in (("vee", True), ("single", False)):
        answers = starter.ask({"arms": arms, "deadrise": "29.8" if steep else "0"}, None)
        assert (why in starter.Started("", answers, (spreads,)).told("mm")[0]) is steep


@long_run
def test_a_vee_on_a_steep_bottom_is_told_why_it_warns() -> None:
    given = {"hull": "aluminium", "arms": "vee", "shaft": "73.19 mm", "angle": "8.69", "deadrise": "29.8"}
    assert [f.code for f in starter.complete(starter.ask(given, None)).warnings] == ["palm_spreads"]


@pytest.mark.parametrize(
    ("shaft", "kind"), [("40 mm", "countersunk"), ("160 mm", "counterbored"), ("200 mm", "counterbored")]
)
def test_bolts_are_sunk_in_a_bore_where_flush_heads_are_too_thin(shaft: str, kind: str) -> None:
    made = starter.complete(starter.ask({"shaft": shaft}, None))
    bolt = resolve(loads(made.text)).strut.palms[0].bolt
    assert (made.warnings, bolt.kind) == ((), kind)
    assert bolt.major_mm >= 0.2 * float(shaft.split()[0])


@pytest.mark.parametrize(
    ("hull", "construction", "strut", "isolated"),
    [
        ("steel", "welded", "S275", False),
        ("steel", "cast", "cast steel", False),
        ("aluminium", "", "5083-H111", False),
        ("aluminium", "cast", "C95800", True),
        ("timber", "", "C95800", False),
    ],
)
def test_a_strut_is_of_what_the_hull_stands(hull: str, construction: str, strut: str, isolated: bool) -> None:
    """Metals that touch are alike, or are kept apart."""
    given = {"hull": hull, **({"construction": construction} if construction else {})}
    made = starter.complete(starter.ask(given, None))
    found = resolve(loads(made.text)).strut
    assert (found.material, found.hull.isolated, made.warnings) == (strut, isolated, ())
    assert found.anodes == (hull in ("steel", "aluminium"))


def test_the_usual_drop_of_a_vee_grows_with_the_deadrise() -> None:
    def drop(**given: str) -> float:
        return float(starter.ask({"arms": "vee", **given}, None)["drop"])

    assert drop(deadrise="0 deg") == 250.0
    assert drop(deadrise="10 deg") < drop(deadrise="15 deg")
    assert drop(hand="port", deadrise="15 deg") == 250.0


def test_what_is_warned_of_whatever_is_tried_is_told(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    answers = {"units": "mm", "shaft": "40 mm", "angle": "17 deg", "drop": "250"}
    said = [word for key, value in answers.items() for word in ("--answer", f"{key}={value}")]
    status, out, _ = run(capsys, "start", str(tmp_path / "mine.yaml"), *said)
    assert status == 0
    assert "it warns, whatever was tried: angle of the shaft to the hull: 17 deg" in out
    assert "answer behind it: angle or run" in out


@pytest.mark.parametrize("shaft", ["20 mm", "25 mm"])
def test_a_vee_on_a_small_shaft_has_a_drop_that_passes_and_is_told(
    shaft: str, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Nine shafts, where six leave no palm that holds; the user is told to measure it."""
    monkeypatch.setattr("sys.stdin", None)
    given = {
        "construction": "welded",
        "arms": "vee",
        "shaft": shaft,
        "deadrise": "10 deg" if shaft == "20 mm" else "20 deg",
    }
    asked = [text for key, value in given.items() for text in ("--answer", f"{key}={value}")]
    assert main(["start", str(tmp_path / "new.yaml"), *asked]) == 0
    told = capsys.readouterr().out
    assert f"drop {180 if shaft == '20 mm' else 225} mm is only usual for such a shaft: measure it on the boat" in told
