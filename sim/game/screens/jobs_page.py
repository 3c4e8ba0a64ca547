"""The list of jobs: what stands in the levels folder, chapter by chapter."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from functools import lru_cache
from pathlib import Path

import pygame

from sim.bench.faults import BenchFaults
from sim.bench.model import Bench
from sim.bench.reading import load
from sim.game.draw.pages.ledger import Job, job_card, ledger, ledger_rows, note_card, note_height
from sim.game.draw.pen.icons import TopItem, top_items, top_rail
from sim.game.draw.pen.ink import Sprite
from sim.game.draw.pen.marks import focus_frame
from sim.game.draw.pen.panel import Box
from sim.game.draw.railway.cutting_mat import ground
from sim.game.look.fonts import Type
from sim.game.look.theme import Theme
from sim.game.look.wording import CHAPTERS, chapter_words
from sim.game.paper.view import Rooms, World
from sim.game.screens.marksbook import Kept
from sim.game.screens.screen import StillScreen
from sim.resources import level_names, level_path
from sim.saving import is_there
from sim.track.formations import KINDS

__all__ = ["TOP", "JobsScreen", "jobs_on_file"]

TOP = (
    TopItem("open", "Open a file", "folder", True),
    TopItem("track", "Test track", "turnout", True),
    TopItem("keys", "Keys", "F1", True), TopItem("settings", "Settings", "gear", True),
)
_CARD = (
    "How a job goes",
    "Read the sheet on its clip. Say first which rail each frog must match.",
    "Take wires from screw to screw, or to a tab on a rail: drag, or click twice.",
    "Measure with the supply unplugged. Then plug in, switch on, and drive.",
    "Test every route, and read what the test found.",
    "F1 shows all keys. A bench file can be dropped on this window.",
)


@lru_cache(maxsize=128)
def _level(path: Path, changed_ns: int) -> Bench | None:
    """The bench of a level's file as it stood when it was last changed; None if it is wrong."""
    del changed_ns
    try:
        return load(path, KINDS)
    except BenchFaults:
        return None


def jobs_on_file(best: Mapping[str, Kept] | None = None) -> tuple[Job, ...]:
    """Every level that comes with the program, in the order of the syllabus; a wrong file is left out."""
    rows = []
    for name in level_names():
        path = level_path(name)
        bench = _level(path, path.stat().st_mtime_ns)
        if bench is not None and bench.level is not None:
            rows.append((bench.level.chapter, name, bench.title, bench.level.brief))
    order = list(CHAPTERS)
    rows.sort(key=lambda row: (order.index(row[0]) if row[0] in order else len(order), _place(row[1]), row[1]))
    jobs: list[Job] = []
    for chapter, name, title, brief in rows:
        number = sum(job.chapter == chapter_words(chapter) for job in jobs) + 1
        kept = (best or {}).get(name)
        done, marks = (False, None) if kept is None else (kept.passed, kept.marks)
        jobs.append(Job(name, chapter_words(chapter), number, title, brief, done, marks))
    return tuple(jobs)


OWN = "Your own benches"


def _own_benches(recent: Sequence[str], left: Collection[str]) -> Iterator[Job]:
    """The test track, and the bench files opened lately."""
    brief = "Lay track, wire it, drive it: a bench of your own."
    yield Job("track", OWN, 0, "Test track", brief, False, None, "track")
    for file in recent:
        path = Path(file)
        where = str(path.parent)
        if not is_there(path):
            where = f"no longer in {path.parent}; Del takes it off this list"
        elif file in left:
            where = f"as you left it, not saved; in {path.parent}"
        yield Job(file, OWN, 0, path.name, where, False, None, f"file {file}")


def _opens(job: Job) -> str:
    """The command that opens a line of the list."""
    return job.command or f"open {job.name}"


# The order of the syllabus inside its chapters.
_ORDER = (
    "first-frog", "three-screws", "right-hand", "four-readings", "unmarked", "left-hand", "from-below", "turned-round",
    "wye",    "which-kind", "false-friends", "crossed-feeder", "eight-screws", "in-order",
    "solder-blob", "no-gap-beyond", "live-frog", "live-to-isolated", "wheel-back", "wide-wheel", "trailing-in",
    "blade-fed", "far-end", "coin-test", "lamp-in-line", "out-of-step",
    "crossover", "ladder", "three-way", "crossing", "slip", "scissors", "loop", "triangle", "unit",
)  # fmt: skip


def _place(name: str) -> int:
    return _ORDER.index(name) if name in _ORDER else len(_ORDER)


class JobsScreen(StillScreen):
    """The list; `note` is a slip in red beside it, for a file that could not be opened."""

    def __init__(
        self, best: Mapping[str, Kept] | None = None, note: str = "", recent: Sequence[str] = (),
        left: Collection[str] = (),
    ) -> None:
        """`recent`: bench files opened or saved lately, the last one first; `left`: those with something unsaved."""
        self.jobs = (*jobs_on_file(best), *_own_benches(recent, left))
        self.note = note
        self.chosen = next((k for k, job in enumerate(self.jobs) if not job.done and not job.command), 0)
        self.first = 0
        self._by_key = False

    def places(self, rooms: Rooms, theme: Theme) -> dict[str, pygame.Rect]:
        """Where the jobs and the buttons of the top rail lie, by name."""
        _, rows = ledger_rows(self._box(rooms), rooms.unit, self.jobs, self.first)
        top = (rooms.top.x, rooms.top.y, rooms.top.width, rooms.top.height)
        buttons = top_items(top, rooms.unit, Type(theme, rooms.unit), TOP)
        return {**{self.jobs[number].name: rect for number, rect in rows.items()}, **buttons}

    def handle(self, event: pygame.event.Event, rooms: Rooms, theme: Theme) -> str:
        """Take an event."""
        _, rows = ledger_rows(self._box(rooms), rooms.unit, self.jobs, self.first)
        if event.type == pygame.MOUSEMOTION:
            hit = next((k for k, rect in rows.items() if rect.collidepoint(event.pos)), None)
            if hit is not None:
                self.chosen, self._by_key = hit, False
        elif event.type == pygame.MOUSEBUTTONDOWN and event.button == 1:
            hit = next((k for k, rect in rows.items() if rect.collidepoint(event.pos)), None)
            if hit is not None:
                return _opens(self.jobs[hit])
            top = (rooms.top.x, rooms.top.y, rooms.top.width, rooms.top.height)
            buttons = top_items(top, rooms.unit, Type(theme, rooms.unit), TOP)
            return next((name for name, rect in buttons.items() if rect.collidepoint(event.pos)), "")
        elif event.type == pygame.MOUSEWHEEL and self.jobs:
            self.first = min(max(0, self.first - event.y), max(0, len(self.jobs) - 1))
        elif event.type == pygame.KEYDOWN:
            return self._key(event, rooms)
        return ""

    def _key(self, event: pygame.event.Event, rooms: Rooms) -> str:
        back = event.key == pygame.K_UP or (event.key == pygame.K_TAB and getattr(event, "mod", 0) & pygame.KMOD_SHIFT)
        if event.key in (pygame.K_TAB, pygame.K_DOWN, pygame.K_UP) and self.jobs:
            step = 0 if not self._by_key and event.key == pygame.K_TAB else -1 if back else 1
            self.chosen = (self.chosen + step) % len(self.jobs)
            self._by_key = True
            self._reveal(rooms)
        elif event.key in (pygame.K_RETURN, pygame.K_KP_ENTER, pygame.K_SPACE) and self.jobs:
            return _opens(self.jobs[self.chosen])
        elif event.key == pygame.K_DELETE and self.jobs and self.jobs[self.chosen].command.startswith("file "):
            return f"unlist {self.jobs[self.chosen].name}"
        elif event.key == pygame.K_a:
            return "track"
        elif event.key == pygame.K_ESCAPE:
            return "leave"
        return ""

    def _reveal(self, rooms: Rooms) -> None:
        """Turn the list so that the chosen job is on the sheet."""
        if self.chosen < self.first:
            self.first = self.chosen
        while (
            self.first < self.chosen
            and self.chosen not in ledger_rows(self._box(rooms), rooms.unit, self.jobs, self.first)[1]
        ):
            self.first += 1

    def _box(self, rooms: Rooms) -> Box:
        unit = rooms.unit
        width = min(rooms.mat.width + 232 * unit - 330 * unit, 860 * unit)
        left = rooms.mat.x + 40 * unit
        chapters = len({job.chapter for job in self.jobs})
        needed = (150 + 57 * len(self.jobs) + 28 * chapters) * unit
        height = min(rooms.mat.height - 62 * unit, max(needed, 430 * unit))
        return round(left), round(rooms.mat.y + 30 * unit), round(width), round(height)

    def sprites(self, rooms: Rooms, theme: Theme) -> list[Sprite]:
        """The picture."""
        unit = rooms.unit
        world = World(rooms.mat.x + 128 * unit, rooms.mat.bottom - 212 * unit, 3.2 * unit)
        out = [Sprite(ground(rooms, world, 0.0, theme), 0, 0)]
        box = self._box(rooms)
        left = box[0] + box[2] + round(34 * unit)
        card = (
            left,
            box[1] + round(60 * unit),
            round(min(300 * unit, rooms.size[0] - left - 24 * unit)),
            round(372 * unit),
        )
        out.append(job_card(card, unit, theme, _CARD))
        if self.note:
            low = card[1] + card[3] + round(20 * unit)
            high = note_height(unit, Type(theme, unit), self.note, card[2])
            high = min(high, rooms.size[1] - low - round(16 * unit))
            out.append(note_card((card[0], low, card[2], high), unit, theme, self.note))
        out.append(ledger(box, unit, theme, self.jobs, self.first, self.chosen))
        top = (rooms.top.x, rooms.top.y, rooms.top.width, rooms.top.height)
        out.append(
            Sprite(
                top_rail(top, unit, theme, TOP, "frogbench", "powering turnout frogs"),
                0,
                0,
            )
        )
        if self._by_key:
            _, rows = ledger_rows(box, unit, self.jobs, self.first)
            if self.chosen in rows:
                rect = rows[self.chosen]
                out.append(focus_frame((rect.x, rect.y, rect.width, rect.height), 8 * unit, unit, theme))
        return out
