"""What is wrong with a bench file, as values; and the collector that finds all of it in one pass."""

from __future__ import annotations

import difflib
import json
import math
from collections.abc import Collection, Mapping
from dataclasses import dataclass

__all__ = ["BenchFaults", "Fault", "Faults", "TooManyFaults", "at_key", "shown"]

_SHOWN = 48
"""Longest text of a file quoted in a message, in characters."""

_MOST = 1000
"""Faults told of one file. Reading ends there: nobody reads further, and a hostile file gains nothing."""

_COMPARISONS = 3_000_000
"""Pairs of letters compared, for one file, while looking for the nearest known names: a third of a second or so."""


@dataclass(frozen=True)
class Fault:
    """One thing that is wrong.

    ``path``: where, as ``track[2].joins.a``; tables that come in rows are counted from 1. "" is the file itself.
    ``found``, ``expected``: in words. ``nearest``: the known name most like the one found, or None.
    """

    path: str
    found: str
    expected: str
    nearest: str | None = None

    def __str__(self) -> str:
        where = f"{self.path}: " if self.path else ""
        hint = "" if self.nearest is None else f" (nearest known name: {self.nearest})"
        return f"{where}found {self.found}, expected {self.expected}{hint}"


class BenchFaults(ValueError):
    """A bench that cannot be used, with all its ``faults``. Its text is a line for each, beginning with ``name``."""

    def __init__(self, name: str, faults: Collection[Fault]) -> None:
        self.name = name
        self.faults = tuple(faults)
        shown_name = "".join(c if c.isprintable() else "?" for c in name)
        super().__init__("\n".join(f"{shown_name}: {fault}" for fault in self.faults))

    def __reduce__(self) -> tuple[type[BenchFaults], tuple[str, tuple[Fault, ...]]]:
        return (type(self), (self.name, self.faults))


class TooManyFaults(Exception):
    """Raised by the collector when it is full; the reader stops and reports what it has."""


class Faults:
    """Collects faults while a bench is read or checked."""

    def __init__(self) -> None:
        self._found: list[Fault] = []
        self._seen: set[tuple[str, str]] = set()
        self._comparisons = _COMPARISONS

    def __len__(self) -> int:
        return len(self._found)

    def __bool__(self) -> bool:
        return bool(self._found)

    def all(self) -> tuple[Fault, ...]:
        """Everything found so far, in the order found."""
        return tuple(self._found)

    def add(
        self,
        path: str,
        found: str,
        expected: str,
        *,
        like: str = "",
        known: Collection[str] = (),
        nearest: str | None = None,
    ) -> None:
        """Note a fault. ``like`` is the name that was not known, ``known`` the names it may have been meant for; or
        ``nearest`` is the one of them already found.

        Raises TooManyFaults when no more can be taken.
        """
        if (path, expected) in self._seen:
            return
        if len(self._found) >= _MOST:
            self._found.append(Fault("", f"more than {_MOST} faults", "these put right first; the rest was not read"))
            raise TooManyFaults
        self._seen.add((path, expected))
        if like:
            nearest = self.nearest(like, known)
        self._found.append(Fault(path, found, expected, nearest))

    def nearest(self, name: str, known: Collection[str]) -> str | None:
        """The known name most like this one; None if none is, or if looking for them has already cost enough."""
        cost = len(name) * sum(map(len, known))
        if cost > self._comparisons:
            return None
        self._comparisons -= cost
        folded = {word.casefold(): word for word in known}
        close = difflib.get_close_matches(name.casefold(), folded, n=1, cutoff=0.5)
        return folded[close[0]] if close else None


def at_key(path: str, key: str) -> str:
    """The key path of ``key`` in the table at ``path``; a key that is not a plain word is put in quotation marks."""
    plain = key.isascii() and key.replace("-", "").replace("_", "").isalnum()
    word = key if plain and len(key) <= _SHOWN else shown(key)
    return f"{path}.{word}" if path else word


def shown(value: object) -> str:
    """A value of a file as a message quotes it: on one line and not too long.

    >>> shown("frog")
    '"frog"'
    >>> shown([1, 2])
    'a list of 2'
    """
    match value:
        case bool():
            return "true" if value else "false"
        case str():
            text = json.dumps(value[: 2 * _SHOWN], ensure_ascii=False)
            return _cut("".join(c if c.isprintable() else f"\\u{ord(c):04x}" for c in text))
        case int():
            # Python refuses to write out whole numbers of thousands of digits.
            sign = "-" if value < 0 else ""
            return str(value) if abs(value) < 10**15 else f"a number near {sign}1e{round(math.log10(abs(value)))}"
        case float():
            return "nan" if math.isnan(value) else repr(value)
        case Mapping():
            return "a table" if value else "an empty table"
        case list() | tuple():
            return f"a list of {len(value)}" if value else "an empty list"
        case None:
            return "nothing"
        case _:
            return _cut(f"a {type(value).__name__}: {value}")


def _cut(text: str) -> str:
    return text if len(text) <= _SHOWN else text[: _SHOWN - 4] + "..." + text[-1]
