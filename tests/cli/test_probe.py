"""``frogbench probe``: what the meter would read, in words and as JSON."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from sim.electric.meter import LEAD_OHMS
from tests.cli.running import ROOT, called

CLEAN = (ROOT / "tests" / "benches" / "clean.toml").read_text()


@pytest.fixture
def unplugged(tmp_path: Path) -> Path:
    (tmp_path / "unplugged.toml").write_text(CLEAN.replace("on = true", "plugged = false"))
    return tmp_path


def document(folder: Path, *call: str) -> Any:
    ended = called("probe", *call, "--json", cwd=folder)
    assert ended.status == 0, ended
    assert ended.err == ""
    assert ended.out.count(b"\n") == 1
    return json.loads(ended.out)


def test_the_document_is_that_of_the_contract(unplugged: Path) -> None:
    found = document(unplugged, "unplugged.toml", "T1.frog", "bus.B")
    assert list(found) == ["bench", "ends", "mode", "reading", "beeps", "plugged"]
    assert (found["bench"], found["ends"], found["mode"]) == (1, ["T1.frog", "bus.B"], "ohms")
    assert found["beeps"] is True
    assert found["plugged"] is False
    # leads, a contact and two short wires: more than the leads alone, far less than an ohm
    assert LEAD_OHMS < found["reading"] < 1.0
    assert found["reading"] == float(f"{found['reading']:.3g}")


def test_nothing_joined_reads_null_and_is_silent(unplugged: Path) -> None:
    found = document(unplugged, "unplugged.toml", "T1.frog", "bus.A")
    assert (found["reading"], found["beeps"]) == (None, False)


def test_the_points_are_read_as_filed(unplugged: Path) -> None:
    text = (unplugged / "unplugged.toml").read_text().replace('hand = "right"', 'hand = "right"\nset = "diverging"')
    (unplugged / "diverging.toml").write_text(text)
    assert document(unplugged, "diverging.toml", "T1.frog", "bus.A")["beeps"] is True
    assert document(unplugged, "diverging.toml", "T1.frog", "bus.B")["reading"] is None


def test_a_supply_left_plugged_in_joins_both_sides(unplugged: Path) -> None:
    (unplugged / "plugged.toml").write_text(CLEAN.replace("on = true", "on = false"))
    ended = called("probe", "plugged.toml", "T1.frog", "bus.A", "--json", cwd=unplugged)
    assert json.loads(ended.out)["beeps"] is True


def test_a_wagon_on_the_rails_is_read_as_filed(unplugged: Path) -> None:
    """A wagon's wheels are insulated from each other; an engine's motor joins what should read open."""
    train = '\n[[train]]\nid = "one"\nvehicles = ["{}"]\nat = {{ end = "T1.toe", mm = 50 }}\n'
    text = (unplugged / "unplugged.toml").read_text()
    (unplugged / "wagon.toml").write_text(text + train.format("metal-wheel wagon"))
    (unplugged / "engine.toml").write_text(text + train.format("four-wheel shunter"))
    assert document(unplugged, "wagon.toml", "T1.stock.left", "T1.stock.right")["reading"] is None
    assert document(unplugged, "engine.toml", "T1.stock.left", "T1.stock.right")["reading"] is not None


def test_volts_are_those_of_the_supply(tmp_path: Path) -> None:
    (tmp_path / "on.toml").write_text(CLEAN)
    found = document(tmp_path, "on.toml", "T1.stock.left", "T1.stock.right", "--mode", "volts")
    assert found["mode"] == "volts"
    assert found["reading"] == pytest.approx(15.0, rel=0.01)  # the supply's default, and no load but the meter
    assert found["beeps"] is False
    assert found["plugged"] is True


@pytest.mark.parametrize("on", ["on = true", "on = false", ""])
def test_ohms_on_a_bench_that_is_plugged_in_are_told_as_such(tmp_path: Path, on: str) -> None:
    """Rail to rail is open with the plug out; with it in, the supply itself is read."""
    (tmp_path / "plugged.toml").write_text(CLEAN.replace("on = true", on))
    call = ["probe", "plugged.toml", "T1.stock.left", "T1.stock.right"]
    for more in ([], ["--json"]):
        ended = called(*call, *more, cwd=tmp_path)
        assert ended.status == 0, ended
        assert len(ended.lines) == 1
        assert ended.err.startswith("plugged.toml: ")
        assert "joins the two sides" in ended.err
    assert json.loads(ended.out)["plugged"] is True
    (tmp_path / "out.toml").write_text(CLEAN.replace("on = true", "plugged = false"))
    assert document(tmp_path, "out.toml", "T1.stock.left", "T1.stock.right")["reading"] is None


def test_it_says_the_reading_in_words(unplugged: Path) -> None:
    joined = called("probe", "unplugged.toml", "T1.frog", "bus.B", cwd=unplugged)
    assert joined.status == 0
    assert "T1.frog" in joined.out.decode()
    assert "ohm" in joined.out.decode()
    assert "beeps" in joined.out.decode()
    parted = called("probe", "unplugged.toml", "T1.frog", "bus.A", cwd=unplugged)
    assert parted.status == 0
    assert "open" in parted.out.decode()


@pytest.mark.parametrize(("given", "meant"), [("T1.frg", "T1.frog"), ("bus.a", "bus.A"), ("M1.kk", "M1.k")])
def test_an_unknown_terminal_is_told_with_the_nearest(unplugged: Path, given: str, meant: str) -> None:
    for ends in ((given, "bus.B"), ("bus.B", given)):
        ended = called("probe", "unplugged.toml", *ends, cwd=unplugged)
        assert ended.status == 2, ended
        assert len(ended.lines) == 1
        assert ended.err.startswith("unplugged.toml: ")
        assert given in ended.err
        assert meant in ended.err.replace(given, "")


def test_both_unknown_terminals_are_told(unplugged: Path) -> None:
    ended = called("probe", "unplugged.toml", "T1.frg", "zz", cwd=unplugged)
    assert len(ended.lines) == 2


def test_a_terminal_touched_by_both_probes_reads_the_leads(unplugged: Path) -> None:
    assert document(unplugged, "unplugged.toml", "bus.A", "bus.A")["reading"] == pytest.approx(LEAD_OHMS, abs=0.01)
