"""The right half of the front door: the chosen job's turnout on the mat, and the words about the job."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache
from pathlib import Path

import pygame

from sim.bench.faults import BenchFaults
from sim.bench.model import Bench
from sim.bench.reading import load
from sim.coach.sides import BARE, sides_hidden
from sim.game.draw.pages.door import Told, job_words, lit_ground
from sim.game.draw.pages.ledger import Job
from sim.game.draw.pen.arrangement import Arrangement
from sim.game.draw.pen.ink import Sprite, cut, seen_through
from sim.game.draw.pen.tags import side_tag
from sim.game.front.alive import Alive
from sim.game.front.doorway import DoorRooms, DoorStage, door_stage, turned_down, ways_over
from sim.game.look.theme import Theme
from sim.game.paper.view import World
from sim.game.picture.board import track_alone
from sim.game.picture.flow import arrows
from sim.game.picture.rolling import trains
from sim.resources import level_names, level_path, test_track_path
from sim.session.snapshot import Snapshot
from sim.track.formations import KINDS

__all__ = ["Showing"]

_LAMP_REACH, _LAMP_ACROSS, _LAMP_DOWN = 0.57, 0.45, 0.27  # of the mat's height, of the free width, of the height
_PLAIN_SCALE = 3.7  # px a mm of the grid where no track lies on it
_UNDER = 24.0


class Showing:
    """What is shown of a job; made when the job is first seen, kept as long as it is the chosen one."""

    def __init__(self) -> None:
        self.shows: Job | None = None
        self._for: tuple[DoorRooms, Theme, bool] | None = None
        self._stage: DoorStage | None = None
        self._alive: Alive | None = None
        self._words: Arrangement[str] | None = None

    @property
    def moves(self) -> bool:
        """Whether something is still to happen."""
        return self._alive is not None and self._alive.moves

    def wake(self) -> None:
        """A hand has moved."""
        if self._alive is not None:
            self._alive.wake()

    def show(self, job: Job, door: DoorRooms, theme: Theme, *, calm: bool, place: str) -> None:
        """Set a job's bench up, if it is not the one that is shown. `place`: where it stands in the list, in words."""
        if self.shows == job and self._for == (door, theme, calm):
            return
        self.shows, self._for = job, (door, theme, calm)
        self._stage, self._alive = None, None
        box = door.words
        told = Told(place, job.title, job.brief, job.task)
        self._words = job_words((box.x, box.y, box.width, box.height), door.unit, theme, told)
        bench = _bench_of(job)
        if bench is None or not bench.tracks:
            return
        stage = door_stage(bench, door, theme, self._words.box.y)
        try:
            self._alive = Alive(bench, ways_over(stage), calm=calm)
        except ValueError:  # a bench that cannot be set up is told when it is opened
            return
        self._stage = stage

    def tick(self, seconds: float) -> None:
        """Let time pass on it."""
        if self._alive is not None:
            self._alive.tick(seconds)

    def sprites(self, door: DoorRooms, theme: Theme, under: pygame.Rect | None = None) -> list[Sprite]:
        """The mat, the turnout and the words of what is shown; `under`: a slip that lies on it, which cuts no tag."""
        out = [Sprite(self._ground(door, theme), 0, 0)]
        if self._stage is not None and self._alive is not None:
            hidden = round(_UNDER * door.unit)  # the sheet hides where the track begins
            seen = pygame.Rect(door.free.x - hidden, door.free.y, door.free.width + hidden, door.free.height)
            with seen_through(seen):
                turnout = _turnout(self._stage, self._alive.snapshot, under)
            out += cut(turnout, seen)
        if self._words is not None:
            out.append(self._words.sprite)
        return out

    def _ground(self, door: DoorRooms, theme: Theme) -> pygame.Surface:
        unit = door.unit
        middle = door.mat.y + round(_LAMP_DOWN * door.mat.height)
        world, zero = World(float(door.free.x), float(middle), _PLAIN_SCALE * unit), 0.0
        if self._stage is not None:
            world, zero = self._stage.world, self._stage.plan.zero_mm
        lamp = (round(door.free.x + _LAMP_ACROSS * door.free.width), middle)
        within = (door.free.x, door.begin.bottom, door.free.width, door.free.bottom - door.begin.bottom)
        return lit_ground(door.ground, world, zero, theme, lamp, round(_LAMP_REACH * door.mat.height), within)


def _turnout(stage: DoorStage, snapshot: Snapshot, under: pygame.Rect | None) -> list[Sprite]:
    """Track, wires, current and engines, drawn as on the bench; rails that the job asks about show no side, nor any
    where a side is shown only once it is proved.

    Rails without a feed have no tags here, and none lies `under` a slip.
    """
    level = stage.bench.level
    asked = [stage.bench.piece(piece) for piece in level.predict] if level is not None else []
    hidden = snapshot.feeds if sides_hidden(stage.bench) else [frog for piece in asked for frog in piece.frogs]
    bare = dict.fromkeys(hidden, BARE)
    moment = turned_down(replace(snapshot, feeds={**snapshot.feeds, **bare}))
    tags = {id(side_tag(side, stage.unit, stage.theme, stage.tag_px)): side for side in ("A", "B", "none", "both")}

    def stands(part: Sprite) -> bool:
        side = tags.get(id(part.surface))
        return side is None or (side != "none" and (under is None or not under.colliderect(part.rect)))

    out = [part for part in track_alone(stage, moment) if stands(part)]
    out += arrows(stage, moment)
    out += trains(stage, moment)
    return out


def _bench_of(job: Job) -> Bench | None:
    """The bench that is shown of a line of the list: a level's, or the test track; none of a file of one's own."""
    if job.own and job.file is None:
        return _filed(test_track_path())
    if job.own or job.name not in level_names():
        return None
    return _filed(level_path(job.name))


@lru_cache(maxsize=16)
def _filed(path: Path) -> Bench | None:
    try:
        return load(path, KINDS)
    except BenchFaults:
        return None
