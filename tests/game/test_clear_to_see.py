"""What lies on the board is to be seen: under no sheet, over nothing else, and told apart from its like."""

from __future__ import annotations

import re
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import pygame
import pytest

from sim.bench.writing import dump
from sim.game.desk.hit import areas
from sim.game.desk.prompting import label_of
from sim.game.draw.instruments.throttle import Lever
from sim.game.items.trackside.vehicles import strayed
from sim.game.look.fonts import Type
from sim.game.look.theme import load_theme, theme_names
from sim.game.paper.plan import sleepers
from sim.game.picture import below
from sim.game.picture.board import board
from sim.game.picture.mounted import mounted
from sim.game.picture.nameplates import labels, wire_boxes
from sim.game.picture.sightings import told_apart
from sim.game.whereabouts.parking import park
from sim.resources import level_names, level_path
from tests.game.large import station
from tests.game.lettering import watching
from tests.game.playing import Player

SIZES = [(1024, 720), (1280, 800), (1366, 768), (1920, 1080)]
each_light = pytest.mark.parametrize("light", theme_names())
each_size = pytest.mark.parametrize("size", SIZES)


@pytest.fixture(scope="module")
def long_named(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Twenty turnouts and their motors with names that are told apart by their ends alone."""
    text = re.sub(r"\bT(\d+)\b", lambda found: f"approach-to-platform-road-{int(found[1]):02d}", dump(station(20)))
    text = re.sub(r"\bM(\d+)\b", lambda found: f"motor-under-road-{int(found[1]):02d}", text)
    path = tmp_path_factory.mktemp("long") / "long.toml"
    path.write_text(text, encoding="utf-8")
    return path


@each_light
@each_size
@pytest.mark.parametrize("name", level_names())
def test_no_job_hides_its_throwing_bar_under_its_sheet(name: str, size: tuple[int, int], light: str) -> None:
    player = Player(level_path(name), size, light, watching=False)
    stage = player.stage
    above = stage if stage.above is None else stage.above
    papers = [above.rooms.sheet, above.slip]
    for laid in above.plan.laid:
        for sleeper in (each for each in sleepers(laid) if each.long):
            for end in (sleeper.a, sleeper.b):
                assert not any(paper.collidepoint(above.world.to_screen(end)) for paper in papers)


@pytest.mark.parametrize("size", [(1280, 800), (1366, 768), (1920, 1080), (2560, 1440)])
def test_from_below_the_sheet_hides_neither_the_rod_nor_the_words_from_below(size: tuple[int, int]) -> None:
    player = Player(level_path("from-below"), size, watching=False)
    stage, shot = player.stage, player.bench.snapshot
    (rod,) = [part for part in below.rods(stage, shot) if part.rect.height > 60 * stage.unit]
    seen = pygame.mask.from_surface(rod.surface, 100)
    covered = pygame.mask.Mask(rod.surface.get_size())
    sheet = stage.rooms.sheet
    covered.draw(pygame.mask.Mask(sheet.size, fill=True), (sheet.x - rod.x, sheet.y - rod.y))
    assert seen.overlap_area(covered, (0, 0)) == 0
    x, y = below.stencil_at(stage)
    half = 90 * stage.unit
    box = pygame.Rect(round(x - half), round(y - 26 * stage.unit), round(2 * half), round(52 * stage.unit))
    over = [stage.rooms.sheet, stage.slip, *(park(stage, tool) for tool in ("lens", "clip")), *wire_boxes(stage)]
    over += [place.housing for place in stage.fixtures.blocks] + [bar.rect for bar in stage.fixtures.bars]
    assert box.collidelist(over) < 0
    assert stage.rooms.mat.contains(box)


@each_light
@each_size
def test_every_motor_of_a_large_bench_has_its_own_name_on_it_whole(
    long_named: Path, size: tuple[int, int], light: str
) -> None:
    player = Player(long_named, size, light, watching=False)
    stage, shot, theme = player.stage, player.bench.snapshot, player.window.theme
    with watching() as lettering:
        page = lettering.page(mounted(stage, shot, False), size, theme.words.of)
    boxes = {text.words: text.box for text in page.texts if re.fullmatch(r"\d\d", text.words)}
    if (size, light) == ((1024, 720), "hall"):  # letters as large as these have room on every other one
        assert len(boxes) >= 8
    else:
        assert sorted(boxes) == [f"{number:02d}" for number in range(1, 21)]
    for place in (each for each in stage.fixtures.blocks if each.motor[-2:] in boxes):
        box = boxes.pop(place.motor[-2:])
        assert abs(box.centerx - place.housing.centerx) <= 2
        assert not stage.rooms.sheet.colliderect(box)
        assert box.collidelist(list(boxes.values())) < 0


@each_size
def test_the_tag_of_a_bar_lies_on_no_other_bar(long_named: Path, size: tuple[int, int]) -> None:
    player = Player(long_named, size, watching=False)
    stage = player.stage
    with watching() as lettering:
        page = lettering.page(mounted(stage, player.bench.snapshot, False), size, str)
    tags = [text.box for text in page.texts if text.words in ("A", "B")]
    assert len(tags) == 2
    assert all(tag.collidelist([bar.rect for bar in stage.fixtures.bars]) < 0 for tag in tags)
    assert not tags[0].colliderect(tags[1])


@each_light
@each_size
@pytest.mark.parametrize("turned", [False, True])
def test_no_name_is_printed_on_a_track(long_named: Path, size: tuple[int, int], light: str, turned: bool) -> None:
    player = Player(long_named, size, light, watching=False)
    if turned:
        player.key(pygame.K_v)
    stage = player.stage
    names = [name.rect.inflate(-4, -4) for name in labels(stage)]
    assert len(names) >= 8
    for lines in stage.lines.values():
        for line in lines:
            points = [(float(x), float(y)) for x, y in line.tolist()]
            for one, other in pairwise(points):
                assert not any(name.clipline(one, other) for name in names)


def test_levers_whose_names_begin_alike_are_told_apart() -> None:
    kind = Type(load_theme(), 1.0)
    names = [f"Motor under the {word}" for word in ("goods shed", "coal stage", "old quay")]
    shown = [Lever(name, "normal", False).label(kind, "small-bold", 60) for name in names]
    assert len(set(shown)) == 3
    assert all(kind.width(text, "small-bold") <= 60 for text in shown)


def test_of_many_long_names_what_is_alike_is_left_out_from_the_beginning_of_a_word() -> None:
    assert told_apart(["yard-12", "yard-13"], lambda name: False) == ["12", "13"]
    assert told_apart(["yard-12", "yard-13"], lambda name: True) == ["yard-12", "yard-13"]
    assert told_apart(["T1", "T12"], lambda name: False) == ["T1", "T12"]
    assert told_apart(["alone"], lambda name: False) == ["alone"]


@each_light
@pytest.mark.parametrize("way", [(120, 300), (900, 600)])
def test_zoomed_in_a_prompt_points_no_further_than_the_mat(light: str, way: tuple[int, int]) -> None:
    player = Player(level_path("first-frog"), (1366, 768), light, watching=False)
    player.wait(1.0)
    player.point(way)
    for _ in range(8):
        player._post(pygame.MOUSEWHEEL, x=0, y=1)
    player.wait(0.5)
    bench, stage = player.bench, player.stage
    assert bench.view.prompt is not None
    label = label_of(stage, bench.view, areas(stage, bench.snapshot, bench.view))
    assert label is not None
    mat = stage.rooms.mat
    assert mat.collidepoint(label.tip) or any(
        panel.inflate(40, 0).collidepoint(label.tip) for panel in (stage.rooms.meter, stage.rooms.supply)
    )


def test_while_the_camera_moves_the_picture_is_soft_and_not_in_blocks() -> None:
    player = Player(size=(1366, 768), watching=False)
    player.picture()
    at = player.place("terminal", "T1.frog")
    player.point(at)
    for _ in range(8):
        player._post(pygame.MOUSEWHEEL, x=0, y=1)
    assert player.bench.view.glides
    picture, mat = player.picture(), player.window.rooms.mat
    runs = blocks = 0
    for y in range(mat.y + 300, mat.bottom - 160, 7):
        row = [tuple(picture.get_at((x, y)))[:3] for x in range(mat.x + 420, mat.right - 40)]
        changes = [k for k, (one, other) in enumerate(pairwise(row)) if one != other]
        runs += len(changes)
        blocks += sum(b - a >= 5 for a, b in pairwise(changes))
    assert blocks < 0.2 * runs  # nearest pixels drawn eight times as large would change at every sixth pixel alone
    player.wait(0.5)
    assert not player.bench.view.glides


@each_light
@each_size
@pytest.mark.parametrize("name", ["right-hand", "from-below", "wye"])
def test_the_parked_tools_lie_on_no_number_of_the_ruler(name: str, size: tuple[int, int], light: str) -> None:
    player = Player(level_path(name), size, light, watching=False)
    stage, bench = player.stage, player.bench
    with watching() as lettering:
        page = lettering.page(board(stage, bench.snapshot), size, stage.theme.words.of)
    numbers = [text.box for text in page.texts if re.fullmatch(r"(toe )?\d+(\u00a0mm)?", text.words)]
    assert len(numbers) > 1
    tools = [player.area("lens", "").rect, player.area("clip", "").rect]
    assert all(number.collidelist(tools) < 0 for number in numbers)


@each_size
def test_what_is_said_of_a_train_off_the_board_is_under_no_tool(size: tuple[int, int]) -> None:
    player = Player(size=size, watching=False)
    bench = player.bench
    train = bench.snapshot.trains[0]
    low = player.stage.world.to_bench((player.stage.rooms.mat.right + 400.0, player.stage.rooms.mat.bottom + 300.0))
    vehicle = replace(train.vehicles[0], axles=tuple((*low, 0.0) for _ in train.vehicles[0].axles))
    off = replace(bench.snapshot, trains=(replace(train, vehicles=(vehicle,)),))
    ((_, label),) = strayed(player.stage, off)
    assert label.collidelist([player.area("lens", "").rect, player.area("clip", "").rect]) < 0
    assert player.stage.rooms.mat.contains(label)


def test_a_contact_that_closes_nowhere_is_not_drawn_as_closed() -> None:
    player = Player(level_path("right-hand"), watching=False)
    stage, shot = player.stage, player.bench.snapshot
    (motor,) = shot.bench.motors

    def drawn(condition: str, travel: float) -> bytes:
        contacts = tuple(replace(contact, condition=condition) for contact in motor.changeovers)
        bench = replace(shot.bench, motors=(replace(motor, changeovers=contacts),))
        now = replace(shot, bench=bench, travel={**shot.travel, "T1": travel})
        block = max(mounted(replace(stage, bench=bench), now, True), key=lambda part: part.rect.width)
        return pygame.image.tobytes(block.surface, "RGBA")

    assert drawn("good", 0.0) != drawn("good", 1.0)
    assert drawn("worn", 0.0) == drawn("good", 0.0)
    assert drawn("open", 0.0) == drawn("open", 1.0) == drawn("good", 0.5)
    assert drawn("open", 0.0) != drawn("good", 0.0)
