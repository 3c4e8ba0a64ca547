"""The front door: the list of jobs chapter by chapter, and beside it the chosen job's own turnout, alive."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from typing import NamedTuple

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
from sim.progress import Best
from sim.syllabus import course

__all__ = ["BEGIN", "TOP", "JobsScreen", "Stop"]

TOP = (
    TopItem("open", "Open a file", "folder", True),
    TopItem("track", "Test track", "turnout", True),
    TopItem("keys", "Keys", "F1", True), TopItem("settings", "Settings", "gear", True),
)  # fmt: skip


class Stop(NamedTuple):
    """Where the keyboard's focus can be: a row of the list, or a button by its name."""

    row: Row | None = None
    button: str = ""


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
        self._under: Row | None = None
        self._over_begin = False
        self._showing = Showing()

    def _part_of(self, job: int) -> int:
        return next(k for k, part in enumerate(self.parts) if part.first <= job <= part.last)

    @property
    def job(self) -> Job:
        """The chosen job."""
        return self.jobs[self.chosen]

    def ledger(self, rooms: Rooms, theme: Theme) -> Arrangement[Row]:
        """The list of jobs."""
        listed = Listed(self.jobs, self.parts, self.opened, self.first, self.chosen, self._under)
        return ledger(box_of(door_rooms(rooms).sheet), rooms.unit, theme, listed)

    def corner(self, rooms: Rooms, theme: Theme) -> Arrangement[str]:
        """The large button, and the words beside it."""
        door = door_rooms(rooms)
        words, minutes = self._begin_words, self.job.minutes
        return begin_corner(
            box_of(door.begin), door.words.width, rooms.unit, theme, words, minutes, self._over_begin
        )

    def places(self, rooms: Rooms, theme: Theme) -> dict[str, pygame.Rect]:
        """Where everything lies that can be pointed at: chapters, jobs, the large button, those of the top rail."""
        named = {self._name(row): rect for row, rect in self.ledger(rooms, theme).places.items()}
        return {**named, **self.corner(rooms, theme).places, **self._buttons(rooms, theme)}

    def _name(self, row: Row) -> str:
        return self.jobs[row.number].name if row.kind == "job" else f"chapter {self.parts[row.number].title}"

    def _buttons(self, rooms: Rooms, theme: Theme) -> dict[str, pygame.Rect]:
        return self._top(rooms, theme).places

    @staticmethod
    def _top(rooms: Rooms, theme: Theme) -> Arrangement[str]:
        return top_rail(box_of(rooms.top), rooms.unit, theme, TOP, "frogbench", "powering turnout frogs")

    @property
    def _begin_words(self) -> str:
        """What the large button says: whether the job is new, half done, or a bench of one's own."""
        return "Open" if self.job.own else "Go on" if self.job.standing else "Begin"

    def handle(self, event: pygame.event.Event, rooms: Rooms, theme: Theme) -> WindowCommand | None:
        """Take an event."""
        if event.type in (pygame.MOUSEMOTION, pygame.MOUSEBUTTONDOWN, pygame.KEYDOWN, pygame.MOUSEWHEEL):
            self._showing.wake()
        if event.type == pygame.MOUSEMOTION:
            self._under = self.ledger(rooms, theme).under(event.pos)
            self._over_begin = self.corner(rooms, theme).under(event.pos) == BEGIN
        elif event.type == pygame.MOUSEBUTTONDOWN and event.button == 1:
            return self._click(event.pos, rooms, theme)
        elif event.type == pygame.MOUSEWHEEL:
            self._turn(-event.y, rooms, theme)
        elif event.type == pygame.KEYDOWN:
            return self._key(event, rooms, theme)
        return None

    def _click(self, at: tuple[int, int], rooms: Rooms, theme: Theme) -> WindowCommand | None:
        """A click chooses a row, a second one on it begins; on a heading it opens the chapter, or closes it."""
        self.focus = None
        if self.corner(rooms, theme).under(at) == BEGIN:
            return self._opens()
        row = self.ledger(rooms, theme).under(at)
        if row is not None:
            return self._act(row, rooms, theme)
        buttons = self._buttons(rooms, theme)
        return next((window_button(name) for name, rect in buttons.items() if rect.collidepoint(at)), None)

    def _act(self, row: Row, rooms: Rooms, theme: Theme) -> WindowCommand | None:
        if row.kind == "chapter":
            self._open_part(None if row.number == self.opened else row.number, rooms, theme)
            return None
        if row.number == self.chosen:
            return self._opens()
        self.chosen = row.number
        return None

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
        if by > 0 and self._last_seen(rooms, theme):
            return
        self.first = max(0, self.first + (1 if by > 0 else -1 if by < 0 else 0))

    def _last_seen(self, rooms: Rooms, theme: Theme) -> bool:
        return rows_of(self.parts, self.opened)[-1] in self.ledger(rooms, theme).places

    def _stops(self) -> list[Stop]:
        """Everything that Tab comes to, in reading order: the list, the large button, the top rail."""
        rows = [Stop(row) for row in rows_of(self.parts, self.opened)]
        return [*rows, Stop(button=BEGIN), *(Stop(button=item.name) for item in TOP)]

    def _key(self, event: pygame.event.Event, rooms: Rooms, theme: Theme) -> WindowCommand | None:
        if event.key == pygame.K_TAB:
            self._tab(-1 if getattr(event, "mod", 0) & pygame.KMOD_SHIFT else 1, rooms, theme)
        elif event.key in (pygame.K_DOWN, pygame.K_UP):
            self._step(1 if event.key == pygame.K_DOWN else -1, rooms, theme)
        elif event.key in (pygame.K_RETURN, pygame.K_KP_ENTER, pygame.K_SPACE):
            return self._enter(rooms, theme)
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
            self.focus = Stop(Row("job", self.chosen)) if Stop(Row("job", self.chosen)) in stops else stops[0]
        self._follow(rooms, theme)

    def _step(self, step: int, rooms: Rooms, theme: Theme) -> None:
        """On to the next job, or back, from chapter to chapter."""
        self.chosen = (self.chosen + step) % len(self.jobs)
        self.opened = self._part_of(self.chosen)
        self.focus = Stop(Row("job", self.chosen))
        self._follow(rooms, theme)

    def _follow(self, rooms: Rooms, theme: Theme) -> None:
        """The row with the focus is seen, and a job that has it is chosen."""
        row = self.focus.row if self.focus is not None else None
        if row is None:
            return
        if row.kind == "job":
            self.chosen = row.number
        self._reveal(row, rooms, theme)

    def _enter(self, rooms: Rooms, theme: Theme) -> WindowCommand | None:
        if self.focus is None or self.focus.button == BEGIN:
            return self._opens()
        if self.focus.row is not None:
            return self._act(self.focus.row, rooms, theme)
        return window_button(self.focus.button)

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
        focused = self._focused(rooms, theme)
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

    def _focused(self, rooms: Rooms, theme: Theme) -> pygame.Rect | None:
        if self.focus is None:
            return None
        if self.focus.row is not None:
            return self.ledger(rooms, theme).places.get(self.focus.row)
        return self.places(rooms, theme).get(self.focus.button)
