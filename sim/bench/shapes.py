"""What a value in a bench file may look like: one small class for each sort of value.

A shape says in words what it takes (``expected``), reads a plain value as the file gives it, and can supply a
``stand_in``: some value of the right sort, so that checking goes on after a wrong one was reported.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Protocol, runtime_checkable

from sim.bench.faults import Faults, at_key, shown
from sim.bench.table import Table

__all__ = [
    "Choice",
    "Either",
    "Entries",
    "ListOf",
    "Name",
    "Number",
    "OneOrMore",
    "Pair",
    "Shape",
    "Text",
    "Whole",
    "YesNo",
    "is_name",
    "is_seen",
]

_LONGEST_NAME = 60
_LONGEST_TEXT = 4000
_BARRED = frozenset("./:,;=#\"'`\\[]{}<>|")
"""Characters that a name may not have, since names are joined to longer ones (T1.stock.left, shunter:0) and quoted."""

_UNSEEN = re.compile(
    "[\\0-\\x1f\\x7f-\\x9f\\xad\\u034f\\u061c\\u115f\\u1160\\u17b4\\u17b5\\u180b-\\u180f\\u200b-\\u200f\\u202a-\\u202e"
    "\\u2060-\\u206f\\u2800\\u3164\\ufe00-\\ufe0f\\ufeff\\uffa0\\ufff0-\\ufffb\\U0001bca0-\\U0001bca3"
    "\\U0001d173-\\U0001d17a\\U000e0000-\\U000e0fff]"
)
"""Characters that leave no mark: those with the property Default_Ignorable_Code_Point (Unicode's
DerivedCoreProperties.txt), control characters, the marks of interlinear notes, the Braille pattern without a dot."""


@runtime_checkable
class Shape(Protocol):
    """One sort of value."""

    @property
    def expected(self) -> str:
        """In words, what would be right, as it ends the sentence "expected …"."""

    @property
    def stand_in(self) -> Any:
        """A value of this sort to go on with after a fault."""

    def takes(self, value: object) -> bool:
        """Whether the value is of the right type; it may still be out of range."""

    def read(self, value: object, path: str, faults: Faults) -> Any:
        """The value as the bench holds it; what is wrong is noted in ``faults`` and the stand-in given instead."""


def is_seen(text: str) -> bool:
    """Whether anything of a text can be seen: it holds more than blanks and characters that leave no mark."""
    return bool(_UNSEEN.sub("", text).strip())


def is_name(text: str) -> bool:
    """Whether the text can name a thing on the bench (an id, a letter on a terminal strip)."""
    fit = 0 < len(text) <= _LONGEST_NAME and text == text.strip() and text.isprintable()
    return fit and _BARRED.isdisjoint(text) and is_seen(text)


@dataclass(frozen=True)
class YesNo:
    """true or false."""

    expected: str = "true or false"
    stand_in: bool = False

    def takes(self, value: object) -> bool:
        return isinstance(value, bool)

    def read(self, value: object, path: str, faults: Faults) -> bool:
        if isinstance(value, bool):
            return value
        faults.add(path, shown(value), self.expected)
        return self.stand_in


@dataclass(frozen=True)
class Number:
    """A finite number from ``low`` to ``high``, both included unless ``above`` excludes ``low``; read as float."""

    low: float
    high: float
    unit: str = ""
    above: bool = False

    @property
    def expected(self) -> str:
        unit = f" {self.unit}" if self.unit else ""
        span = f"above {self.low:g} up to {self.high:g}" if self.above else f"from {self.low:g} to {self.high:g}"
        return f"a number {span}{unit}"

    @property
    def stand_in(self) -> float:
        return self.high if self.above else self.low

    def takes(self, value: object) -> bool:
        return isinstance(value, int | float) and not isinstance(value, bool)

    def read(self, value: object, path: str, faults: Faults) -> float:
        if (
            isinstance(value, int | float)
            and not isinstance(value, bool)
            and self.low <= value <= self.high
            and not (self.above and value == self.low)
        ):
            return float(value) + 0.0  # minus nought is nought
        faults.add(path, shown(value), self.expected)
        return self.stand_in


@dataclass(frozen=True)
class Whole:
    """A whole number from ``low`` to ``high``, both included."""

    low: int
    high: int
    unit: str = ""

    @property
    def expected(self) -> str:
        unit = f" {self.unit}" if self.unit else ""
        if self.low == self.high:
            return f"the whole number {self.low}{unit}"
        return f"a whole number from {self.low} to {self.high}{unit}"

    @property
    def stand_in(self) -> int:
        return self.low

    def takes(self, value: object) -> bool:
        return isinstance(value, int) and not isinstance(value, bool)

    def read(self, value: object, path: str, faults: Faults) -> int:
        if isinstance(value, int) and not isinstance(value, bool) and self.low <= value <= self.high:
            return value
        faults.add(path, shown(value), self.expected)
        return self.stand_in


@dataclass(frozen=True)
class Text:
    """Text in quotation marks, of at most ``longest`` characters; ``empty`` says whether it may hold none to be seen.

    ``what`` it is, and what it may look ``like``, are for messages.
    """

    longest: int = _LONGEST_TEXT
    empty: bool = True
    what: str = "text"
    like: str = ""
    stand_in: str = ""

    @property
    def expected(self) -> str:
        if self.like:
            return f'{self.what}, like "{self.like}"'
        return f"{self.what} in quotation marks, {'up' if self.empty else '1'} to {self.longest} characters"

    def takes(self, value: object) -> bool:
        return isinstance(value, str)

    def read(self, value: object, path: str, faults: Faults) -> str:
        if isinstance(value, str) and len(value) <= self.longest and (self.empty or is_seen(value)):
            return value
        found = shown(value)
        if isinstance(value, str) and value:
            found = f"text of {len(value)} characters" if is_seen(value) else "text of which nothing can be seen"
        faults.add(path, found, self.expected)
        return self.stand_in


@dataclass(frozen=True)
class Name:
    """A name: an id, a letter on a terminal strip, the name of a tap."""

    stand_in: str = ""
    expected: str = f"a name in quotation marks: 1 to {_LONGEST_NAME} letters, digits, blanks, - or _"

    def takes(self, value: object) -> bool:
        return isinstance(value, str)

    def read(self, value: object, path: str, faults: Faults) -> str:
        if isinstance(value, str) and is_name(value):
            return value
        unseen = isinstance(value, str) and value and not is_seen(value)
        faults.add(path, "a name of which nothing can be seen" if unseen else shown(value), self.expected)
        return self.stand_in


class Choice:
    """One of a few words."""

    def __init__(self, *words: str) -> None:
        self.words = words

    def __repr__(self) -> str:
        return f"Choice{self.words!r}"

    @property
    def expected(self) -> str:
        quoted = [f'"{word}"' for word in self.words]
        return quoted[0] if len(quoted) == 1 else ", ".join(quoted[:-1]) + f" or {quoted[-1]}"

    @property
    def stand_in(self) -> str:
        return self.words[0]

    def takes(self, value: object) -> bool:
        return isinstance(value, str)

    def read(self, value: object, path: str, faults: Faults) -> str:
        if isinstance(value, str) and value in self.words:
            return value
        like = value if isinstance(value, str) else ""
        faults.add(path, shown(value), self.expected, like=like, known=self.words)
        return self.stand_in


@dataclass(frozen=True)
class ListOf:
    """A list of at most ``longest`` values of one sort, read as tuple; ``least`` of them at least."""

    of: Shape
    longest: int = 1000
    least: int = 0
    each_once: bool = False

    @property
    def expected(self) -> str:
        count = f"{self.least} to {self.longest}" if self.least else f"at most {self.longest}"
        return f"a list of {count}, each {self.of.expected}" + (", none of them twice" if self.each_once else "")

    @property
    def stand_in(self) -> tuple[Any, ...]:
        return (self.of.stand_in,) * self.least

    def takes(self, value: object) -> bool:
        return isinstance(value, list)

    def read(self, value: object, path: str, faults: Faults) -> tuple[Any, ...]:
        if not isinstance(value, list) or not self.least <= len(value) <= self.longest:
            faults.add(path, shown(value), self.expected)
            return self.stand_in
        before = len(faults)
        read = tuple(self.of.read(item, f"{path}[{i}]", faults) for i, item in enumerate(value, 1))
        if self.each_once and len(faults) == before:
            seen: set[Any] = set()
            for i, item in enumerate(read, 1):
                if item in seen:
                    faults.add(f"{path}[{i}]", f"{shown(item)} a second time", "each one once")
                seen.add(item)
        return read


@dataclass(frozen=True)
class OneOrMore:
    """A value by itself, or a list of at most ``longest`` of its sort, none twice; read as tuple either way."""

    of: Shape
    longest: int = 1000

    @property
    def expected(self) -> str:
        return f"{self.of.expected}, or a list of at most {self.longest} such, none of them twice"

    @property
    def stand_in(self) -> tuple[Any, ...]:
        return ()

    def takes(self, value: object) -> bool:
        return isinstance(value, list) or self.of.takes(value)

    def read(self, value: object, path: str, faults: Faults) -> tuple[Any, ...]:
        if isinstance(value, list):
            return ListOf(self.of, self.longest, each_once=True).read(value, path, faults)
        if self.of.takes(value):
            before = len(faults)
            read = self.of.read(value, path, faults)
            return (read,) if len(faults) == before else self.stand_in
        faults.add(path, shown(value), self.expected)
        return self.stand_in

    def written(self, values: list[Any]) -> Any:
        """Plain values as a file holds them: one by itself, several as a list."""
        return values[0] if len(values) == 1 else values


@dataclass(frozen=True)
class Pair:
    """A list of exactly two values of one sort, read as tuple."""

    of: Shape

    @property
    def expected(self) -> str:
        return f"a list of two, each {self.of.expected}"

    @property
    def stand_in(self) -> tuple[Any, Any]:
        return (self.of.stand_in, self.of.stand_in)

    def takes(self, value: object) -> bool:
        return isinstance(value, list)

    def read(self, value: object, path: str, faults: Faults) -> tuple[Any, Any]:
        if isinstance(value, list) and len(value) == 2:
            return (self.of.read(value[0], f"{path}[1]", faults), self.of.read(value[1], f"{path}[2]", faults))
        faults.add(path, shown(value), self.expected)
        return self.stand_in


@dataclass(frozen=True)
class Entries:
    """A table whose values are all of one sort, read as Table.

    ``keys``: the keys that may stand in it, or None where the file names them itself (each must then be a name);
    ``longest``: how many there may be.
    """

    of: Shape
    keys: tuple[str, ...] | None = None
    longest: int = 1000

    @property
    def expected(self) -> str:
        if self.keys is None:
            return f"a table of names, for each {self.of.expected}"
        keys = [at_key("", key) for key in self.keys]
        return f"a table of {', '.join(keys[:-1])} and {keys[-1]}, for each {self.of.expected}"

    @property
    def stand_in(self) -> Table[str, Any]:
        return Table()

    def takes(self, value: object) -> bool:
        return isinstance(value, Mapping)

    def read(self, value: object, path: str, faults: Faults) -> Table[str, Any]:
        if not isinstance(value, Mapping) or len(value) > self.longest:
            faults.add(path, shown(value), self.expected)
            return self.stand_in
        items = {}
        for key, item in value.items():
            if self.keys is not None and key not in self.keys:
                known = ", ".join(at_key("", word) for word in self.keys)
                faults.add(at_key(path, key), "an unknown key", f"one of {known}", like=key, known=self.keys)
            elif self.keys is None and not is_name(key):
                faults.add(at_key(path, key), f"the name {shown(key)}", Name.expected)
            else:
                items[key] = self.of.read(item, at_key(path, key), faults)
        return Table(items)


class Either:
    """A value of one of several sorts, told apart by their type."""

    def __init__(self, *sorts: Shape) -> None:
        self.sorts = sorts

    def __repr__(self) -> str:
        return f"Either{self.sorts!r}"

    @property
    def expected(self) -> str:
        return ", or ".join(sort.expected for sort in self.sorts)

    @property
    def stand_in(self) -> Any:
        return self.sorts[0].stand_in

    def takes(self, value: object) -> bool:
        return any(sort.takes(value) for sort in self.sorts)

    def read(self, value: object, path: str, faults: Faults) -> Any:
        for sort in self.sorts:
            if sort.takes(value):
                return sort.read(value, path, faults)
        faults.add(path, shown(value), self.expected)
        return self.stand_in
