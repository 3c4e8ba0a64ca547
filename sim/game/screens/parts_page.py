"""A labelled picture of a turnout and its motor: what each part is called. F3, the page of keys and a job lead here."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from functools import lru_cache
from itertools import combinations

import numpy as np
import pygame

from sim.bench.level import Level
from sim.bench.model import Bench
from sim.bench.reading import load
from sim.coach.sides import BARE
from sim.game.draw.pages.question_sheet import told_label
from sim.game.draw.pen.arrangement import Arrangement
from sim.game.draw.pen.ink import Sprite
from sim.game.draw.slips.name_label import glossary, label_size, name_label
from sim.game.look.theme import Theme
from sim.game.paper.labelling import Label, Shelf, laid_out
from sim.game.paper.plan import sleepers
from sim.game.paper.railviews import FROG_PARTS
from sim.game.paper.view import Point, Rooms
from sim.game.paper.view import rooms as rooms_of
from sim.game.picture.board import board
from sim.game.picture.nameplates import labels
from sim.game.screens.screen import SheetScreen
from sim.game.whereabouts.joinery import bond_way, jumper_way
from sim.game.whereabouts.stage import Stage, Stages
from sim.resources import named_turnout_path
from sim.session.session import Session
from sim.track.formations import KINDS

__all__ = ["NamesScreen", "as_many_as_fit", "named_places"]

_SIDE = 8.0  # layout px left of the instruments' width
_LIFT = 12.0  # layout px of the track, which has no wires above it here
_ONE_OF = {"blade": "left", "exit": "left"}  # of closure rails and exit rails one is enough: there is no room for all
_ALONG = {"stock": (0.2, 0.42), "exit": (0.62, 0.62)}  # of a rail's length, for the upper and the lower one
_NEARER = (0.0, 8.0, 16.0, 24.0)  # layout px, nearer to the track where there is no room
_JUMPER_SHARE = 0.97  # of its length, from the exit rail: before that it lies under the frog


class NamesScreen(SheetScreen[str]):
    """The picture, and a sheet beside it."""

    def __init__(self) -> None:
        bench = load(named_turnout_path(), KINDS)
        self._bench: Bench = replace(bench, level=Level())
        now = Session(self._bench).snapshot()
        self._now = replace(now, feeds=dict.fromkeys(now.feeds, BARE))
        self._stages = Stages()
        self._labels: tuple[Stage, tuple[Label, ...]] | None = None

    def stage(self, rooms: Rooms, theme: Theme) -> Stage:
        """The turnout as it is laid out in this window."""
        return self._stages.of(self._bench, _whole_window(rooms, theme), theme)

    def arranged(self, rooms: Rooms, theme: Theme) -> Arrangement[str]:
        """The sheet beside the picture."""
        return glossary(rooms.sheet.width, rooms.unit, theme).moved(rooms.sheet.x, rooms.sheet.y)

    def labels(self, rooms: Rooms, theme: Theme) -> tuple[Label, ...]:
        """Every name with the place that it names, laid out."""
        stage = self.stage(rooms, theme)
        if self._labels is None or self._labels[0] is not stage:
            self._labels = stage, self._laid_out(stage, rooms, theme)
        return self._labels[1]

    def _laid_out(self, stage: Stage, rooms: Rooms, theme: Theme) -> tuple[Label, ...]:
        unit, mat = rooms.unit, stage.rooms.mat
        fixtures = stage.fixtures
        taken = [self.arranged(rooms, theme).box.inflate(8, 8)]
        taken += [place.housing.union(place.face) for place in fixtures.blocks]
        taken += [place.rect for place in fixtures.bars]
        taken += _metal(stage)
        taken += _sleepers(stage)
        left, right = mat.x + 14 * unit, mat.right - 14 * unit
        face = fixtures.blocks[0].face
        rail = named_places(stage)
        upper = [row for row in rail if row[1][1] <= _between(rail, row[1][0]) + 1]
        lower = [row for row in rail if row not in upper]
        foot = max(at[1] for _, at in lower) + 12 * unit
        top = stage.world.to_screen((0.0, stage.plan.box[1][1]))[1] - 8 * unit
        high = max(label_size(unit, theme, words)[1] for words, _ in rail)
        rows, spare = divmod(mat.bottom - 16 * unit - foot + 6, high + 6)  # 6: none is needed under the last row
        shelves = (
            (_screws(stage), Shelf(face.bottom + 12 * unit, 1, 2, left, right), 0.0),
            (upper, Shelf(top, -1, 5, left, right), 0.0),
            (lower, Shelf(foot, 1, int(rows), left, right), spare),
        )
        out: list[Label] = []
        for named, shelf, over in shelves:
            widths = {words: label_size(unit, theme, words)[0] for words, _ in named}
            out += as_many_as_fit(named, widths, high, shelf, [*taken, *(label.box for label in out)], unit, over)
        return tuple(out)

    def left_out(self, rooms: Rooms, theme: Theme) -> int:
        """How many names have no room."""
        stage = self.stage(rooms, theme)
        return len(_screws(stage)) + len(named_places(stage)) - len(self.labels(rooms, theme))

    def sprites(self, rooms: Rooms, theme: Theme) -> list[Sprite]:
        """The picture."""
        stage = self.stage(rooms, theme)
        plates = {id(plate.surface) for plate in labels(stage)}  # leaders would run through them
        out = [part for part in board(stage, self._now, lids_off=True) if id(part.surface) not in plates]
        out.append(self.arranged(rooms, theme).sprite)
        for label in self.labels(rooms, theme):
            x, y, w, h = label.box
            out.append(name_label(label.words, label.at, (x, y, w, h), rooms.unit, theme))
        if more := self.left_out(rooms, theme):
            words = f"{more} more name{'' if more == 1 else 's'} in a larger window."
            out.append(told_label(rooms.size, rooms.unit, theme, words, False))
        return out


def as_many_as_fit(
    named: Sequence[tuple[str, Point]], widths: Mapping[str, float], high: float, shelf: Shelf,
    taken: Sequence[pygame.Rect], unit: float, spare: float = 0.0,
) -> tuple[Label, ...]:  # fmt: skip
    """Labels of one side: all of them, if need be nearer to the track; where there is no way, as many as have room.

    spare: what is left beyond the last row, px
    """
    for count in range(len(named), 0, -1):
        fewer = combinations(named, count) if count >= len(named) - 1 else [named[:count]]
        for some in fewer:
            for nearer in _NEARER:
                rows = shelf.rows + int((spare + nearer * unit) // (high + 6))
                here = shelf._replace(edge=shelf.edge - shelf.way * nearer * unit, rows=rows)
                found = laid_out(some, [widths[words] for words, _ in some], high, here, taken)
                if found is not None:
                    return found
    return ()


@lru_cache(maxsize=8)
def _whole_window(given: Rooms, theme: Theme) -> Rooms:
    """The rooms of the window with no instruments beside the mat, and the track lifted: room for names under it."""
    whole = rooms_of(given.size, given.unit, replace(given.widths, side=_SIDE))
    high = glossary(given.sheet.width, given.unit, theme).box.height
    sheet = pygame.Rect(whole.sheet.topleft, (whole.sheet.width, high))
    return replace(whole, sheet=sheet, track=whole.track.move(0, -round(_LIFT * given.unit)))


def _between(named: Sequence[tuple[str, Point]], x: float) -> float:
    """The height, px, that parts what is named above the track from what is named below it: through toe and frog."""
    first, frog = named[-3][1], named[0][1]
    last = ((named[-2][1][0] + named[-1][1][0]) / 2, (named[-2][1][1] + named[-1][1][1]) / 2)
    way = sorted([first, frog, last])
    return float(np.interp(x, [at[0] for at in way], [at[1] for at in way]))


def _metal(stage: Stage) -> list[pygame.Rect]:
    """Boxes along all rails, which no label may cover."""
    edge = round(10 * stage.unit)
    return [
        pygame.Rect(round(float(x)) - edge // 2, round(float(y)) - edge // 2, edge, edge)
        for lines in stage.lines.values()
        for line in lines
        for x, y in line[:: max(1, len(line) // 60)]
    ]


def _sleepers(stage: Stage) -> list[pygame.Rect]:
    """Boxes round the sleepers, on which no label may lie."""
    out = []
    for sleeper in sleepers(stage.plan.laid[0]):
        (x0, y0), (x1, y1) = (stage.world.to_screen(point) for point in (sleeper.a, sleeper.b))
        wide, high = abs(x1 - x0) + 12 * stage.unit, abs(y1 - y0)
        out.append(pygame.Rect(round((x0 + x1 - wide) / 2), round(min(y0, y1)), round(wide), round(high)))
    return out


def _screws(stage: Stage) -> list[tuple[str, Point]]:
    """The common of the motor's contact, and one of its outers."""
    (motor,) = stage.bench.motors
    (contact,) = motor.changeovers
    block = stage.fixtures.blocks[0]
    at = {letter: (float(x), float(block.lower)) for letter, x in zip(block.letters, block.xs, strict=True)}
    return [("outer", at[contact.normal]), ("common", at[contact.common])]


def named_places(stage: Stage) -> list[tuple[str, Point]]:
    """What the parts of a turnout are called, and where each is, px."""
    return [*_rails(stage), *_places(stage), *_ends(stage)]


def _along(stage: Stage, rows: np.ndarray[tuple[int, ...], np.dtype[np.float64]], share: float) -> Point:
    k = min(len(rows) - 1, round(share * (len(rows) - 1)))
    return stage.world.to_screen((float(rows[k, 0]), float(rows[k, 1])))


def _rails(stage: Stage) -> Iterator[tuple[str, Point]]:
    piece = stage.bench.tracks[0]
    views = stage.views(piece.id)
    frog = [stage.world.to_screen((float(x), float(y))) for v in views if v.part in FROG_PARTS for x, y in v.middle]
    (point,) = (section.words for section in piece.rails() if section.name in piece.frogs)
    yield point, (sum(x for x, _ in frog) / len(frog), sum(y for _, y in frog) / len(frog))
    for section in piece.rails():
        own = [view for view in views if view.node == section.name]
        shares = _ALONG.get(section.role, (0.5, 0.5))
        share = shares[0] if section.side == "left" else shares[1]
        for view in own if section.role == "blade" else own[:1]:
            bare = section.words.removeprefix(f"{section.side} ")
            if section.role == "blade" and view.part == "blade":
                yield f"{section.side} blade", _along(stage, view.middle, 0.45)
            elif section.role == "stock":
                yield section.words, _along(stage, view.middle, share)
            elif section.role in _ONE_OF and section.side == _ONE_OF[section.role]:
                yield bare, _along(stage, view.middle, share)


def _places(stage: Stage) -> Iterator[tuple[str, Point]]:
    """One of each sort of gap, bond and jumper, above and below by turns."""
    sorts = list(dict.fromkeys(mark.place.sort for mark in stage.places))
    for number, sort in enumerate(sorts):
        rows = sorted((mark for mark in stage.places if mark.place.sort == sort), key=lambda mark: mark.y)
        mark = rows[0 if number % 2 == 0 else -1]
        way: tuple[Point, ...] = ((mark.x, mark.y),)
        if mark.place.kind != "gap":
            way = bond_way(stage, mark) if mark.place.kind == "bond" else jumper_way(stage, mark)
        yield mark.place.sort, _on_the_way(way, _JUMPER_SHARE if mark.place.kind == "jumper" else 0.5)


def _on_the_way(way: Sequence[Point], share: float) -> Point:
    """The point that far along, by length: corners are many points close together."""
    xs, ys = np.asarray(way).T
    gone = np.concatenate(([0.0], np.cumsum(np.hypot(np.diff(xs), np.diff(ys)))))
    at = share * gone[-1]
    return float(np.interp(at, gone, xs)), float(np.interp(at, gone, ys))


def _ends(stage: Stage) -> Iterator[tuple[str, Point]]:
    laid = stage.plan.laid[0]
    piece = stage.bench.tracks[0]
    seen: set[str] = set()
    for number, path in enumerate(laid.geometry.tracks):
        for end, station in zip(path.ends, (0.0, path.length_mm), strict=True):
            if end not in seen:
                seen.add(end)
                x, y, _ = stage.plan.layout.pose(laid.id, number, np.array([station]))
                inside = 3.0 if station == 0.0 else -3.0
                yield (
                    piece.end_words(end).removeprefix("the "),
                    stage.world.to_screen((float(x[0]) + inside, float(y[0]))),
                )
