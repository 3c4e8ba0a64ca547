"""``frogbench sheet``: the page is written whole, or refused in a line."""

from __future__ import annotations

from pathlib import Path

from sim.bench.reading import load
from sim.sheet import sheet
from sim.track.formations import KINDS
from tests.cli.running import called

BENCH = Path(__file__).resolve().parents[1] / "benches" / "clean.toml"


def test_the_sheet_is_written(tmp_path: Path) -> None:
    out = tmp_path / "sheet.html"
    done = called("sheet", str(BENCH), "-o", str(out))
    assert (done.status, done.out, done.err) == (0, b"", "")
    assert out.read_text(encoding="utf-8") == sheet(load(BENCH, KINDS))


def test_another_ending_a_missing_name_and_a_folder_that_is_not_there_are_refused(tmp_path: Path) -> None:
    for out in (tmp_path / "sheet.pdf", tmp_path / "not" / "there.html"):
        done = called("sheet", str(BENCH), "-o", str(out))
        assert (done.status, done.out) == (2, b"")
        assert done.err.startswith(f"{out}: ")
        assert done.err.count("\n") == 1
        assert not out.exists()
    done = called("sheet", str(BENCH))
    assert done.status == 2
    assert "-o" in done.err
