"""Reading bench files: from text to a bench, or to everything that is wrong with it.

Reading has three stages: the text becomes plain tables within bounds (``toml_text``); each table becomes a thing, by
the fields that its class declares; and the things are checked against each other (``checking``). A thing with a fault
in it stays in place with a stand-in for the wrong value, so that one pass finds all there is to find.
"""

from __future__ import annotations

import contextlib
import dataclasses
import stat
from collections.abc import Collection, Mapping
from pathlib import Path
from typing import Any, TypeAlias, TypeVar

from sim.bench.checking import check, full_place
from sim.bench.faults import BenchFaults, Fault, Faults, TooManyFaults, at_key, shown
from sim.bench.fields import read_fields
from sim.bench.level import Level, Trial
from sim.bench.model import SINGLE_SUPPLY, Bench, Bus, Lamp, Motor, Polarity, Supply, Train, Vehicle, Wire
from sim.bench.piece import Piece
from sim.bench.shapes import Text, Whole
from sim.bench.toml_text import LARGEST_BYTES, DeepOrLarge, NotToml, tables

__all__ = ["FORMAT", "MOST", "Kinds", "load", "parse", "root_of", "text_of"]

Kinds: TypeAlias = Mapping[str, type[Piece]]
"""The class that reads each kind word of a [[track]] table."""

FORMAT = 1
"""The version of the file format."""

MOST = {
    "supply": 100,
    "track": 1000,
    "motor": 1000,
    "wire": 10_000,
    "polarity": 1000,
    "lamp": 1000,
    "vehicle": 1000,
    "train": 100,
}
"""How many tables of each sort a file may hold."""

_KEYS = (
    "bench",
    "title",
    "supply",
    "bus",
    "track",
    "motor",
    "wire",
    "polarity",
    "lamp",
    "vehicle",
    "train",
    "test",
    "level",
)


def load(path: str | Path, kinds: Kinds, chapters: Collection[str] | None = None) -> Bench:
    """The bench in a file. ``chapters``: those that a level may belong to; None where nobody lists them.

    Raises BenchFaults, whose lines begin with the path as given, also where the file cannot be read at all.
    """
    return parse(text_of(path), kinds, name=str(path), chapters=chapters)


def text_of(path: str | Path) -> str:
    """The text of a file. Raises BenchFaults where it cannot be read, is too large, or is not in UTF-8."""
    name = str(path)
    try:
        data = _bytes_of(path)
    except _Unreadable as error:
        raise BenchFaults(name, [error.fault]) from None
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        fault = Fault(f"line {line}", f"the byte 0x{data[error.start]:02x}", "text in UTF-8")
        raise BenchFaults(name, [fault]) from None


class _Unreadable(Exception):
    def __init__(self, found: str, expected: str = "a bench file") -> None:
        super().__init__(found)
        self.fault = Fault("", found, expected)


def _bytes_of(path: str | Path) -> bytes:
    """What is in the file; a file that is too large is not opened. Raises _Unreadable."""
    try:
        status = Path(path).stat()
        if stat.S_ISDIR(status.st_mode):
            raise _Unreadable("a directory")
        if not stat.S_ISREG(status.st_mode):
            raise _Unreadable("something that is not a file")
        if status.st_size > LARGEST_BYTES:
            raise _Unreadable(f"{status.st_size:,} bytes", "a bench file of at most 1 MB")
        with open(path, "rb") as file:
            return file.read(LARGEST_BYTES + 1)  # one more, should it have grown since: then parse refuses it
    except FileNotFoundError:
        raise _Unreadable("no such file") from None
    except PermissionError:
        raise _Unreadable("a file that may not be read") from None
    except OSError as error:
        raise _Unreadable(f"a file that cannot be read ({error.strerror})") from None
    except ValueError:  # a nought character in the path
        raise _Unreadable("a path that cannot be", "the path of a bench file") from None


def root_of(text: str, name: str) -> dict[str, Any]:
    """The tables of a TOML text. ``name`` is what messages call it. Raises BenchFaults where it is none."""
    try:
        return tables(text)
    except DeepOrLarge as error:
        raise BenchFaults(name, [Fault("", error.found, error.expected)]) from None
    except NotToml as error:
        raise BenchFaults(name, [error.fault]) from None


def parse(text: str, kinds: Kinds, *, name: str, chapters: Collection[str] | None = None) -> Bench:
    """The bench that a TOML text describes. ``name`` is what messages call it; ``chapters`` as in ``load``.

    Raises BenchFaults with everything that is wrong.
    """
    root = root_of(text, name)
    faults = Faults()
    bench = None
    with contextlib.suppress(TooManyFaults):
        bench = _Reader(root, kinds, faults, chapters).bench()
    if faults or bench is None:
        raise BenchFaults(name, faults.all())
    return bench


T = TypeVar("T", Motor, Wire, Polarity, Lamp, Vehicle, Train)
S = TypeVar("S", Bus, Trial, Level)


class _Reader:
    """One pass over the tables of a file."""

    def __init__(
        self, root: Mapping[str, Any], kinds: Kinds, faults: Faults, chapters: Collection[str] | None
    ) -> None:
        self.root = root
        self.kinds = kinds
        self.chapters = chapters
        self.faults = faults
        self.unclear: set[str] = set()
        self.incomplete = False

    def bench(self) -> Bench:
        for key in self.root:
            if key not in _KEYS:
                self.faults.add(at_key("", key), "an unknown key", f"one of {', '.join(_KEYS)}", like=key, known=_KEYS)
        if "bench" not in self.root:
            self.faults.add("bench", "nothing", f"the format version, bench = {FORMAT}")
        else:
            Whole(FORMAT, FORMAT).read(self.root["bench"], "bench", self.faults)
        supplies = self.supplies()
        bench = Bench(
            title=Text(200).read(self.root.get("title", ""), "title", self.faults),
            supplies=supplies,
            bus=self.single("bus", Bus),
            tracks=self.tracks(),
            motors=self.things("motor", Motor),
            wires=self.things("wire", Wire),
            polarities=self.things("polarity", Polarity),
            lamps=self.things("lamp", Lamp),
            vehicles=self.things("vehicle", Vehicle),
            trains=self.things("train", Train),
            test=getattr(self.single("test", Trial), "vehicles", None),
            level=self.level(),
        )
        bench = _placed(bench)
        if not self.incomplete:
            check(bench, self.faults, unclear=self.unclear)
        return bench

    def level(self) -> Level | None:
        level = self.single("level", Level)
        if level is not None and level.chapter and self.chapters is not None and level.chapter not in self.chapters:
            listed = ", ".join(shown(chapter) for chapter in self.chapters)
            expected = f"a chapter that is listed: {listed}"
            self.faults.add("level.chapter", shown(level.chapter), expected, like=level.chapter, known=self.chapters)
        return level

    def supplies(self) -> tuple[Supply, ...]:
        given = self.root.get("supply", [])
        if isinstance(given, Mapping):
            if "id" in given:
                self.faults.add("supply.id", shown(given["id"]), f"no id: a single [supply] is named {SINGLE_SUPPLY}")
            return (self.supply({**given, "id": SINGLE_SUPPLY}, "supply", unasked=("id",)),)
        if not isinstance(given, list):
            self.faults.add("supply", shown(given), "a table [supply]")
            return (Supply(SINGLE_SUPPLY, "dcc"),)
        if given and "bus" in self.root:
            self.faults.add("bus", "[bus] beside [[supply]]", "[bus] only with a single [supply]")
        return tuple(self.supply(table, path) for path, table in self.rows("supply"))

    def supply(self, table: Mapping[str, Any], path: str, unasked: tuple[str, ...] = ()) -> Supply:
        kind = table.get("kind")
        word = kind if isinstance(kind, str) else None
        return read_fields(Supply, table, path, self.faults, kind=word, unasked=unasked)

    def tracks(self) -> tuple[Piece, ...]:
        return tuple(self.piece(table, path) for path, table in self.rows("track"))

    def piece(self, table: Mapping[str, Any], path: str) -> Piece:
        kind = table.get("kind")
        if isinstance(kind, str) and kind in self.kinds:
            return read_fields(self.kinds[kind], table, path, self.faults, kind=kind)
        words = ", ".join(f'"{word}"' for word in self.kinds)
        like = kind if isinstance(kind, str) else ""
        self.faults.add(f"{path}.kind", shown(kind), f"one of {words}", like=like, known=tuple(self.kinds))
        # Which keys it should have is not known, but its name is, and what refers to it must not be blamed.
        stand_in = read_fields(Piece, {"id": table.get("id"), "kind": "unknown"}, path, self.faults)
        self.unclear.add(stand_in.id)
        return stand_in

    def things(self, key: str, cls: type[T]) -> tuple[T, ...]:
        read: list[T] = []
        for path, table in self.rows(key):
            before = len(self.faults)
            thing = read_fields(cls, table, path, self.faults)
            read.append(thing)
            if isinstance(thing, Motor) and any(".changeover" in fault.path for fault in self.faults.all()[before:]):
                self.unclear.add(thing.id)
        return tuple(read)

    def single(self, key: str, cls: type[S]) -> S | None:
        given = self.root.get(key)
        if isinstance(given, Mapping):
            return read_fields(cls, given, key, self.faults)
        if given is not None:
            self.faults.add(key, shown(given), f"one table [{key}]")
        return None

    def rows(self, key: str) -> list[tuple[str, Mapping[str, Any]]]:
        """The tables of one sort with their key paths. A row that is not a table is reported."""
        given = self.root.get(key, [])
        if not isinstance(given, list):
            self.faults.add(key, shown(given), f"[[{key}]] tables, in double brackets")
            return []
        if len(given) > MOST[key]:
            self.faults.add(key, f"{len(given):,} of them", f"at most {MOST[key]:,} [[{key}]] tables")
            self.incomplete = True
            return []
        rows = []
        for i, table in enumerate(given, 1):
            if isinstance(table, Mapping):
                rows.append((f"{key}[{i}]", table))
            else:
                self.faults.add(f"{key}[{i}]", shown(table), f"a [[{key}]] table")
                self.incomplete = True
        return rows


def _placed(bench: Bench) -> Bench:
    """The bench with what a file may leave short written out: where trains stand, and the full names of places."""
    trains = bench.trains
    if bench.tracks and bench.tracks[0].ENDS:
        first_end = f"{bench.tracks[0].id}.{bench.tracks[0].ENDS[0]}"
        trains = tuple(dataclasses.replace(train, end=train.end or first_end) for train in trains)
    level = bench.level
    if level is not None:
        gaps = _in_full(bench, level.allow.gaps, ("gap",))
        bonds = _in_full(bench, level.allow.bonds, ("bond", "jumper"))
        level = dataclasses.replace(level, allow=dataclasses.replace(level.allow, gaps=gaps, bonds=bonds))
    return dataclasses.replace(bench, trains=trains, level=level)


def _in_full(bench: Bench, names: bool | tuple[str, ...], kinds: tuple[str, ...]) -> bool | tuple[str, ...]:
    if isinstance(names, bool):
        return names
    pieces = {piece.id: piece for piece in bench.tracks}
    full = []
    for name in names:
        piece = pieces.get(name.partition(".")[0])
        place = full_place(piece.places(), name, kinds) if piece is not None else None
        full.append(name if place is None else place.name)
    return tuple(full)
