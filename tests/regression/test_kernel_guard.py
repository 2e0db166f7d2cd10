"""A crash or a hang of the kernel costs a step, never the job, the earlier outputs or the terminal.

Faults are real: signals, endless loops and spent memory in the process that has the kernel, at a named step.
"""

from __future__ import annotations

import json
import os
import re
import shutil
import signal
import subprocess
import sys
import threading
import time
from pathlib import Path
from typing import Any

import guard_tasks as tasks
import pytest
from support import THOROUGH, every, long_run

from strutwright import cli, guard, job, outputs
from strutwright.errors import Exit, UserError
from strutwright.exporters.files.manifest import changed_files
from strutwright.exporters.files.mesh import mesh_of
from strutwright.guard import Guard, TooOftenLost, WorkerFault
from strutwright.models.solids import Built, Part
from strutwright.models.solids.kernel import KernelError
from strutwright.models.solids.watch import LOST_CODES, Lost
from strutwright.params import explain
from strutwright.params.words import read

pytestmark = pytest.mark.skipif(os.name != "posix", reason="faults are made by signals")
TESTS = Path(tasks.__file__).parent
thorough = pytest.mark.skipif(not THOROUGH, reason="whole builds: the long run")


@pytest.fixture(autouse=True)
def _tasks_for_the_worker(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PYTHONPATH", str(TESTS), prepend=os.pathsep)


def faults(monkeypatch: pytest.MonkeyPatch, *wanted: str, seconds: float | None = None) -> None:
    """Have the workers from now on fail in steps ("segv:the barrel"); seconds: longest time of a step."""
    monkeypatch.setenv(guard.FAULT_VARIABLE, ";".join(wanted))
    if seconds is not None:
        monkeypatch.setenv(guard.STEP_VARIABLE, str(seconds))


def running(pid: int) -> bool:
    """Return whether a process runs; a dead one that nobody has asked after does not."""
    try:
        os.kill(pid, 0)
        return "\nState:\tZ" not in Path(f"/proc/{pid}/status").read_text("ascii")
    except (ProcessLookupError, FileNotFoundError):
        return False


def gone(pid: int, within_s: float = 20.0) -> bool:
    """Return whether a process ends in time."""
    end = time.monotonic() + within_s
    while running(pid) and time.monotonic() < end:
        time.sleep(0.02)
    return not running(pid)


# --- the guard itself -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("fault", "hung", "why"),
    [
        ("segv", False, "segmentation fault"),
        ("kill", False, "killed from outside, as when memory runs out"),
        ("memory", False, "out of memory"),
        ("spin", True, "stopped after 0.4 s of computing"),
        pytest.param("sleep", True, "stopped after 1.6 s without a sign of life", marks=long_run),
    ],
)
def test_a_lost_step_is_left_out_and_named(monkeypatch: pytest.MonkeyPatch, fault: str, hung: bool, why: str) -> None:
    faults(monkeypatch, f"{fault}:b", f"{fault}:d", seconds=0.4)
    told: list[Any] = []
    losses: list[int] = []
    with Guard(kernel=False) as work:
        done = work.run(tasks.steps, lambda: (("a", "b", "c", "d", "e"),), told.append, lambda: losses.append(1))
    assert done == ["a", "no b", "c", "no d", "e"]
    assert len(losses) == 2
    assert told == ["a", "a", "c", "a", "c", "e"]  # b is not tried in the second worker, nor b and d in the third
    monkeypatch.setattr(guard, "MOST_LOST", 0)
    with Guard(kernel=False) as work, pytest.raises(TooOftenLost) as ended:
        work.run(tasks.steps, lambda: (("d",),))
    (lost,) = ended.value.lost
    # A step without a parameter of its own has that of the one round it.
    assert (lost.what, lost.parameter, lost.hung, lost.why) == ("d", "barrel", hung, why)


def test_of_two_steps_alike_only_the_one_that_failed_is_left_out() -> None:
    with Guard(kernel=False) as work:
        assert work.run(tasks.steps, lambda: (("a", "b", "a", "a"), "a")) == ["a", "b", "no a", "a"]


def test_a_kernel_that_is_always_lost_is_given_up(monkeypatch: pytest.MonkeyPatch) -> None:
    names = tuple("abcdefgh")
    faults(monkeypatch, *(f"segv:{n}" for n in names))
    with Guard(kernel=False) as work, pytest.raises(TooOftenLost) as ended:
        work.run(tasks.steps, lambda: (names,))
    assert [x.what for x in ended.value.lost] == list(names)[: guard.MOST_LOST + 1]


def test_errors_of_the_worker_come_back() -> None:
    with Guard(kernel=False) as work:
        with pytest.raises(UserError, match=r"^the shaft is crooked$"):
            work.run(tasks.raises, lambda: ("user",))
        with pytest.raises(KeyError, match="no such thing"):
            work.run(tasks.raises, lambda: ("no such thing",))
        with pytest.raises(WorkerFault, match=r"^OddError: three words here$"):  # its kind is not known here
            work.run(tasks.raises, lambda: ("odd",))


def test_a_worker_serves_more_than_one_task() -> None:
    with Guard(kernel=False) as work:
        pid = work.run(tasks.worker, tuple)
        assert work.run(tasks.worker, tuple) == pid != os.getpid()
        assert running(pid)
    assert not running(pid)


def test_a_kernel_that_does_not_start_is_the_users_matter(monkeypatch: pytest.MonkeyPatch) -> None:
    faults(monkeypatch, f"segv:{guard._START}")
    with Guard() as work, pytest.raises(UserError, match="import cadquery"):
        work.run(tasks.worker, tuple)


@pytest.mark.parametrize("said", ["0", "-3", "nan", "inf", "soon"])
def test_a_time_that_is_none_is_refused(monkeypatch: pytest.MonkeyPatch, said: str) -> None:
    monkeypatch.setenv(guard.STEP_VARIABLE, said)
    with pytest.raises(UserError, match=f"{guard.STEP_VARIABLE}={said}"):
        Guard()


@pytest.mark.parametrize("how", ["busy", "idle"])
@pytest.mark.parametrize("number", [signal.SIGKILL, signal.SIGINT, signal.SIGTERM])
def test_no_worker_outlives_its_job(how: str, number: int) -> None:
    """Also not one that is deep in a computation and reads no pipe."""
    parent = subprocess.Popen(
        [sys.executable, str(TESTS / "guard_tasks.py"), how],
        stdout=subprocess.PIPE,
        text=True,
        stderr=subprocess.DEVNULL,
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.default_int_handler),
    )
    assert parent.stdout is not None
    pid = int(parent.stdout.readline())
    assert running(pid)
    parent.send_signal(number)
    parent.wait(timeout=20)
    parent.stdout.close()
    assert gone(pid)


def test_a_stop_ends_a_busy_worker_at_once() -> None:
    pids: list[int] = []

    def hear(pid: int) -> None:
        pids.append(pid)
        threading.Timer(0.2, lambda: os.kill(os.getpid(), signal.SIGINT)).start()

    before = signal.signal(signal.SIGINT, signal.default_int_handler)
    try:
        with Guard(kernel=False) as work, pytest.raises(KeyboardInterrupt):
            work.run(tasks.stays, lambda: (True,), hear)
    finally:
        signal.signal(signal.SIGINT, before)
    assert not running(pids[0])


def test_ctrl_c_reaches_the_job_alone() -> None:
    """A terminal sends it to every process of the group; the worker is in none of them and would ignore it."""
    with Guard(kernel=False) as work:
        pid = work.run(tasks.worker, tuple)
        assert os.getpgid(pid) != os.getpgid(os.getpid())
        os.kill(pid, signal.SIGINT)
        assert work.run(tasks.worker, tuple) == pid


# --- builds ---------------------------------------------------------------------------------------------------------


def inside(folder: Path) -> dict[str, bytes]:
    """Return every file below a folder: path -> content."""
    return {p.relative_to(folder).as_posix(): p.read_bytes() for p in sorted(folder.rglob("*")) if p.is_file()}


def build(capsys: pytest.CaptureFixture[str], name: str, folder: Path, *options: str) -> tuple[int, dict[str, Any]]:
    """Return the exit status of a build and its answer as JSON; nothing may come on the error stream."""
    capsys.readouterr()
    status = cli.main(["build", name, "--out", str(folder), "--json", *options])
    out, err = capsys.readouterr()
    assert err == ""
    said: dict[str, Any] = json.loads(out)
    assert said["exit"] == status
    return status, said


def lost_in(said: dict[str, Any]) -> list[tuple[str, str, str]]:
    """Return code, words and parameter of each finding of a lost kernel; the parameter exists."""
    found = [f for f in said["findings"] if f["code"] in LOST_CODES]
    for f in found:
        assert (f["verdict"], f["parameter"] in explain.all_paths()) == ("failure", True), f
        assert f["parameter"] in f["advice"]
    return [(f["code"], f["what"], f["parameter"]) for f in found]


def only(*kinds: str) -> list[str]:
    """Return the options that ask for some kinds."""
    return [word for kind in kinds for word in ("--only", kind)]


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """Return folders of two sets, a casting and a weldment, as they are without a fault; the second in the long run,
    where its tests are."""
    made = {name: tmp_path_factory.mktemp("whole") / name for name in ("harbour-launch", "canal-tender")}
    shutil.copytree(TESTS.parent / "out_examples" / "harbour-launch", made["harbour-launch"])
    if THOROUGH:
        assert cli.main(["build", "canal-tender", "--out", str(made["canal-tender"]), *only("tables")]) == Exit.PASS
    return made


@pytest.mark.parametrize(
    ("name", "fault", "code", "parameter"),
    every(
        [
            ("harbour-launch", "segv:the joint of the arm and the barrel", "kernel_crashed", "arms.position"),
            ("canal-tender", "spin:the arm", "kernel_hung", "arms.section.chord"),
        ],
        2,
    ),
)
def test_a_kernel_lost_in_building_is_a_failed_check(
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
    whole: dict[str, Path],
    name: str,
    fault: str,
    code: str,
    parameter: str,
) -> None:
    """Nothing is written, and the earlier outputs stand."""
    before = inside(whole[name])
    faults(monkeypatch, fault, seconds=4.0)
    status, said = build(capsys, name, whole[name], *only("tables"))
    assert (status, said["folder"], said["files"]) == (Exit.FAILURE, None, {})
    lost = lost_in(said)
    assert {x[0] for x in lost} == {code}
    assert f"at {fault.partition(':')[2]} (" in lost[0][1]
    assert parameter in {x[2] for x in lost}
    assert inside(whole[name]) == before
    assert [p.name for p in whole[name].parent.iterdir()] == [name]


@thorough
def test_a_kernel_lost_over_an_output_leaves_the_rest_as_it_is(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, tmp_path: Path, whole: dict[str, Path]
) -> None:
    """The mesh takes all memory after a file of it was written: no mesh, the same bytes of all else."""
    faults(monkeypatch, "memory:the mesh of the bearing shell", "kill:the picture of the arm")
    status, said = build(capsys, "canal-tender", tmp_path / "out", *only("meshes", "tables", "picture", "report"))
    assert status == Exit.FAILURE
    assert [(c, p) for c, _, p in lost_in(said)] == [
        ("kernel_crashed", "bearing.shell"),
        ("kernel_crashed", "arms.section.chord"),
    ]
    assert [x[1].partition(" left out: ")[0] for x in lost_in(said)] == ["meshes", "picture"]
    clean, now = inside(whole["canal-tender"]), inside(tmp_path / "out")
    assert {p.partition("/")[0] for p in now} == {"manifest.json", "parameters.yaml", "tables", "report"}
    assert {p: b for p, b in now.items() if p.startswith("tables")} == {
        p: b for p, b in clean.items() if p.startswith("tables")
    }
    assert changed_files(tmp_path / "out") == []
    assert b"out of memory" in next(b for p, b in now.items() if p.endswith(".txt"))  # the report tells it
    assert sorted(said["files"]) == sorted(p for p in now if p != "manifest.json")


@thorough
def test_a_sheet_that_is_lost_takes_no_other_with_it(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    faults(monkeypatch, "segv:the sheet barrel machining")
    status, said = build(capsys, "canal-tender", tmp_path / "out", *only("sheets"))
    assert status == Exit.FAILURE
    assert [x[1].partition(" left out: ")[0] for x in lost_in(said)] == ["sheet barrel machining"]

    others = [re.sub(r".*-\d\d-(.*)\.dxf", r"\1", p.name) for p in sorted((tmp_path / "out" / "sheets").glob("*.dxf"))]
    assert others == [
        "general-arrangement",
        "set-screws",
        "palm-drilling",
        "arm",
        "cut-list-and-jig",
        "weld-assembly",
        "press-card",
        "inspection-record",
    ]
    assert not list((tmp_path / "out" / "sheets").glob("*barrel-machining*"))
    assert changed_files(tmp_path / "out") == []


@long_run
@pytest.mark.parametrize(("name", "gone"), [("canal-tender", "the barrel")])
def test_despite_failures_what_needs_no_solid_is_written(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, tmp_path: Path, name: str, gone: str
) -> None:
    faults(monkeypatch, f"segv:{gone}")
    status, said = build(
        capsys,
        name,
        tmp_path / "out",
        "--despite-failures",
        *only("solids", "meshes", "outlines", "tables", "sheets", "report"),
    )
    assert status == Exit.FAILURE
    assert {p.partition("/")[0] for p in said["files"]} >= {"finished-size", "report"}
    assert not {p.partition("/")[0] for p in said["files"]} & {"solids", "meshes", "sheets"}
    assert changed_files(tmp_path / "out") == []


@thorough
def test_a_pattern_set_that_is_lost_takes_nothing_with_it(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    faults(monkeypatch, "segv:the halves of the pattern")
    status, said = build(capsys, "harbour-launch", tmp_path / "out", *only("foundry", "outlines"))
    assert status == Exit.FAILURE
    assert [(x[1].partition(" left out: ")[0], x[2]) for x in lost_in(said)] == [("pattern set", "pattern.parting")]
    assert {p.partition("/")[0] for p in said["files"]} == {"finished-size", "parameters.yaml"}


@thorough
def test_a_kernel_lost_too_often_leaves_what_can_do_without(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setattr(guard, "MOST_LOST", 1)
    faults(monkeypatch, "segv:the STEP file of the whole strut", "segv:the mesh of the strut")
    status, said = build(
        capsys, "harbour-launch", tmp_path / "out", *only("solids", "meshes", "outlines", "picture", "report")
    )
    assert status == Exit.FAILURE
    assert {p.partition("/")[0] for p in said["files"]} == {"finished-size", "report", "parameters.yaml"}
    assert [x[1].partition(" left out: ")[0] for x in lost_in(said)] == ["STEP files", "the mesh of the strut"]
    given_up = [f["what"] for f in said["findings"] if f["code"] == "kernel_given_up"]
    assert given_up == [
        f"{kind} left out: the solid-modelling kernel was lost too often" for kind in ("meshes", "picture")
    ]


@long_run
def test_a_fault_of_the_program_in_the_worker_is_told_as_such(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    faults(monkeypatch, "fault:the tables")
    assert cli.main(["build", "harbour-launch", "--out", str(tmp_path / "out"), *only("tables")]) == Exit.INTERNAL
    out, err = capsys.readouterr()
    assert out == ""
    assert "this is a fault of the program, not of your file: KeyError: 'a fault made for a test'" in err
    assert "Traceback" not in err
    assert list(tmp_path.iterdir()) == []


@long_run
def test_a_kernel_lost_before_a_stress_study_is_a_failed_check(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    pytest.importorskip("gmsh")
    pytest.importorskip("skfem")
    faults(monkeypatch, "segv:the barrel")
    assert cli.main(["stress", "canal-tender", "--out", str(tmp_path / "out")]) == Exit.FAILURE
    out, err = capsys.readouterr()
    assert out == ""
    assert "kernel crashed at the barrel (segmentation fault)" in err
    assert "[barrel.length]" in err
    assert list(tmp_path.iterdir()) == []


def test_this_process_never_loads_the_kernel(tmp_path: Path) -> None:
    """Only so can a crash of it not end the job."""
    code = (
        "import sys\nfrom strutwright import cli\n"
        f"status = cli.main(['build', 'harbour-launch', '--out', {str(tmp_path / 'out')!r}, '--only', 'report'])\n"
        "sys.exit(status or int('cadquery' in sys.modules or 'OCP' in sys.modules))"
    )
    assert subprocess.run([sys.executable, "-c", code], cwd=tmp_path, capture_output=True, check=False).returncode == 0


def test_the_findings_name_part_parameter_and_reason() -> None:
    for hung, code, word in ((False, "kernel_crashed", "crashed"), (True, "kernel_hung", "did not come to an end")):
        found = Lost("", "the mesh of the strut", "arms.root_fillet", hung, "why").finding("outputs")
        assert (found.code, found.fails, found.parameter) == (code, True, "arms.root_fillet")
        assert found.what == f"the solid-modelling kernel {word} at the mesh of the strut (why)"


# --- outputs that cannot be made, without a crash -------------------------------------------------------------------


def one_hand(folder: Path) -> outputs.OneHand:
    """Return the job of a hand as the process with the kernel has it, with one file made."""
    found = cli.resolved("harbour-launch")
    (folder / "tables").mkdir(parents=True)
    (folder / "tables" / "earlier.csv").write_text("1", encoding="utf-8")
    order = outputs.Order(out=folder, what=("meshes",), despite_failures=False)
    return outputs.OneHand(
        resolved=found,
        strut=found.strut,
        parameters_name="x.yaml",
        parameters_sha256="0" * 64,
        order=order,
        folder=folder,
        files={"tables/earlier.csv": "table"},
        findings=[],
        progress=outputs.Telling(print),
        guard=None,
    )


def made_of(*shapes: Any) -> Built:
    """Return a built strut of shapes."""
    return Built(
        "t",
        tuple(
            Part(f"part {k}" if k else "strut", "strut", s, (0.5, 0.5, 0.5), "C95800", 1.0, "arms.root_fillet")
            for k, s in enumerate(shapes)
        ),
        [],
        0.0,
    )


@pytest.mark.parametrize("kind", ["meshes", "view", "foundry"])
def test_a_mesh_that_does_not_close_is_a_failure_that_names_part_and_parameter(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, kind: str
) -> None:
    """All files of that kind go, also those written before it was found; the others stand, and nothing stops."""
    import cadquery as cq

    open_box = cq.Compound.makeCompound(cq.Solid.makeBox(10, 10, 10).Faces()[:5])
    work = one_hand(tmp_path / "out")
    if kind == "foundry":

        def written(_job: outputs.OneHand, built: Built) -> None:
            work.place("pattern-set/one.step", "solid").write_text("x", encoding="utf-8")
            mesh_of(built.parts[1])

        monkeypatch.setitem(outputs.STAGES, "foundry", ("pattern set", written))
    outputs.make_kind(work, made_of(cq.Solid.makeBox(10, 10, 10), open_box), kind)
    (found,) = work.findings
    assert (found.code, found.fails, found.parameter, found.group) == (
        "mesh_not_closed",
        True,
        "arms.root_fillet",
        outputs.OUTPUTS,
    )
    said = read(found.what, "mm")
    assert said == f"{outputs.STAGES[kind][0]} left out: part 1: the mesh is not closed"
    assert inside(tmp_path / "out") == {"tables/earlier.csv": b"1"}
    assert list(work.files) == ["tables/earlier.csv"]
    assert (found.left_out, found.advice) == (
        outputs.STAGES[kind][0],
        "check that the solid is valid, or change a fillet a little",
    )
    for hands, out in (([found], found.left_out), ([job._of_hand(found, "port")], f"port: {found.left_out}")):
        told = job.Outcome(name="x", folder=tmp_path, files={}, findings=hands, status=Exit.FAILURE).summary()
        assert f"left out, because of failures: {out}\n" in told
    work.stop_if_failing()  # raises nothing
    assert job.exit_for(work.findings) == Exit.FAILURE


def test_what_the_kernel_refuses_is_left_out_and_a_fault_of_the_program_is_not_hidden(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    import cadquery as cq
    from OCP.Standard import Standard_Failure

    work, built = one_hand(tmp_path / "out"), made_of(cq.Solid.makeBox(10, 10, 10))
    errors: list[Exception] = [
        KernelError("the cut"),
        Standard_Failure("x"),
        KeyError("a slip"),
        ValueError("a slip"),
        ZeroDivisionError("a slip"),
        OSError("disk full"),
    ]
    said = []
    for error in errors:

        def failing(_job: outputs.OneHand, _built: Built, error: Exception = error) -> None:
            raise error

        monkeypatch.setitem(outputs.STAGES, "picture", ("picture", failing))
        work.findings.clear()
        try:
            outputs.make_kind(work, built, "picture")
        except Exception as raised:
            said.append(type(raised).__name__)
        else:
            said.append(read(work.findings[0].what, "mm"))
    assert said == [
        "picture left out: the cut",
        "picture left out: the solid-modelling kernel gave up (Standard_Failure)",
        "KeyError",
        "ValueError",
        "ZeroDivisionError",
        "OSError",
    ]
