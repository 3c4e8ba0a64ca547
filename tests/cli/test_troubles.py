"""Whatever goes wrong inside is one line with the name of the file that it went wrong with, and status 2."""

from __future__ import annotations

import importlib
import json
import weakref
from pathlib import Path

import pytest

from sim.bench.model import Bench
from sim.cli.output import CallRefused
from sim.cli.troubles import telling
from tests.cli.running import ROOT, called

CLEAN = str(ROOT / "tests" / "benches" / "clean.toml")
EXCHANGED = str(ROOT / "tests" / "benches" / "exchanged.toml")

def breaking(monkeypatch: pytest.MonkeyPatch, module: str, name: str, title: str, fault: str) -> None:
    """Let one step of the program fail for one bench in a way that nobody foresaw."""
    real = getattr(importlib.import_module(module), name)

    def broken(bench: Bench, *rest: object, **more: object) -> object:
        if title in bench.title:
            if fault == "recursion":
                return broken(bench, *rest, **more)
            if fault == "memory":
                return bytearray(1 << 62)
            return 1 // 0
        return real(bench, *rest, **more)

    monkeypatch.setattr(importlib.import_module(module), name, broken)


@pytest.mark.parametrize("fault", ["recursion", "memory", "division"])
@pytest.mark.parametrize(
    ("module", "name", "call"),
    [
        ("sim.cli.check", "prove", ["check", CLEAN]),
        ("sim.cli.check", "prove", ["check", CLEAN, "--json"]),
        ("sim.cli.probe", "read_between", ["probe", CLEAN, "bus.A", "bus.B"]),
        ("sim.cli.sheet", "made", ["sheet", CLEAN, "-o", "out.html"]),
        ("sim.game.app.shot", "png", ["shot", CLEAN, "out.png"]),
    ],
)
def test_a_fault_is_told_with_the_name_of_the_file(
    module: str, name: str, call: list[str], fault: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    breaking(monkeypatch, module, name, "A right-hand", fault)
    ended = called(*call, cwd=tmp_path)
    assert ended.status == 2, ended
    assert len(ended.lines) == 1, ended
    assert ended.err.startswith(f"{CLEAN}: "), ended
    assert ("fault of the program" in ended.err) == (fault == "division")
    assert ended.out == (b"null\n" if "--json" in call else b"")
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("fault", ["recursion", "memory", "division"])
def test_of_several_files_the_others_are_tested_all_the_same(fault: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """The clean bench cannot be judged; the one with its outers exchanged is, before it and after it."""
    breaking(monkeypatch, "sim.cli.check", "prove", "wired right", fault)
    ended = called("check", "--json", EXCHANGED, CLEAN, EXCHANGED)
    assert ended.status == 2, ended
    assert [line.split(": ")[0] for line in ended.lines] == [CLEAN]
    first, second, third = json.loads(ended.out)
    assert second is None
    assert first == third
    assert first["findings"]


def test_the_work_is_let_go_before_the_fault_is_told() -> None:
    """A fault holds the frames that it came through, and they what was worked on: there may be no room for words."""

    class Large:
        """Stands for much memory."""

    def work() -> None:
        held.append(weakref.ref(large := Large()))
        raise MemoryError(str(large))

    held: list[weakref.ref[Large]] = []
    with pytest.raises(CallRefused) as refused:
        telling("bench.toml", work)
    assert held[0]() is None
    assert refused.value.lines[0].startswith("bench.toml: found more than there is memory for")


def test_what_was_refused_already_is_told_as_it_is() -> None:

    def work() -> None:
        raise CallRefused("bench.toml: wrong", "bench.toml: wrong too")

    with pytest.raises(CallRefused) as refused:
        telling("bench.toml", work)
    assert refused.value.lines == ("bench.toml: wrong", "bench.toml: wrong too")
