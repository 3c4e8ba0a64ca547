"""What the test finds is shown on the bench, with nothing on the track too, and on every run that a cause spoils."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pygame
import pytest

from sim.game.draw.pages.result import Note, Result
from sim.game.look.wording import story_of
from sim.game.screens.finding import finding_picture
from sim.game.screens.paging import result_areas, result_box
from sim.game.whereabouts.area import middle_of
from sim.wiring.loop import loop_names
from tests.game.playing import Player
from tests.practice.documents import practice, text_of
from tests.practice.planks import ladder

SIZES = [(1024, 720), (1280, 800)]


def _tested(folder: Path, text: str, size: tuple[int, int] = (1280, 800)) -> Player:
    file = folder / "bench.toml"
    file.write_text(text, encoding="utf-8")
    player = Player(file, size, watching=False)
    player.key(pygame.K_t)
    player.wait_for_result()
    return player


def _result(player: Player) -> Result:
    assert player.bench.result is not None
    return player.bench.result


def _notes(player: Player, kind: str) -> list[Note]:
    return [note for note in _result(player).notes if note.kind == kind]


def _forgotten(folder: Path, size: tuple[int, int] = (1280, 800)) -> Player:
    """A crossover of live frogs without gaps in its link rails: shorted as soon as either turnout lies straight."""
    return _tested(folder, text_of(practice("crossover-live-no-link-gaps")), size)


def test_a_short_with_nothing_on_the_track_colours_every_strip_that_it_spoils(tmp_path: Path) -> None:
    player = _forgotten(tmp_path)
    numbers = [note.number for note in _notes(player, "short")]
    assert numbers == [1, 2]
    crossing = [way for way in _result(player).ways if "diverging" in way.ends]
    assert [(way.told, way.worst) for way in crossing] == 2 * [((("clean", "clean"),), "clean")]  # both must lie so
    for way in _result(player).ways:
        if way in crossing:
            continue
        assert way.told == (("short", "short"),)
        assert way.worst == "fails"
        for strip in way.strips:
            assert strip.found
            for kind, begin, end, number in strip.found:
                assert (kind, begin, end) == ("short", 0.0, way.length_mm)
                assert number in numbers
    assert "with nothing on the track" in _result(player).summary


def test_it_shows_the_loop_that_switching_on_would(tmp_path: Path) -> None:
    player = _forgotten(tmp_path)
    first = _notes(player, "short")[0]
    assert first.finding is not None
    live = Player(tmp_path / "bench.toml", watching=False)  # filed with its supply on
    live.wait(0.5)
    fault = live.bench.snapshot.fault
    assert fault is not None
    assert loop_names(first.finding.loop) == loop_names(fault.loop)
    lines, hot = story_of(live.bench.snapshot.bench, fault)
    assert lines[hot] == "the right exit gap of T1, which is not cut"
    # and it glows: the loop lies in the picture where the bench by itself has no light
    plain = finding_picture(player.stage, player.bench.snapshot, _result(player), None)
    glowing = finding_picture(player.stage, player.bench.snapshot, _result(player), first)
    assert not any(sprite.light for sprite in plain)
    assert any(sprite.light for sprite in glowing)


@pytest.mark.parametrize("size", SIZES)
def test_two_causes_of_one_strip_have_each_a_disc_that_is_clicked(size: tuple[int, int], tmp_path: Path) -> None:
    player = _forgotten(tmp_path, size)
    stage = player.stage
    marks = [area for area in result_areas(player.bench, stage) if area.target.kind == "mark"]
    assert {area.target.name for area in marks} == {"1", "2"}
    for area in result_areas(player.bench, stage):
        if area.target.kind == "mark":
            assert pygame.Rect(result_box(stage)).contains(area.rect)
            player.click(middle_of(area))
            assert player.bench.view.chosen == int(area.target.name)
            player.click(middle_of(area))


def test_what_needs_no_run_is_shown_by_its_rails(tmp_path: Path) -> None:
    player = _tested(tmp_path, text_of(practice("dc-stub")))
    notes = _notes(player, "joiner-fed")
    assert notes
    for note in notes:
        assert note.finding is not None
        assert note.finding.path is None
        assert note.heading == "Advice: fed by a joiner alone"
        plain = finding_picture(player.stage, player.bench.snapshot, _result(player), None)
        shown = finding_picture(player.stage, player.bench.snapshot, _result(player), note)
        assert not any(sprite.light for sprite in shown)
        assert len(shown) > len(plain)


def test_a_bench_that_fails_without_a_spoilt_run_is_not_told_as_clean(tmp_path: Path) -> None:
    player = _tested(tmp_path, text_of(practice("weak-contact")))
    result = _result(player)
    assert not result.passed
    assert result.summary == "Each of 16 runs, both directions, is clean, but not the bench."
    for way in result.ways:
        assert not any(strip.found for strip in way.strips)
        assert way.told == (("fails", "breaker would not open"),)
    first = _notes(player, "will-not-trip")[0]
    assert first.finding is not None
    assert "the contact c to d of M1 limits it" in first.text
    assert first.finding.loop


def test_every_run_that_shows_a_short_is_marked_where_it_shows_it(tmp_path: Path) -> None:
    player = _tested(tmp_path, text_of(practice("crossover-wrong-outer")))
    (note,) = _notes(player, "short")
    finding = note.finding
    assert finding is not None
    runs = {(part.path, part.vehicle, part.direction) for part in finding.stretches}
    assert len(runs) == finding.runs > 2
    assert note.text.endswith(f"({finding.runs} runs, each hatched where its front axle is then)")
    assert "The current's way" not in note.text
    for way in _result(player).ways:
        for strip in way.strips:
            mine = [part for part in finding.stretches if (part.path, part.vehicle) == (way.path, strip.vehicle)]
            marked = [mark for mark in strip.found if mark[3] == note.number]
            assert bool(mine) == bool(marked)
            for part in mine:
                assert any(begin <= part.from_mm and part.to_mm <= end for _, begin, end, _ in marked)


def test_advice_that_is_alike_at_each_turnout_is_one_sentence(tmp_path: Path) -> None:
    player = _tested(tmp_path, text_of(ladder(4).wired()))
    notes = _notes(player, "points-against")
    assert notes
    assert all(note.text.endswith(" So too with T2, T3 and T4.") for note in notes)
    assert len({note.text for note in notes}) == len(notes) <= 2


def test_a_whole_train_is_shown_and_not_one_axle(tmp_path: Path) -> None:
    train = '[[train]]\nid = "goods"\nvehicles = ["four-wheel shunter", "metal-wheel wagon"]\n'
    train += 'at = { end = "T1.toe", mm = 100 }\n'
    player = _tested(tmp_path, text_of(practice("crossover-wrong-outer")) + train)
    (note,) = _notes(player, "short")
    assert note.finding is not None
    assert "goods" in {part.vehicle for part in note.finding.stretches}
    count = {
        name: len(
            finding_picture(
                player.stage,
                player.bench.snapshot,
                _result(player),
                replace(note, finding=replace(note.finding, vehicle=name)),
            )
        )
        for name in ("four-wheel shunter", "goods")
    }
    assert count["goods"] == count["four-wheel shunter"] + 1
