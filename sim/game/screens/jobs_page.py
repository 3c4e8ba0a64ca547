"""The front door: the list of jobs chapter by chapter, and beside it the chosen job's own turnout, alive."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence

import pygame

from sim.game.draw.instruments.top_rail import TopItem, top_rail
from sim.game.draw.pages.door import BEGIN, begin_corner
from sim.game.draw.pages.ledger import Job, Listed, Row, ledger, note_card, rows_of
from sim.game.draw.pen.arrangement import Arrangement
from sim.game.draw.pen.ink import Sprite
from sim.game.draw.pen.marks import focus_frame
from sim.game.draw.pen.panel import box_of
from sim.game.front.doorway import DoorRooms, door_rooms
from sim.game.front.showing import Showing
from sim.game.items.common.commands import AskWindow, OpenFile, OpenLevel, Unlist, WindowCommand, window_button
from sim.game.look.theme import Theme
from sim.game.paper.view import Rooms
from sim.game.screens.listing import jobs_on_file, own_benches, parts_of, wrong_note
from sim.game.screens.screen import ENTER_KEYS, way_of
from sim.progress import Best
from sim.syllabus import course

__all__ = ["BEGIN", "TOP", "JobsScreen", "Stop"]

TOP = (
    TopItem("open", "Open a file", "folder", True),
    TopItem("track", "Test track", "turnout", True),
    TopItem("keys", "Keys", "F1", True), TopItem("settings", "Settings", "gear", True),
)  # fmt: skip


Stop = Row | str
"""Where the keyboard's focus can be, or the pointer: a row of the list, or a button by its name."""


class JobsScreen:
    """The list; `note` is a slip in red beside it, for a file that could not be opened."""

    def __init__(
        self, best: Mapping[str, Best] | None = None, note: str = "", recent: Sequence[str] = (),
        left: Collection[str] = (), *, calm: bool = False,
    ) -> None:  # fmt: skip
        """`recent`: bench files opened or saved lately, the last one first; `left`: those with something unsaved.

        calm: reduced motion, nothing moves
        """
        self.jobs: tuple[Job, ...] = (*jobs_on_file(best, left), *own_benches(recent, left))
        self.parts = parts_of(self.jobs)
        self.note = note or wrong_note(course())
        self.chosen = next((k for k, job in enumerate(self.jobs) if not job.done and not job.own), 0)
        self.opened: int | None = self._part_of(self.chosen)
        self.first = 0
        self.focus: Stop | None = None
        self.calm = calm
        self._under: Stop | None = None
        self._showing = Showing()

    def _part_of(self, job: int) -> int:
        return next(k for k, part in enumerate(self.parts) if part.first <= job <= part.last)

    @property
    def job(self) -> Job:
        """The chosen job."""
        return self.jobs[self.chosen]

    def ledger(self, rooms: Rooms, theme: Theme) -> Arrangement[Row]:
        """The list of jobs."""
        under = self._under if isinstance(self._under, Row) else None
        listed = Listed(self.jobs, self.parts, self.opened, self.first, self.chosen, under)
        return ledger(box_of(door_rooms(rooms).sheet), rooms.unit, theme, listed)

    def corner(self, rooms: Rooms, theme: Theme) -> Arrangement[str]:
        """The large button, and the words beside it."""
        door, over = door_rooms(rooms), self._under == BEGIN
        words = "Open" if self.job.own else "Go on" if self.job.standing else "Begin"
        return begin_corner(box_of(door.begin), door.words.width, rooms.unit, theme, words, self.job.minutes, over)

    def spots(self, rooms: Rooms, theme: Theme) -> dict[Stop, pygame.Rect]:
        """Where everything lies that can be pointed at: chapters, jobs, the large button, those of the top rail."""
        rows, corner = self.ledger(rooms, theme).places, self.corner(rooms, theme).places
        return dict([*rows.items(), *corner.items(), *self._top(rooms, theme).places.items()])

    def places(self, rooms: Rooms, theme: Theme) -> dict[str, pygame.Rect]:
        """The same by name: of a job, of a button, and "chapter TITLE"."""
        return {self._name(stop): rect for stop, rect in self.spots(rooms, theme).items()}

    def _name(self, stop: Stop) -> str:
        if isinstance(stop, str):
            return stop
        return self.jobs[stop.number].name if stop.kind == "job" else f"chapter {self.parts[stop.number].title}"

    @staticmethod
    def _top(rooms: Rooms, theme: Theme) -> Arrangement[str]:
        return top_rail(box_of(rooms.top), rooms.unit, theme, TOP, "frogbench", "powering turnout frogs")

    def handle(self, event: pygame.event.Event, rooms: Rooms, theme: Theme) -> WindowCommand | None:
        """Take an event."""
        if event.type in (pygame.MOUSEMOTION, pygame.MOUSEBUTTONDOWN, pygame.KEYDOWN, pygame.MOUSEWHEEL):
            self._showing.wake()
        if event.type == pygame.MOUSEMOTION:
            self._under = self._at(event.pos, rooms, theme)
        elif event.type == pygame.MOUSEBUTTONDOWN and event.button == 1:
            self.focus = None
            hit = self._at(event.pos, rooms, theme)
            return None if hit is None else self._take(hit, rooms, theme)
        elif event.type == pygame.MOUSEWHEEL:
            self._turn(-event.y, rooms, theme)
        elif event.type == pygame.KEYDOWN:
            return self._key(event, rooms, theme)
        return None

    def _take(self, stop: Stop, rooms: Rooms, theme: Theme) -> WindowCommand | None:
        """A row is chosen, a second time its job begins; a heading opens its chapter, or closes it."""
        if isinstance(stop, str):
            return self._opens() if stop == BEGIN else window_button(stop)
        if stop.kind == "chapter":
            self._open_part(None if stop.number == self.opened else stop.number, rooms, theme)
        elif stop.number == self.chosen:
            return self._opens()
        else:
            self.chosen = stop.number
        return None

    def _at(self, place: tuple[int, int], rooms: Rooms, theme: Theme) -> Stop | None:
        """What lies there."""
        return next((stop for stop, rect in self.spots(rooms, theme).items() if rect.collidepoint(place)), None)

    def _opens(self) -> WindowCommand:
        """What opens the chosen job."""
        if self.job.file is not None:
            return OpenFile(self.job.file)
        return AskWindow.TRACK if self.job.own else OpenLevel(self.job.name)

    def _open_part(self, number: int | None, rooms: Rooms, theme: Theme) -> None:
        """Open a chapter and choose the first of its jobs that is not done; or close them all."""
        self.opened = number
        if number is not None:
            part = self.parts[number]
            own = range(part.first, part.last + 1)
            self.chosen = next((k for k in own if not self.jobs[k].done), part.first)
            self._reveal(Row("job", part.last), rooms, theme)
            self._reveal(Row("chapter", number), rooms, theme)
        else:
            self.first = 0

    def _turn(self, by: int, rooms: Rooms, theme: Theme) -> None:
        """Turn the list on or back, no further than its last row."""
        if by < 0:
            self.first = max(0, self.first - 1)
        elif by > 0 and rows_of(self.parts, self.opened)[-1] not in self.ledger(rooms, theme).places:
            self.first += 1

    def _stops(self) -> list[Stop]:
        """Everything that Tab comes to, in reading order: the list, the large button, the top rail."""
        return [*rows_of(self.parts, self.opened), BEGIN, *(item.name for item in TOP)]

    def _key(self, event: pygame.event.Event, rooms: Rooms, theme: Theme) -> WindowCommand | None:
        if event.key == pygame.K_TAB:
            self._tab(way_of(event), rooms, theme)
        elif event.key in (pygame.K_DOWN, pygame.K_UP):
            self._step(way_of(event), rooms, theme)
        elif event.key in ENTER_KEYS:
            return self._take(self.focus or BEGIN, rooms, theme)
        elif event.key == pygame.K_DELETE and self.job.file is not None:
            return Unlist(self.job.file)
        elif event.key == pygame.K_a:
            return AskWindow.TRACK
        elif event.key == pygame.K_ESCAPE:
            return AskWindow.LEAVE
        return None

    def _tab(self, step: int, rooms: Rooms, theme: Theme) -> None:
        stops = self._stops()
        if self.focus in stops:
            self.focus = stops[(stops.index(self.focus) + step) % len(stops)]
        else:
            self.focus = Row("job", self.chosen) if Row("job", self.chosen) in stops else stops[0]
        self._follow(rooms, theme)

    def _step(self, step: int, rooms: Rooms, theme: Theme) -> None:
        """On to the next job, or back, from chapter to chapter."""
        self.chosen = (self.chosen + step) % len(self.jobs)
        self.opened = self._part_of(self.chosen)
        self.focus = Row("job", self.chosen)
        self._follow(rooms, theme)

    def _follow(self, rooms: Rooms, theme: Theme) -> None:
        """The row with the focus is seen, and a job that has it is chosen."""
        row = self.focus
        if isinstance(row, Row):
            self.chosen = row.number if row.kind == "job" else self.chosen
            self._reveal(row, rooms, theme)

    def _reveal(self, row: Row, rooms: Rooms, theme: Theme) -> None:
        """Turn the list so that a row is on the sheet."""
        rows = rows_of(self.parts, self.opened)
        number = rows.index(row)
        self.first = min(self.first, number)
        while self.first < number and row not in self.ledger(rooms, theme).places:
            self.first += 1

    def tick(self, seconds: float, rooms: Rooms, theme: Theme) -> None:
        """Let time pass: the engine on the chosen job's turnout."""
        self._show(rooms, theme)
        self._showing.tick(seconds)

    def _show(self, rooms: Rooms, theme: Theme) -> None:
        self._showing.show(self.job, door_rooms(rooms), theme, calm=self.calm, place=self._place)

    @property
    def lively(self) -> bool:
        """Whether something moves, or the chosen job's turnout is still to be laid."""
        return self._showing.moves or self._showing.shows != self.job

    def sprites(self, rooms: Rooms, theme: Theme) -> list[Sprite]:
        """The picture."""
        door = door_rooms(rooms)
        unit = rooms.unit
        self._show(rooms, theme)
        note = self._note(door, theme) if self.note else None
        out = self._showing.sprites(door, theme, note.rect if note is not None else None)
        out += [self.corner(rooms, theme).sprite, self.ledger(rooms, theme).sprite]
        if note is not None:
            out.append(note)
        out.append(self._top(rooms, theme).sprite)
        focused = self.spots(rooms, theme).get(self.focus) if self.focus is not None else None
        if focused is not None:
            out.append(focus_frame(box_of(focused), 8 * unit, unit, theme))
        return out

    @property
    def _place(self) -> str:
        """Where the chosen job stands: "First frog, job 3 of 9"; of a bench of one's own the heading alone."""
        part = self.parts[self._part_of(self.chosen)]
        if self.job.own:
            return part.title
        return f"{part.title}, job {self.job.number} of {part.last - part.first + 1}"

    def _note(self, door: DoorRooms, theme: Theme) -> Sprite:
        unit = door.unit
        width = round(min(door.words.width, 420 * unit))
        box = (door.words.x, door.mat.y + round(24 * unit), width, round(160 * unit))
        return note_card(box, unit, theme, self.note)
