"""``frogbench shot``: a picture without a screen."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

from tests.cli.running import ROOT, called, frogbench

CLEAN = str(ROOT / "tests" / "benches" / "clean.toml")
PNG = b"\x89PNG\r\n\x1a\n"


@pytest.mark.parametrize("name", [CLEAN, str(ROOT / "levels" / "right-hand.toml")])
def test_it_writes_a_picture_and_prints_nothing(name: str, tmp_path: Path) -> None:
    ended = called("shot", name, "out.png", cwd=tmp_path)
    assert ended.status == 0, ended
    assert ended.out == b""
    assert ended.err == ""
    picture = (tmp_path / "out.png").read_bytes()
    assert picture.startswith(PNG)
    width, height = (int.from_bytes(picture[at : at + 4]) for at in (16, 20))
    assert (width, height) == (1280, 800)


def test_two_benches_give_two_pictures_and_one_bench_one(tmp_path: Path) -> None:
    exchanged = str(ROOT / "tests" / "benches" / "exchanged.toml")
    for run, name, out in ((frogbench, CLEAN, "a.png"), (called, CLEAN, "b.png"), (called, exchanged, "c.png")):
        assert run("shot", name, out, cwd=tmp_path).status == 0
    a, b, c = ((tmp_path / f"{letter}.png").read_bytes() for letter in "abc")
    assert a == b
    assert a != c


@pytest.mark.parametrize("out", ["none/out.png", "folder.png", "/dev/full/out.png", "out.jpg", "out"])
def test_a_picture_that_cannot_be_written_is_one_line(out: str, tmp_path: Path) -> None:
    (tmp_path / "folder.png").mkdir()
    ended = called("shot", CLEAN, out, cwd=tmp_path)
    assert ended.status == 2, ended
    assert len(ended.lines) == 1, ended
    assert ended.err.startswith(f"{out}: ")
    assert [path.name for path in tmp_path.iterdir()] == ["folder.png"]


WITHOUT_WAITING = """
import sys
from sim.cli import main
status = main(sys.argv[1:])
sys.exit("pygame was waited for" if "pygame" in sys.modules else status)
"""


@pytest.mark.parametrize(("file", "out"), [(CLEAN, "out.jpg"), (CLEAN, "there.png"), ("missing.toml", "out.png")])
def test_what_is_refused_is_refused_before_pygame_is_there(file: str, out: str, tmp_path: Path) -> None:
    """To import it takes a second."""
    (tmp_path / "there.png").write_text("mine")
    ended = frogbench("shot", file, out, cwd=tmp_path, program=(sys.executable, "-c", WITHOUT_WAITING))
    assert ended.status == 2, ended
    assert len(ended.lines) == 1, ended


HEAD = 'bench = 1\n{title}\n[supply]\nkind = "dcc"\n'
TURNOUT = '[[track]]\nid = "T1"\nkind = "turnout"\nscale = "HO"\nhand = "right"\nnumber = 6\n'
TRAIN = '[[train]]\nid = "X"\nvehicles = [{}]\nat = {{ end = "T1.toe", mm = 30 }}\n'
INVISIBLE = {
    "zero width space": "\\u200b",
    "bidi marks": "\\u200e\\u200f\\u202d\\u202e\\u2066\\u2069\\u061c",
    "soft hyphen": "\\u00ad",
    "variation selectors": "\\ufe0f\\U000e0100\\u180b",
    "a joiner that is no character": "\\u034f\\u2060\\ufeff",
    "a blank letter": "\\u3164\\uffa0\\u115f",
}
EXTREMES = {
    "nothing but a supply": HEAD.format(title=""),
    "a title that no typeface has": HEAD.format(title='title = "\\u0000\\u0007\\U0001F600\\u202e"') + TURNOUT,
    **{
        f"every text is {what}": HEAD.format(title=f'title = "{text}"')
        + TURNOUT
        + '[[wire]]\nends = ["bus.A", "T1.stock.left"]\n'
        + f'[level]\nbrief = "{text}"\nteaches = "{text}"\n'
        for what, text in INVISIBLE.items()
    },
    "a title that no sheet is wide enough for": HEAD.format(title=f'title = "{"W" * 200}"') + TURNOUT + "[level]\n",
    "ten metres of rail": HEAD.format(title="")
    + '[[track]]\nid = "P1"\nkind = "plain"\nscale = "HO"\nlength_mm = 10000\n',
    "a train of forty engines": HEAD.format(title="")
    + TURNOUT
    + TRAIN.format(", ".join(['"bogie diesel"'] * 40)),
    "a train far off the board": HEAD.format(title="")
    + TURNOUT
    + TRAIN.format('"bogie diesel"').replace("mm = 30", "mm = 100000"),
}


@pytest.mark.parametrize("case", EXTREMES)
def test_any_bench_that_can_be_read_can_be_drawn(case: str, tmp_path: Path) -> None:
    (tmp_path / "bench.toml").write_text(EXTREMES[case])
    ended = called("shot", "bench.toml", "out.png", cwd=tmp_path)
    assert (ended.status, ended.err) == (0, ""), ended
    assert (tmp_path / "out.png").read_bytes().startswith(PNG)


def test_a_wrong_file_leaves_no_picture(tmp_path: Path) -> None:
    (tmp_path / "wrong.toml").write_text("bench = 2\n")
    ended = called("shot", "wrong.toml", "out.png", cwd=tmp_path)
    assert ended.status == 2
    assert not (tmp_path / "out.png").exists()
