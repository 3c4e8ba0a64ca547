"""How much `check` prints: one cause, one line, so that what is wrong everywhere is told in a handful."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.cli.running import called
from tests.practice.documents import Document, practice, text_of, verdict_of, without_wires
from tests.practice.judging import failing, told
from tests.practice.planks import crossover, ladder, loop, single
from tests.practice.test_benches import EXPECTED

_HANDFUL = 10
_LONG = 30


def _printed(folder: Path, document: Document) -> tuple[int, list[str]]:
    """The exit status of `check` and the lines that it prints."""
    file = folder / "bench.toml"
    file.write_text(text_of(document), encoding="utf-8")
    ended = called("check", str(file))
    assert ended.err == ""
    return ended.status, ended.out.decode("utf-8").splitlines()


_BARE = {
    "a turnout": single().wired(),
    "a turnout with a live frog": single("live").wired(),
    "a crossover": crossover().wired(),
    "a crossover with live frogs": crossover("live").wired(),
    "a ladder": ladder(3).wired(),
    "a loop": loop().document,
}


@pytest.mark.parametrize("what", _BARE)
def test_a_bench_without_a_wire_is_told_in_a_handful_of_lines(what: str, tmp_path: Path) -> None:
    status, lines = _printed(tmp_path, without_wires(_BARE[what]))
    assert status == 1
    assert any("dead" in line.lower() or "feed" in line.lower() for line in lines), lines
    assert len(lines) <= _HANDFUL, lines


@pytest.mark.parametrize("name", EXPECTED)
def test_a_bench_of_practice_without_its_wires_has_a_handful_of_findings(name: str) -> None:
    verdict = verdict_of(without_wires(practice(name)))
    assert {finding.kind for finding in failing(verdict)} == {"dead"}, told(verdict)
    assert len(verdict.findings) <= _HANDFUL, told(verdict)


def test_a_clean_ladder_of_20_is_told_on_a_page(tmp_path: Path) -> None:
    status, lines = _printed(tmp_path, ladder(20).wired())
    assert status == 0, lines
    assert len(lines) <= _LONG, lines


def test_a_ladder_of_20_with_one_fault_is_told_on_a_page(tmp_path: Path) -> None:
    plank = ladder(20)
    plank.wired()
    for wire in plank.document["wire"]:
        exchange = {"M7.n1": "M7.d1", "M7.d1": "M7.n1"}
        wire["ends"] = [exchange.get(end, end) for end in wire["ends"]]
    status, lines = _printed(tmp_path, plank.document)
    assert status == 1
    assert any("T7" in line or "M7" in line for line in lines), lines
    assert len(lines) <= _LONG, lines
