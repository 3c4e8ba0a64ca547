"""The file dialogue without a disk or a screen: what lies in a folder, where the cursor is, the name being typed."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Literal, NamedTuple

__all__ = ["ENDING", "Entry", "Files", "Line", "Listing", "Place", "Purpose", "in_order", "shown"]

ENDING = ".toml"
Purpose = Literal["open", "save"]
_LONGEST = 120
"""Signs of a name; more would not fit on most disks."""


class Entry(NamedTuple):
    """A folder, or a bench file."""

    name: str
    folder: bool = False


class Place(NamedTuple):
    """A folder that one click leads to."""

    words: str
    folder: Path


@dataclass(frozen=True)
class Listing:
    """What lies in a folder; `fault`: why it cannot be read, or empty."""

    folder: Path
    entries: tuple[Entry, ...] = ()
    fault: str = ""

    def __hash__(self) -> int:
        """Known by little, since there may be thousands of entries."""
        return hash((self.folder, len(self.entries), self.fault))


def in_order(entries: Iterable[Entry]) -> tuple[Entry, ...]:
    """Folders first, each sort by its name, large and small letters alike."""
    return tuple(sorted(entries, key=lambda entry: (not entry.folder, entry.name.casefold(), entry.name)))


def shown(name: str) -> str:
    """A name as it can be shown: signs that have no picture, or that are none, are replaced."""
    return "".join(sign if sign.isprintable() else "\ufffd" for sign in name)


@dataclass(frozen=True)
class Line:
    """A line of text that is being typed, and where the next sign goes: before the sign of that number.

    marked: all of it is marked: what is typed next takes its place
    """

    text: str = ""
    caret: int = 0
    marked: bool = False

    def typed(self, text: str) -> Line:
        """With text put in, in the place of what is marked; signs that no name has are left out."""
        if self.marked and any(sign.isprintable() for sign in text):
            return Line().typed(text)
        clean = "".join(sign for sign in text if sign.isprintable())[: _LONGEST - len(self.text)]
        return Line(self.text[: self.caret] + clean + self.text[self.caret :], self.caret + len(clean))

    def rubbed(self, *, ahead: bool) -> Line:
        """Without what is marked, or else without the sign before the caret, or the one after it."""
        if self.marked:
            return Line()
        if ahead:
            return replace(self, text=self.text[: self.caret] + self.text[self.caret + 1 :])
        if self.caret == 0:
            return self
        return Line(self.text[: self.caret - 1] + self.text[self.caret :], self.caret - 1)

    def moved(self, to: int) -> Line:
        """With the caret elsewhere, as far as the text goes."""
        return replace(self, caret=min(max(0, to), len(self.text)), marked=False)

    @property
    def parted(self) -> tuple[str, str]:
        """What stands before the caret, and what behind it."""
        return self.text[: self.caret], self.text[self.caret :]

    def all_marked(self) -> Line:
        """With all of it marked, the caret at its end."""
        return Line(self.text, len(self.text), bool(self.text))


@dataclass(frozen=True)
class Files:
    """The dialogue.

    purpose: to open a bench, or to save one
    places: folders that one click leads to
    chosen: number of the entry under the cursor, -1 for none; first: of the uppermost one that is seen
    name: what is typed (to save)
    focus: what the keyboard acts on: "place K", "up", "list", "name", "cancel" or "go"
    fault: what went wrong last, or empty
    """

    purpose: Purpose
    listing: Listing
    places: tuple[Place, ...] = ()
    chosen: int = -1
    first: int = 0
    name: Line = field(default_factory=Line)
    focus: str = "list"
    fault: str = ""
    sought: str = ""

    @property
    def wrong(self) -> str:
        """Why what was chosen could not be done, or the folder not be read, or empty."""
        return self.fault or self.listing.fault

    @property
    def stops(self) -> tuple[str, ...]:
        """Everything that Tab comes to, in reading order."""
        places = tuple(f"place {k}" for k in range(len(self.places)))
        name = ("name",) if self.purpose == "save" else ()
        return (*places, "up", "list", *name, "cancel", "go")

    @property
    def entry(self) -> Entry | None:
        """The entry under the cursor."""
        return self.listing.entries[self.chosen] if 0 <= self.chosen < len(self.listing.entries) else None

    def entered(self, listing: Listing, came_from: str = "") -> Files:
        """In another folder, the cursor on the entry that one came from, or on the first."""
        chosen = next((k for k, entry in enumerate(listing.entries) if entry.name == came_from), 0)
        chosen = chosen if listing.entries else -1
        return replace(self, listing=listing, chosen=chosen, first=0, fault="", sought="")

    def tabbed(self, by: int) -> Files:
        """The focus on the next stop, or on the one before."""
        stops = self.stops
        return replace(self, focus=stops[(stops.index(self.focus) + by) % len(stops)], sought="")

    def moved(self, by: int, rows: int) -> Files:
        """The cursor so many entries further, in sight of a list of so many rows."""
        return self.set_on(max(0, self.chosen) + by if self.chosen >= 0 else 0, rows)

    def set_on(self, number: int, rows: int) -> Files:
        """The cursor on that entry, or the nearest there is, in sight. To save, a file under it gives the name."""
        count = len(self.listing.entries)
        if not count:
            return self
        chosen = min(max(0, number), count - 1)
        first = min(max(self.first, chosen - rows + 1), chosen)
        entry = self.listing.entries[chosen]
        name = self.name
        if self.purpose == "save" and not entry.folder:
            name = Line(entry.name, len(entry.name))
        return replace(self, chosen=chosen, first=first, name=name, fault="", sought="")

    def turned(self, by: int, rows: int) -> Files:
        """The list turned by so many rows; the cursor stays."""
        most = max(0, len(self.listing.entries) - rows)
        return replace(self, first=min(max(0, self.first + by), most))

    def seeking(self, text: str, rows: int) -> Files:
        """The cursor on the first entry that begins with what has been typed of late, or with this sign alone."""
        for sought in (self.sought + text, text):
            found = next(
                (k for k, e in enumerate(self.listing.entries) if e.name.casefold().startswith(sought.casefold())), None
            )
            if found is not None:
                return replace(self.set_on(found, rows), sought=sought)
        return replace(self, sought="")

    def target(self) -> Path | str:
        """The file that is meant by the name typed, or what is wrong with the name."""
        name = self.name.text.strip()
        if not name or name == ENDING:
            return "Type a name first."
        if name.startswith("."):
            return "A name that begins with a dot would be hidden here."
        bad = next((sign for sign in '/\\:*?"<>|' if sign in name), None)
        if bad is not None:
            return f"A name has no {bad} in it."
        return self.listing.folder / (name if name.lower().endswith(ENDING) else name + ENDING)
