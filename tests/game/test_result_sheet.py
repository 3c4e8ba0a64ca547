"""On the result sheet the marks of the strips are clicked like their sentences, and what cannot be used is grey."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pygame
import pytest

from sim import resources
from sim.bench.edits import AddMotor, AddPiece, MakeWire
from sim.bench.model import Changeover, Motor
from sim.game.desk.hit import areas
from sim.game.draw.pages.result_plan import TITLE, Leaves, result_plan
from sim.game.draw.pages.result_sheet import result_sheet
from sim.game.items.panels.top_buttons import top_row
from sim.game.look.fonts import Type
from sim.game.screens.bench_page import BenchScreen
from sim.game.screens.keys_page import KeysScreen
from sim.game.screens.paging import along, result_areas, result_box
from sim.game.whereabouts.area import Area, middle_of
from sim.game.whereabouts.viewstate import Target
from sim.proof.report import span_words
from sim.session.acts import Do
from sim.track.laying import laid
from tests.game.lettering import watching
from tests.game.playing import EXCHANGED_WIRES, GOOD_WIRES, Player
from tests.game.test_hit import SIZES


def _judged(size: tuple[int, int] = (1280, 800), scale: float = 1.0) -> Player:
    player = Player(size=size, scale=scale)
    player.surface = pygame.Surface(player.window.rooms.size)
    player.bench.act(*(Do(MakeWire(a, b)) for a, b in EXCHANGED_WIRES))
    player.key(pygame.K_t)
    player.wait_for_result()
    player.look()
    return player


def _track(player: Player) -> np.ndarray[tuple[int, ...], np.dtype[np.uint8]]:
    """The picture of the track, copied."""
    rect = player.stage.rooms.track.clip(player.surface.get_rect())
    return np.array(pygame.surfarray.array3d(player.surface.subsurface(rect)))


@pytest.mark.parametrize(
    ("size", "scale"), [*SIZES[:2], *(pytest.param(*case, marks=pytest.mark.slow) for case in SIZES[2:4])]
)
def test_every_mark_on_a_strip_is_clicked_like_its_sentence(size: tuple[int, int], scale: float) -> None:
    player = _judged(size, scale)
    result = player.bench.result
    assert result is not None
    marks = [area for area in result_areas(player.bench, player.stage) if area.target.kind == "mark"]
    on_strips = {number for way in result.ways for strip in way.strips for _, _, _, number in strip.found if number}
    assert {int(area.target.name) for area in marks} == on_strips
    assert on_strips
    plain = _track(player)
    for area in marks:
        assert min(area.rect.size) >= 24 * player.stage.unit - 1
        player.click(middle_of(area))
        assert player.bench.view.chosen == int(area.target.name), area
        assert np.any(_track(player) != plain)
        player.click(middle_of(area))
        assert player.bench.view.chosen is None


def test_a_mark_and_its_sentence_show_the_same() -> None:
    player = _judged()
    every = result_areas(player.bench, player.stage)
    mark = next(area for area in every if area.target.kind == "mark")
    player.click(middle_of(mark))
    by_mark = _track(player)
    player.click(middle_of(mark))
    sentence = next(a for a in every if a.target.kind == "finding" and a.target.name == mark.target.name)
    player.click(middle_of(sentence))
    assert np.array_equal(by_mark, _track(player))


def test_what_changes_the_bench_waits_while_the_result_lies_on_it() -> None:
    player = _judged()
    bench = player.bench
    assert bench.snapshot.can_undo
    able = {item.name for item in top_row(bench.snapshot, bench.view, judged=True) if item.able}
    assert able == {"jobs", "sheet", "keys", "settings"}
    above = {area.target.name: area for area in result_areas(bench, player.stage) if area.target.kind == "top"}
    assert set(above) == able
    wires = bench.snapshot.bench.wires
    row = {area.target.name: middle_of(area) for area in _rail(player)}
    for name in ("undo", "redo", "turn"):
        player.click(row[name])
        assert bench.result is not None
        assert bench.snapshot.bench.wires == wires
        assert not bench.view.below
    player.click(middle_of(above["keys"]))
    assert player.on(KeysScreen)
    player.key(pygame.K_ESCAPE)
    assert player.on(BenchScreen)
    assert player.bench.result is not None


def _rail(player: Player) -> list[Area]:
    """The buttons of the rail, as they lie on the bench itself."""
    bench = player.bench
    return [area for area in areas(player.stage, bench.snapshot, bench.view) if area.target.kind == "top"]


# Turning the list


@pytest.mark.parametrize("size", [(1024, 720), (1280, 800)])
@pytest.mark.parametrize("theme", ["night", "hall"])
def test_the_list_is_turned_on_and_back_and_always_says_what_of_it_is_seen(size: tuple[int, int], theme: str) -> None:
    player = Player(resources.level_path("first-frog"), size, theme, watching=False)
    player.key(pygame.K_t)
    player.wait_for_result()
    assert player.bench.result is not None
    count = len(player.bench.result.notes)
    assert count > 2
    begun = _told(player)
    assert begun == _range(_seen(player), count)
    seen = set(_seen(player))
    for _ in range(count):
        if _button(player, "turn-on") is None:
            break
        player.click(player.result_place("turn-on"))
        assert _told(player) == _range(_seen(player), count)
        seen |= set(_seen(player))
    assert seen == set(range(1, count + 1))
    last = _told(player)
    for _ in range(count):
        if _button(player, "turn-back") is None:
            break
        player.click(player.result_place("turn-back"))
        assert _told(player) == _range(_seen(player), count)
    assert _told(player) == begun, "the strips are seen again"
    for key, told in ((pygame.K_END, last), (pygame.K_HOME, begun), (pygame.K_PAGEDOWN, ""), (pygame.K_PAGEUP, begun)):
        player.key(key)
        assert _told(player) == (told or _range(_seen(player), count))


def _told(player: Player) -> str:
    """What is said of how much of the list is seen."""
    bench, stage = player.bench, player.stage
    assert bench.result is not None
    turns = result_plan(result_box(stage), stage.unit, stage.theme, bench.result, bench.view.leaf).turns
    assert turns is not None
    return turns.words


def _range(numbers: list[int], count: int) -> str:
    return f"{numbers[0]} of {count}" if len(numbers) == 1 else f"{numbers[0]} to {numbers[-1]} of {count}"


@pytest.mark.parametrize("theme", ["night", "hall"])
@pytest.mark.parametrize("size", [(1024, 720), (1280, 800), (1920, 1080)])
def test_every_gap_over_the_strips_has_its_millimetres(size: tuple[int, int], theme: str) -> None:
    player = _wired(size, theme, EXCHANGED_WIRES)
    result, stage = player.bench.result, player.stage
    assert result is not None
    sheet = result_sheet(result_box(stage), stage.unit, stage.theme, result, along(stage, result), 0)
    asked = [words for _, words in sheet.lines]
    labels = [words for words in asked if words.startswith(("closure", "exit"))]
    assert len(labels) == 4
    assert all(words.endswith("\u00a0mm") for words in labels)


def test_the_heading_says_every_place_that_its_vehicles_strip_is_hatched_at() -> None:
    player = Player(resources.level_path("first-frog"), watching=False)
    player.key(pygame.K_t)
    player.wait_for_result()
    result = player.bench.result
    assert result is not None
    note = result.notes[0]
    assert note.heading == "Dead place, 331 to 343 and 357 to 369\u00a0mm from the toe of T1"
    finding = note.finding
    assert finding is not None
    way = next(way for way in result.ways if way.path == finding.path)
    strip = next(strip for strip in way.strips if strip.vehicle == finding.vehicle)
    assert [(round(a), round(b)) for _, a, b, number in strip.found if number == 1] == [(331, 343), (357, 369)]


@pytest.mark.parametrize("theme", ["night", "hall"])
@pytest.mark.parametrize("size", [(1024, 720), (1280, 800), (1920, 1080)])
def test_no_gap_runs_through_the_names_on_a_clean_strip(size: tuple[int, int], theme: str) -> None:
    player = _clean(size, theme)
    result, stage = player.bench.result, player.stage
    assert result is not None
    with watching() as lettering:
        ends = along(stage, result)
        sheet = result_sheet(result_box(stage), stage.unit, stage.theme, result, ends, 0)
        page = lettering.page([sheet.sprite], player.window.rooms.size, stage.theme.words.of)
    names = [text.box for text in page.texts if "4 vehicles" in text.words or "shunter, " in text.words]
    assert len(names) == len(result.ways)
    for box, way, (a, b) in zip(sorted(names, key=lambda box: box.y), result.ways, ends, strict=True):
        for mm, _ in way.marks:
            assert not box.left <= a + (b - a) * mm / way.length_mm <= box.right


@pytest.mark.parametrize("theme", ["night", "hall"])
@pytest.mark.parametrize("size", [(1024, 720), (1366, 768)])
def test_the_summary_keeps_clear_of_the_heading(size: tuple[int, int], theme: str) -> None:
    player = _clean(size, theme)
    result, stage = player.bench.result, player.stage
    assert result is not None
    with watching() as lettering:
        sheet = result_sheet(result_box(stage), stage.unit, stage.theme, result, along(stage, result), 0)
        page = lettering.page([sheet.sprite], player.window.rooms.size, stage.theme.words.of)
    heading = next(text.box for text in page.texts if text.words == result.heading)
    eyebrow = next(text.box for text in page.texts if text.words.upper() == result.eyebrow.upper())
    summary = next(text.box for text in page.texts if result.summary.startswith(text.words))
    assert eyebrow.bottom <= heading.top
    assert heading.bottom + 2 <= summary.top


def _clean(size: tuple[int, int], theme: str) -> Player:
    return _wired(size, theme, GOOD_WIRES)


def _wired(size: tuple[int, int], theme: str, wires: tuple[tuple[str, str], ...]) -> Player:
    """The first bench with these wires, tested."""
    player = Player(size=size, theme=theme, watching=False)
    player.bench.act(*(Do(MakeWire(a, b)) for a, b in wires))
    player.key(pygame.K_t)
    player.wait_for_result()
    return player


@pytest.mark.parametrize(("size", "theme"), [((1024, 720), "night"), ((1366, 768), "hall"), ((1920, 1080), "hall")])
def test_a_second_cause_is_headed_where_its_sentence_has_no_room(size: tuple[int, int], theme: str) -> None:
    player = _wired(size, theme, EXCHANGED_WIRES)
    result, stage = player.bench.result, player.stage
    assert result is not None
    assert _seen(player) == [1]
    assert _told(player) == f"1 of {len(result.notes)}", "a heading alone is not counted as seen"
    heads = [area for area in result_areas(player.bench, stage) if area.target.kind == "headline"]
    assert heads[0].target.name == "2"
    sheet = result_sheet(result_box(stage), stage.unit, stage.theme, result, along(stage, result), 0)
    assert f"{result.notes[1].heading}, points diverging" in [words for _, words in sheet.lines]
    player.click(middle_of(heads[0]))
    assert player.bench.view.chosen == 2
    assert 2 in _seen(player)


def test_a_lesson_without_room_is_headed_under_the_findings() -> None:
    player = _clean((1024, 720), "hall")
    result, stage = player.bench.result, player.stage
    assert result is not None
    alone = replace(result, notes=tuple(note for note in result.notes if note.kind == "points-against"))
    for leaf, words in ((0, "What this job teaches: turn the page."), (2, "What this job teaches")):
        at = (result_box(stage), stage.unit, stage.theme, alone, along(stage, alone), 0, leaf)
        assert words in [line for _, line in result_sheet(*at).lines]


def _button(player: Player, name: str) -> Area | None:
    every = result_areas(player.bench, player.stage)
    return next((area for area in every if area.target == Target("button", name)), None)


def _seen(player: Player) -> list[int]:
    """Numbers of the findings whose sentences are on the sheet."""
    return [int(a.target.name) for a in result_areas(player.bench, player.stage) if a.target.kind == "finding"]


def _two_failing(size: tuple[int, int], theme: str = "night", pieces: int = 2) -> Player:
    """Turnouts one behind the other, of whose motors the outers are exchanged."""
    player = Player(resources.test_track_path(), size, theme)
    player.surface = pygame.Surface(player.window.rooms.size)
    player.window.compositor.forget()
    bench = player.bench
    for _ in range(pieces - len(bench.snapshot.bench.tracks)):
        last = bench.snapshot.bench.tracks[-1].id
        bench.act(Do(AddPiece(laid(bench.snapshot.bench, "turnout-right", f"{last}.main", "toe"))))
    for k, piece in enumerate(bench.snapshot.bench.tracks):
        if all(piece.id not in motor.drives for motor in bench.snapshot.bench.motors):
            bench.act(Do(AddMotor(Motor(f"M{k + 1}", (piece.id,), changeovers=(Changeover("k", "m", "p"),)))))
    motors = {motor.drives[0]: motor for motor in bench.snapshot.bench.motors}
    bench.act(Do(MakeWire("bus.A", "T1.stock.left")), Do(MakeWire("bus.B", "T1.stock.right")))
    for name, motor in motors.items():
        contact = motor.changeovers[0]
        wires = ((contact.common, f"{name}.frog"), (contact.normal, "bus.A"), (contact.diverging, "bus.B"))
        bench.act(*(Do(MakeWire(f"{motor.id}.{letter}", end)) for letter, end in wires))
    player.key(pygame.K_t)
    player.wait_for_result()
    player.look()
    return player


@pytest.mark.parametrize("by_key", [False, True])
def test_the_list_is_turned_by_its_buttons_both_ways(by_key: bool) -> None:
    player = _judged((1024, 720))
    result = player.bench.result
    assert result is not None
    assert _button(player, "turn-back") is None

    def turn(name: str) -> None:
        button = _button(player, name)
        assert button is not None
        assert min(button.rect.size) >= 24
        if not by_key:
            player.click(middle_of(button))
            return
        for _ in range(3):
            if player.bench.view.focus == button.target:
                break
            player.key(pygame.K_TAB, pygame.KMOD_SHIFT)  # the buttons are the last of the round
        assert player.bench.view.focus == button.target
        player.key(pygame.K_RETURN)

    first = _seen(player)
    met = set(first)
    for _ in range(20):
        if _button(player, "turn-on") is None:
            break
        before = _seen(player)
        turn("turn-on")
        assert not set(before) >= set(_seen(player))  # every click shows something new
        met |= set(_seen(player))
    assert met == {note.number for note in result.notes}
    for _ in range(20):
        if _button(player, "turn-back") is None:
            break
        turn("turn-back")
    assert _seen(player) == first
    assert player.bench.view.leaf == 0


@pytest.mark.parametrize("size", [(1024, 720), (1280, 800)])
def test_a_number_on_a_strip_shows_its_sentence_marked(size: tuple[int, int]) -> None:
    player = _judged(size)
    for _ in range(2):  # both with the list as it lies, and with what was clicked before under the strips
        for number in sorted({int(a.target.name) for a in _marks(player)}):
            mark = next(a for a in _marks(player) if a.target.name == str(number))
            player.click(middle_of(mark))
            assert player.bench.view.chosen == number
            assert number in _seen(player)
            if not _marks(player):  # its sentence had no room under them
                player.key(pygame.K_PAGEUP)


def _marks(player: Player) -> list[Area]:
    return [area for area in result_areas(player.bench, player.stage) if area.target.kind == "mark"]


@pytest.mark.parametrize("theme", ["night", pytest.param("hall", marks=pytest.mark.slow)])
@pytest.mark.parametrize("size", [(1024, 720), (1280, 800), (1920, 1080)])
@pytest.mark.parametrize("pieces", [2, 3])
def test_the_first_finding_is_in_sight_however_many_ways_fail(size: tuple[int, int], theme: str, pieces: int) -> None:
    player = _two_failing(size, theme, pieces)
    result, stage = player.bench.result, player.stage
    assert result is not None
    assert not result.passed
    assert len(result.ways) == 2 * pieces
    assert 1 in _seen(player)
    assert _marks(player)  # and some of the strips
    every = [area for area in result_areas(player.bench, stage) if area.target.kind in {"finding", "button"}]
    for k, one in enumerate(every):
        assert pygame.Rect(result_box(stage)).contains(one.rect)
        assert one.rect.collidelist([other.rect for other in every[k + 1 :]]) < 0
    sentences = [area.rect for area in every if area.target.kind == "finding"]
    plan = result_plan(result_box(stage), stage.unit, stage.theme, result)
    foot = plan.y + sum((TITLE + 5) * stage.unit + len(row.strips) * plan.pitch for row in plan.rows)
    assert all(rect.y >= foot - 1 for rect in sentences)


def test_a_list_of_hundreds_is_turned_with_each_sentence_broken_into_lines_once(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    player = _judged()
    result, stage = player.bench.result, player.stage
    assert result is not None
    notes = tuple(replace(note, number=k + 1) for k, note in enumerate(result.notes * 50))
    many = replace(result, ways=result.ways * 50, notes=notes)
    broken: list[str] = []
    wrap = Type.wrap

    def counted(self: Type, text: str, *rest: Any, **more: Any) -> tuple[str, ...]:
        broken.append(text)
        return wrap(self, text, *rest, **more)

    monkeypatch.setattr(Type, "wrap", counted)
    leaves = Leaves(result_box(stage), stage.unit, stage.theme, many)
    assert leaves.last > 200
    shown = result_plan(result_box(stage), stage.unit, stage.theme, many, leaves.showing(len(notes), 0))
    assert shown.shows(len(notes))
    assert len(broken) <= 2 * len(notes)


def test_ways_of_several_turnouts_are_told_apart() -> None:
    result = _two_failing((1280, 800)).bench.result
    assert result is not None
    titles = [way.title for way in result.ways]
    assert len(set(titles)) == len(titles)
    assert titles[0] == "T1: toe to main"
    assert _judged().bench.result is not None
    alone = _judged().bench.result
    assert alone is not None
    assert alone.ways[0].title == "Toe to main"


# What it says


def test_what_a_way_has_is_told_in_words_each_with_its_hatching() -> None:
    result = _judged().bench.result
    assert result is not None
    for way in result.ways:
        hatched = {kind for strip in way.strips for kind, _, _, _ in strip.found}
        assert hatched
        assert {kind for kind, _ in way.told} == hatched
        assert all(words for _, words in way.told)


def test_advice_is_not_told_as_a_fault() -> None:
    player = Player()
    player.bench.act(*(Do(MakeWire(a, b)) for a, b in GOOD_WIRES))
    player.key(pygame.K_t)
    player.wait_for_result()
    result = player.bench.result
    assert result is not None
    assert result.passed
    against = [note for note in result.notes if note.kind == "points-against"]
    assert against
    for note in against:
        assert note.heading == "Advice, costs nothing"
        assert note.text.startswith("if the points still lie ")
        assert "when a train trails in" in note.text
    for note in result.notes:
        if note.finding is not None:
            assert note.heading.startswith("Advice") is not note.fails


def test_a_place_just_before_the_toe_has_no_minus_zero() -> None:
    assert span_words(-0.4, 20.2) == "0 to 20\u00a0mm"
    assert span_words(-0.2, 0.3) == "at 0\u00a0mm"
