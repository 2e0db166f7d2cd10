"""Many sets in one job: what fails stops nothing, what died is tried once more, what stands is not built again."""

from __future__ import annotations

import csv
import io
import json
import os
import signal
from multiprocessing.connection import Connection
from pathlib import Path

import pytest
from command_line_support import HARBOUR, inside, run

from strutwright import cli, many, many_command
from strutwright.errors import Exit
from strutwright.exporters.files import stop
from strutwright.exporters.files.manifest import write_manifest
from strutwright.exporters.web import many_page
from strutwright.many import Row, Set
from strutwright.outputs import Order
from strutwright.params import variations
from strutwright.params.problems import ParameterError

ORDER = Order(out=None, what=("tables",))


def stood_in(talk: Connection, folder: str, order: Order, limits_file: str | None) -> None:
    """Stands in for a worker: writes a note, and does what a set's text asks for."""
    while (one := talk.recv()) is not None:
        asked = Path(one.file).read_text(encoding="utf-8").split()
        log = Path(folder) / "log"
        with log.open("a", encoding="utf-8") as out:
            out.write(f"{one.name}\n")
        if "dies" in asked or ("once" in asked and log.read_text(encoding="utf-8").count(f"{one.name}\n") == 1):
            os.kill(os.getpid(), signal.SIGKILL)
        if "unusable" in asked:
            talk.send(Row(name=one.name, status=int(Exit.UNUSABLE), said="what is wrong"))
            continue
        made = Path(folder) / one.name
        made.mkdir(exist_ok=True)
        (made / "x.txt").write_text("x", encoding="utf-8")
        write_manifest(made, {"x.txt": "a note"}, version="1", parameters_sha256="2")
        talk.send(Row(name=one.name, status=int(Exit.PASS), stands="good", files=1, memory_mb=1.0))


@pytest.fixture
def worker(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(many, "_serve", stood_in)


def sets(folder: Path, **texts: str) -> list[Set]:
    folder.mkdir(exist_ok=True)
    for name, text in texts.items():
        (folder / f"{name}.yaml").write_text(text, encoding="utf-8")
    return [Set(name, str(folder / f"{name}.yaml")) for name in texts]


def build(made: list[Set], folder: Path, order: Order = ORDER) -> tuple[list[Row], list[str]]:
    """Build, and return what came of the sets and which were begun."""
    log = folder / "log"
    log.unlink(missing_ok=True)
    digests = {one.name: many.digest(one, order, "") for one in made}
    rows = many.build_all(made, folder, order, digests=digests, workers=2)
    return rows, sorted(log.read_text(encoding="utf-8").split()) if log.exists() else []


@pytest.mark.usefixtures("worker")
def test_what_dies_or_cannot_be_used_stops_no_other(tmp_path: Path) -> None:
    made = sets(tmp_path / "in", a="good", b="dies", c="once", d="unusable", e="good")
    rows, begun = build(made, tmp_path / "out")
    assert [(r.name, r.status, r.tries) for r in rows] == [
        ("a", Exit.PASS, 1),
        ("b", Exit.INTERNAL, 2),
        ("c", Exit.PASS, 2),
        ("d", Exit.UNUSABLE, 1),
        ("e", Exit.PASS, 1),
    ]
    assert begun == ["a", "b", "b", "c", "c", "d", "e"]
    assert "died 2 times" in rows[1].said
    assert rows[3].said == "what is wrong"


@pytest.mark.usefixtures("worker")
def test_only_what_changed_or_did_not_come_to_an_end_is_built_again(tmp_path: Path) -> None:
    folder = tmp_path / "out"
    made = sets(tmp_path / "in", a="good", b="good", c="good", d="unusable", e="good")
    assert build(made, folder)[1] == ["a", "b", "c", "d", "e"]
    sets(tmp_path / "in", b="good another")
    (folder / "c" / "x.txt").write_text("y", encoding="utf-8")  # by hand
    (folder / "e" / "manifest.json").unlink()
    rows, begun = build(made, folder)
    assert begun == ["b", "c", "d", "e"]
    assert [r.kept for r in rows] == [True, False, False, False, False]
    rows, begun = build(made, folder)
    assert begun == ["d"]
    # Other options are another build, as is another version of the program.
    assert build(made, folder, Order(out=None, what=("tables", "sheets")))[1] == ["a", "b", "c", "d", "e"]


@pytest.mark.usefixtures("worker")
def test_what_is_told_apart(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (one,) = sets(tmp_path / "in", a="good")
    told = {many.digest(one, ORDER, ""), many.digest(one, ORDER, "limits")}
    told.add(many.digest(one, Order(out=None, what=("tables",), hand="both"), ""))
    told.add(many.digest(one, Order(out=None, what=("tables",), despite_failures=True), ""))
    monkeypatch.setattr(many, "__version__", "0.0.9")
    told.add(many.digest(one, ORDER, ""))
    assert len(told) == 5


@pytest.mark.usefixtures("worker")
def test_a_stop_leaves_what_is_done_and_goes_on_from_there(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    folder = tmp_path / "out"
    made = sets(tmp_path / "in", a="good", b="good", c="good", d="good")
    digests = {one.name: many.digest(one, ORDER, "") for one in made}

    def stops(done: int, row: Row) -> None:
        if done == 2:
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        many.build_all(made, folder, ORDER, digests=digests, workers=1, told=stops)
    rows, begun = build(made, folder)
    assert begun == ["c", "d"]
    assert [r.kept for r in rows] == [True, True, False, False]
    assert stop.asked() == 0


@pytest.mark.parametrize("text", ["", "{", '{"sets": {"a": {}}}', '{"sets": {"a": {"digest": 1, "row": {"name": 1}}}}'])
@pytest.mark.usefixtures("worker")
def test_a_file_of_what_is_done_that_cannot_be_read_counts_for_nothing(tmp_path: Path, text: str) -> None:
    folder = tmp_path / "out"
    folder.mkdir()
    (folder / many.STATE).write_text(text, encoding="utf-8")
    assert build(sets(tmp_path / "in", a="good"), folder)[1] == ["a"]


# --- variations -----------------------------------------------------------------------------------------------------


def table(tmp_path: Path, text: str, name: str = "table.csv") -> list[variations.Variation]:
    path = tmp_path / name
    path.write_text(text, encoding="utf-8")
    return variations.variations(variations.read(path))


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("a.csv", "name,barrel.wall,hull.drop.square_to_shaft\nlight,8 mm,\nheavy,10 mm,310\n"),
        ("a.csv", 'name;barrel.wall;hull.drop.square_to_shaft\nlight;"8 mm";\n\n# a note\nheavy;10 mm;310\n'),
        ("a.tsv", "name\tbarrel.wall\thull.drop.square_to_shaft\nlight\t8 mm\nheavy\t10 mm\t310\n"),
        ("a.yaml", "light: {barrel.wall: 8 mm}\nheavy: {barrel.wall: 10 mm, hull.drop.square_to_shaft: 310}\n"),
    ],
)
def test_a_table_says_the_same_in_every_form(tmp_path: Path, name: str, text: str) -> None:
    found = [(v.name, dict(v.values)) for v in table(tmp_path, text, name)]
    heavy = {"barrel.wall": "10 mm", "hull.drop.square_to_shaft": "310"}
    assert found == [("light", {"barrel.wall": "8 mm"}), ("heavy", heavy)]


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("", "table.csv:1:1: has no column name"),
        ("barrel.wall\n8\n", "table.csv:1:1: has no column name"),
        ("name,barrel.wall\n", "has no rows"),
        ("name,barrel.wall,barrel.wall\na,8,9\n", "table.csv:1:18"),
        ("name,barrel.wall\na,8\na,9\n", "table.csv:3:1"),
        ("name,barrel.wall\na,8,7\n", "has more cells than the head"),
        ('name,barrel.wall\na,"8\n', "has a quote that is not closed"),
        ("name,barrel.wall\n,8\n", "a row has no name"),
    ],
)
def test_faults_of_a_table_have_their_place(tmp_path: Path, text: str, told: str) -> None:
    with pytest.raises(ParameterError) as error:
        table(tmp_path, text)
    assert told in str(error.value)


def test_a_row_keeps_the_comments_of_the_set(tmp_path: Path) -> None:
    path = tmp_path / "t.yaml"
    path.write_text("thick: {palm.thickness: 16 mm}", encoding="utf-8")
    document = variations.read(path)
    (one,) = variations.variations(document)
    made = variations.text_of("# mine\n" + HARBOUR, one, document)
    assert made.startswith("# mine\n")
    assert made.replace("thickness: 16 mm\n", "thickness: 14\n") == "# mine\n" + HARBOUR


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["nowhere"], "is no folder"),
        (["nowhere", "--table", "t.csv"], "nowhere"),
        ([".", "--jobs", "0"], "at least 1"),
        (["harbour-launch", "--table", "nowhere.csv"], "nowhere.csv"),
    ],
)
def test_what_cannot_be_begun_touches_nothing(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch, words: list[str], told: str
) -> None:
    monkeypatch.chdir(tmp_path)
    status, _, err = run(capsys, "many", *words)
    assert status == Exit.UNUSABLE
    assert told in err
    assert list(tmp_path.iterdir()) == []


def test_rows_that_would_share_a_folder_are_refused(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "t.csv").write_text("name,barrel.wall\nA b,8\na-b,9\n../x,9\nx,9\n", encoding="utf-8")
    status, _, err = run(capsys, "many", "harbour-launch", "--table", "t.csv")
    assert status == Exit.UNUSABLE
    assert "t.csv:3:1" in err
    assert "t.csv:5:1" in err  # no name leaves its folder
    assert [p.name for p in tmp_path.iterdir()] == ["t.csv"]


# --- for real -------------------------------------------------------------------------------------------------------


def test_many_build_what_single_builds_do(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "t.csv").write_text("name;palm.thickness\nas it is;\nthin;4 mm\nodd;thick\n", encoding="utf-8")
    words = ["harbour-launch", "--table", "t.csv", "--only", "tables", "--out", "all"]
    status, out, err = run(capsys, "many", *words, "--jobs", "1")
    assert status == Exit.UNUSABLE
    assert "3 of 3" in err
    assert "odd.yaml" in out
    assert cli.main(["build", "all/sets/as-it-is.yaml", *words[3:-1], "one", "--quiet"]) == Exit.PASS
    assert inside(tmp_path / "one") == inside(tmp_path / "all" / "as-it-is")
    rows = list(csv.DictReader(io.StringIO((tmp_path / "all" / many_command.TABLE).read_text(encoding="utf-8"))))
    assert [(r["name"], r["status"]) for r in rows] == [
        ("as-it-is", "within limits"),
        ("thin", "a check fails"),
        ("odd", "cannot be used"),
    ]
    page = (tmp_path / "all" / many_command.PAGE).read_text(encoding="utf-8")
    assert 'href="as-it-is/index.html"' in page
    assert "barrel" not in json.loads((tmp_path / "all" / many.STATE).read_text(encoding="utf-8"))["sets"]


def test_a_picture_stands_on_the_page_of_all() -> None:
    row = Row(
        name="a b", status=1, stands="1 check warns.", used="120 %", governs="wall", files=3, pictures=("a b/x.png",)
    )
    page = many_page.page([row])
    assert 'src="a%20b/x.png"' in page
    assert 'href="a%20b/index.html"' in page
    assert "1 warnings" in page
