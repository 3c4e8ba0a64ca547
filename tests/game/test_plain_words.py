"""Words that were missing or read oddly: levers, printing, the wye's ends, places before an end, what to do first."""

from __future__ import annotations

import re
from pathlib import Path

import pygame
import pytest

from sim.bench.reading import load
from sim.bench.writing import dump
from sim.game.items.panels.job_sheet import page_of
from sim.proof import prove, to_text
from sim.proof.report import span_words
from sim.resources import level_path
from sim.session.acts import Plug, Power
from sim.sheet import sheet
from sim.track.formations import KINDS
from tests.game.lettering import watching
from tests.game.playing import Player
from tests.session.benches import bench
from tests.session.levers import YARD

SECOND = '[[track]]\nid = "T2"\nkind = "turnout"\nscale = "HO"\nhand = "left"\nnumber = 6\njoins = { toe = "T1.toe" }\n'


def texts(player: Player) -> list[str]:
    """All that is written in the throttle's well."""
    with watching() as lettering:
        shown = player.window.theme
        look = player.bench.sprites(player.window.rooms, shown)
        page = lettering.page(look, player.window.rooms.size, shown.words.of)
    return [text.words for text in page.texts if player.window.rooms.throttle.contains(text.box) and not text.cut]


def test_each_of_two_levers_says_how_it_stands(tmp_path: Path) -> None:
    file = tmp_path / "two.toml"
    file.write_text(dump(bench(vehicles=(), more=SECOND)))
    player = Player(file, watching=False)
    assert texts(player).count("normal") == 2
    player.key(pygame.K_2)
    player.wait(2.0)
    found = texts(player)
    assert (found.count("normal"), found.count("diverging")) == (1, 1)


@pytest.mark.parametrize("size", [(1024, 720), (1280, 800)])
def test_each_of_more_levers_says_how_it_stands_by_a_letter(tmp_path: Path, size: tuple[int, int]) -> None:
    file = tmp_path / "yard.toml"
    file.write_text(YARD)
    player = Player(file, size, "hall", watching=False)
    player.key(pygame.K_2)
    player.wait(2.0)
    assert [word for word in texts(player) if word in {"N", "D"}] == ["N", "D", "N"]
    player.click(player.place("lever", "S1"))
    player.wait(2.0)
    assert [word for word in texts(player) if word in {"N", "D"}] == ["N", "D", "D"]


@pytest.mark.parametrize("level", [True, False])
def test_the_sheet_is_printed_by_a_button(level: bool, tmp_path: Path) -> None:
    file = tmp_path / "own.toml"
    file.write_text(dump(bench(vehicles=())))
    player = Player(level_path("left-hand") if level else file, watching=False)
    player.window.papers = tmp_path
    player.click(player.place("top", "sheet"))
    assert len(list(tmp_path.glob("*.html"))) == 1
    player.focus("top", "sheet")
    player.key(pygame.K_RETURN)
    assert len(list(tmp_path.glob("*.html"))) == 2


def test_no_report_of_a_wye_speaks_of_a_main_leg() -> None:
    wye = load(level_path("wye"), KINDS)
    verdict = prove(wye)
    lines = to_text(verdict, wye)
    assert any("the toe to the left end" in line for line in lines)
    told = [*lines[1:], sheet(wye).split("Two legs, neither of them main")[-1]]
    assert not [line for line in told if re.search(r"\bmain\b", line.replace("mains side", ""))]
    player = Player(level_path("wye"), watching=False)
    player.bench.start_test()
    player.wait_for_result()
    result = player.bench.result
    assert result is not None
    assert [way.title for way in result.ways] == ["Toe to left", "Toe to right"]
    assert not [note for note in result.notes if re.search(r"\bmain\b", note.heading + note.text)]


def test_a_turnout_still_has_its_main_end() -> None:
    one = bench(frog=None)
    assert any("the toe to the main end" in line for line in to_text(prove(one), one))


def test_a_place_that_begins_before_the_end_is_told_without_a_minus() -> None:
    assert span_words(-1.2, 86.0) == "up to 86\u00a0mm"
    assert span_words(-20.0, -3.0) == "before 0\u00a0mm"
    assert span_words(-0.4, 20.0) == "0 to 20\u00a0mm"


def test_what_to_do_first_after_a_short_speaks_of_an_engine_only_where_its_wheels_make_it(tmp_path: Path) -> None:
    player = Player(watching=False)
    player.drive_into_a_short()
    assert "Mend the wiring; moving the engine cures nothing." in page_text(player)
    file = tmp_path / "bare.toml"
    file.write_text(dump(bench(vehicles=(), turnout='gaps = { "closure.left" = "closed" }')))
    player = Player(file, watching=False)
    player.bench.act(Plug(True), Power(True))
    player.wait(0.5)
    assert player.bench.snapshot.fault is not None
    assert "engine" not in page_text(player)
    assert "Put right what joins them" in page_text(player)


def page_text(player: Player) -> str:
    return page_of(player.stage, player.bench.snapshot, player.bench.view).brief
