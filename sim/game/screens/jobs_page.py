"""The front door: the list of jobs chapter by chapter, and beside it the chosen job's own turnout, alive."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from typing import NamedTuple

import pygame

from sim.game.draw.instruments.top_rail import TopItem, top_rail
from sim.game.draw.pages.door import begin_button, begin_least, takes_words
from sim.game.draw.pages.ledger import Job, Listed, Row, ledger, ledger_rows, note_card, note_height, rows_of
from sim.game.draw.pen.arrangement import Arrangement
from sim.game.draw.pen.ink import Sprite
from sim.game.draw.pen.marks import focus_frame
from sim.game.front.doorway import DoorRooms, door_rooms
from sim.game.front.showing import Showing
from sim.game.look.fonts import Type
from sim.game.look.theme import Theme
from sim.game.paper.view import Rooms
from sim.game.screens.listing import jobs_on_file, own_benches, parts_of, wrong_note
from sim.game.screens.marksbook import Kept
from sim.syllabus import course

__all__ = ["BEGIN", "TOP", "JobsScreen", "Stop"]

TOP = (
    TopItem("open", "Open a file", "folder", True),
    TopItem("track", "Test track", "turnout", True),
    TopItem("keys", "Keys", "F1", True), TopItem("settings", "Settings", "gear", True),
)  # fmt: skip
BEGIN = "begin"
_ENTER = "or press Enter"
_APART = 24.0


class Stop(NamedTuple):
    """Where the keyboard's focus can be: a row of the list, or a button by its name."""

    row: Row | None = None
    button: str = ""


class JobsScreen:
    """The list; `note` is a slip in red beside it, for a file that could not be opened."""

    def __init__(
        self, best: Mapping[str, Kept] | None = None, note: str = "", recent: Sequence[str] = (),
        left: Collection[str] = (), *, calm: bool = False,
    ) -> None:  # fmt: skip
        """`recent`: bench files opened or saved lately, the last one first; `left`: those with something unsaved.

        calm: reduced motion, nothing moves
        """
        self.jobs: tuple[Job, ...] = (*jobs_on_file(best, left), *own_benches(recent, left))
        self.parts = parts_of(self.jobs)
        self.note = note or wrong_note(course())
        self.chosen = next((k for k, job in enumerate(self.jobs) if not job.done and not job.command), 0)
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

    def rows(self, rooms: Rooms, theme: Theme) -> dict[Row, pygame.Rect]:
        """Where the rows that are seen lie."""
        box = door_rooms(rooms).sheet
        kind = Type(theme, rooms.unit)
        return ledger_rows((box.x, box.y, box.width, box.height), kind, self.parts, self.opened, self.first)

    def places(self, rooms: Rooms, theme: Theme) -> dict[str, pygame.Rect]:
        """Where everything lies that can be pointed at: chapters, jobs, the large button, those of the top rail."""
        named = {self._name(row): rect for row, rect in self.rows(rooms, theme).items()}
        return {**named, BEGIN: self._begin_box(rooms, theme), **self._buttons(rooms, theme)}

    def _name(self, row: Row) -> str:
        return self.jobs[row.number].name if row.kind == "job" else f"chapter {self.parts[row.number].title}"

    def _buttons(self, rooms: Rooms, theme: Theme) -> dict[str, pygame.Rect]:
        return self._top(rooms, theme).places

    @staticmethod
    def _top(rooms: Rooms, theme: Theme) -> Arrangement[str]:
        box = (rooms.top.x, rooms.top.y, rooms.top.width, rooms.top.height)
        return top_rail(box, rooms.unit, theme, TOP, "frogbench", "powering turnout frogs")

    def _begin_box(self, rooms: Rooms, theme: Theme) -> pygame.Rect:
        """The large button, as wide as its words need."""
        box = door_rooms(rooms).begin.copy()
        kind = Type(theme, rooms.unit)
        beside = max(kind.width(words, role) for words, role in self._beside) + _APART * rooms.unit
        room = door_rooms(rooms).words.width - beside
        box.width = round(max(begin_least(kind, self._begin_words), min(box.width, room)))
        return box

    @property
    def _beside(self) -> tuple[tuple[str, str], ...]:
        """What stands beside the large button: how long the job takes, and the key that begins it."""
        lines = ((takes_words(self.job.minutes), "body"), (_ENTER, "mark"))
        return tuple(line for line in lines if line[0])

    @property
    def _begin_words(self) -> str:
        """What the large button says: whether the job is new, half done, or a bench of one's own."""
        return "Open" if self.job.command else "Go on" if self.job.standing else "Begin"

    def handle(self, event: pygame.event.Event, rooms: Rooms, theme: Theme) -> str:
        """Take an event."""
        if event.type in (pygame.MOUSEMOTION, pygame.MOUSEBUTTONDOWN, pygame.KEYDOWN, pygame.MOUSEWHEEL):
            self._showing.wake()
        if event.type == pygame.MOUSEMOTION:
            self._under = self._row_at(event.pos, rooms, theme)
            self._over_begin = self._begin_box(rooms, theme).collidepoint(event.pos)
        elif event.type == pygame.MOUSEBUTTONDOWN and event.button == 1:
            return self._click(event.pos, rooms, theme)
        elif event.type == pygame.MOUSEWHEEL:
            self._turn(-event.y, rooms, theme)
        elif event.type == pygame.KEYDOWN:
            return self._key(event, rooms, theme)
        return ""

    def _row_at(self, at: tuple[int, int], rooms: Rooms, theme: Theme) -> Row | None:
        return next((row for row, rect in self.rows(rooms, theme).items() if rect.collidepoint(at)), None)

    def _click(self, at: tuple[int, int], rooms: Rooms, theme: Theme) -> str:
        """A click chooses a row, a second one on it begins; on a heading it opens the chapter, or closes it."""
        self.focus = None
        if self._begin_box(rooms, theme).collidepoint(at):
            return self._opens()
        row = self._row_at(at, rooms, theme)
        if row is not None:
            return self._act(row, rooms, theme)
        return next((name for name, rect in self._buttons(rooms, theme).items() if rect.collidepoint(at)), "")

    def _act(self, row: Row, rooms: Rooms, theme: Theme) -> str:
        if row.kind == "chapter":
            self._open_part(None if row.number == self.opened else row.number, rooms, theme)
            return ""
        if row.number == self.chosen:
            return self._opens()
        self.chosen = row.number
        return ""

    def _opens(self) -> str:
        """The command that opens the chosen job."""
        return self.job.command or f"open {self.job.name}"

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
        return rows_of(self.parts, self.opened)[-1] in self.rows(rooms, theme)

    def _stops(self) -> list[Stop]:
        """Everything that Tab comes to, in reading order: the list, the large button, the top rail."""
        rows = [Stop(row) for row in rows_of(self.parts, self.opened)]
        return [*rows, Stop(button=BEGIN), *(Stop(button=item.name) for item in TOP)]

    def _key(self, event: pygame.event.Event, rooms: Rooms, theme: Theme) -> str:
        if event.key == pygame.K_TAB:
            self._tab(-1 if getattr(event, "mod", 0) & pygame.KMOD_SHIFT else 1, rooms, theme)
        elif event.key in (pygame.K_DOWN, pygame.K_UP):
            self._step(1 if event.key == pygame.K_DOWN else -1, rooms, theme)
        elif event.key in (pygame.K_RETURN, pygame.K_KP_ENTER, pygame.K_SPACE):
            return self._enter(rooms, theme)
        elif event.key == pygame.K_DELETE and self.job.command.startswith("file "):
            return f"unlist {self.job.name}"
        elif event.key == pygame.K_a:
            return "track"
        elif event.key == pygame.K_ESCAPE:
            return "leave"
        return ""

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

    def _enter(self, rooms: Rooms, theme: Theme) -> str:
        if self.focus is None or self.focus.button == BEGIN:
            return self._opens()
        if self.focus.row is not None:
            return self._act(self.focus.row, rooms, theme)
        return self.focus.button

    def _reveal(self, row: Row, rooms: Rooms, theme: Theme) -> None:
        """Turn the list so that a row is on the sheet."""
        rows = rows_of(self.parts, self.opened)
        number = rows.index(row)
        self.first = min(self.first, number)
        while self.first < number and row not in self.rows(rooms, theme):
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
        out.append(self._button(door, rooms, theme))
        out += self._takes(rooms, theme)
        box = (door.sheet.x, door.sheet.y, door.sheet.width, door.sheet.height)
        listed = Listed(self.jobs, self.parts, self.opened, self.first, self.chosen, self._under)
        out.append(ledger(box, unit, theme, listed))
        if note is not None:
            out.append(note)
        out.append(self._top(rooms, theme).sprite)
        focused = self._focused(rooms, theme)
        if focused is not None:
            out.append(focus_frame((focused.x, focused.y, focused.width, focused.height), 8 * unit, unit, theme))
        return out

    @property
    def _place(self) -> str:
        """Where the chosen job stands: "First frog, job 3 of 9"; of a bench of one's own the heading alone."""
        part = self.parts[self._part_of(self.chosen)]
        if self.job.command:
            return part.title
        return f"{part.title}, job {self.job.number} of {part.last - part.first + 1}"

    def _button(self, door: DoorRooms, rooms: Rooms, theme: Theme) -> Sprite:
        box = self._begin_box(rooms, theme)
        place = (box.x, box.y, box.width, box.height)
        return begin_button(place, door.unit, theme, self._begin_words, self._over_begin)

    def _takes(self, rooms: Rooms, theme: Theme) -> list[Sprite]:
        """The words beside the large button."""
        kind = Type(theme, rooms.unit)
        box = self._begin_box(rooms, theme)
        y = box.centery - sum(kind.height(role) for _, role in self._beside) / 2
        out = []
        for words, role in self._beside:
            colour = theme["label" if role == "body" else "printing"]
            out.append(Sprite(kind.line(words, role, colour), box.right + round(_APART * rooms.unit), round(y)))
            y += kind.height(role)
        return out

    def _note(self, door: DoorRooms, theme: Theme) -> Sprite:
        unit = door.unit
        kind = Type(theme, unit)
        width = round(min(door.words.width, 420 * unit))
        top = door.mat.y + round(24 * unit)
        high = min(note_height(unit, kind, self.note, width), round(160 * unit))
        return note_card((door.words.x, top, width, high), unit, theme, self.note)

    def _focused(self, rooms: Rooms, theme: Theme) -> pygame.Rect | None:
        if self.focus is None:
            return None
        if self.focus.row is not None:
            return self.rows(rooms, theme).get(self.focus.row)
        return self.places(rooms, theme).get(self.focus.button)
