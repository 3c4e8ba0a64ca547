"""From the text of a file to plain tables, within bounds: no text can make this slow, large or deep.

``tomllib`` goes one call deeper for each bracket and keeps about a kilobyte of notes for each table and key part, so
the text is measured first, by its marks outside strings and comments, and refused unparsed where it is beyond measure.
"""

from __future__ import annotations

import re
import tomllib
from typing import Any, NamedTuple

from sim.bench.faults import Fault

__all__ = ["LARGEST_BYTES", "DeepOrLarge", "NotToml", "measure", "tables"]

LARGEST_BYTES = 1_000_000
"""A longer file is refused unread."""

_DEEPEST = 16
"""Levels of nesting, of brackets or of the parts of one key."""

# A bench of 10,000 wires and 1,000 pieces of track in 1 MB stays below each of these.
_MOST_HEADERS = 40_000
_MOST_WORK = 400_000
_MOST_DOTTED = 40_000

# A string (the four sorts of TOML), a comment, or a mark that matters. A quotation mark that begins no whole string is
# a mark by itself: the parser stops there, so nothing after it needs measuring.
_TOKEN = re.compile(
    r'"""(?:[^"\\]++|\\.|"(?!""))*+"""(?:"{1,2}+)?+|"""'
    r"|'''(?:[^']++|'(?!''))*+'''(?:'{1,2}+)?+|'''"
    r'|"(?:[^"\\\n]++|\\.)*+"'
    r"|'[^'\n]*+'"
    r"|\#[^\n]*+"
    r"|[\[\]{}=,.\n\"']",
    re.DOTALL,
)

_OPENING = frozenset("[{")
_CLOSING = frozenset("]}")
_PARTING = frozenset("=,\n")
_UNCLOSED = frozenset(('"', "'", '"""', "'''"))


class DeepOrLarge(ValueError):
    """The text holds more, or deeper, than any bench. Its text says what was ``found``; ``expected`` what may be."""

    def __init__(self, found: str, expected: str) -> None:
        super().__init__(found)
        self.found = found
        self.expected = expected


class NotToml(ValueError):
    """The text is not TOML; ``fault`` says where and why."""

    def __init__(self, fault: Fault) -> None:
        super().__init__(str(fault))
        self.fault = fault


def tables(text: str) -> dict[str, Any]:
    """The plain tables of a TOML text.

    Raises DeepOrLarge, or NotToml.
    """
    measure(text)
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise NotToml(_syntax_fault(str(error), text)) from None
    except ValueError:
        # Python refuses whole numbers of more than 4300 digits before TOML does.
        raise NotToml(Fault("", "a number of thousands of digits", "numbers within the range of their keys")) from None


def measure(text: str) -> None:
    """Walk over the marks of a TOML text and raise DeepOrLarge where it goes beyond any bench.

    Only what stands before the first error of syntax counts, and that is all that the parser will see.
    """
    if len(text) > LARGEST_BYTES or (not text.isascii() and len(text.encode("utf-8", "replace")) > LARGEST_BYTES):
        raise DeepOrLarge(f"more than {LARGEST_BYTES:,} bytes", "a bench file of at most 1 MB")
    depth = dots = headers = parts = work = dotted = 0
    line_begins = True
    in_header = False
    for token in _TOKEN.finditer(text):
        mark = token[0]
        if mark in _OPENING:
            if line_begins and depth == 0:
                headers += 1
                in_header = True
            depth += 1
            dots = 0
        elif mark in _CLOSING:
            depth = max(0, depth - 1)
            dotted += dots if dots > 1 else 0  # one may be the point of a number
            if in_header:
                parts = dots + 1
                in_header = False
            dots = 0
        elif mark == ".":
            dots += 1
        elif mark in _PARTING:
            if mark == "=":
                work += 1 + parts  # the parser goes down the header's parts for each key
                dotted += dots
            work += mark == ","
            dots = 0
        elif mark in _UNCLOSED:
            return
        line_begins = mark == "\n"
        if depth > _DEEPEST or dots >= _DEEPEST:
            line = text.count("\n", 0, token.start()) + 1
            raise DeepOrLarge(f"nesting more than {_DEEPEST} deep in line {line}", f"at most {_DEEPEST} levels")
        if headers > _MOST_HEADERS or work > _MOST_WORK or dotted > _MOST_DOTTED:
            raise DeepOrLarge(
                "more tables and keys than any bench has", "at most 1,000 pieces of track and 10,000 wires"
            )


def _syntax_fault(message: str, text: str) -> Fault:
    """The parser's complaint in plain words, with the place as path, and with what is still open there."""
    reason, _, place = message.rpartition(" (at ")
    place = place.rstrip(")")
    if not reason:
        reason, place = message, ""
    for theirs, ours in _PLAIN_WORDS:
        if reason.startswith(theirs):
            return Fault(_last(text) if place == _END else place, ours, "each key and each single table once")
    where = _PLACE.fullmatch(place)
    line, column = (int(where[1]), int(where[2])) if where else (text.count("\n") + 1, len(text) + 1)
    opened = _left_open(text, line, column)
    if place == _END:
        if not opened:
            return Fault(_last(text), "a key without its value", "key = value")
        return Fault(_last(text), f"{opened[-1].what} and does not end", f"a closing {opened[-1].sign}")
    if opened and opened[-1].ends_on_its_line:
        return Fault(place, f"{opened[-1].what} and does not end", f"a closing {opened[-1].sign}")
    if reason.startswith("Expected "):
        return Fault(place, "something else", reason.removeprefix("Expected "))
    found = reason.removeprefix("Found ")
    found = "something else" if found.startswith("Unclosed") else found[0].lower() + found[1:]
    if opened:
        return Fault(place, f"{found} in {opened[0].what}", f"a comma or a closing {opened[0].sign}")
    return Fault(place, found, "a TOML file")


class _Open(NamedTuple):
    """Something that has begun and has not ended: in words, what would end it, whether that must stand on its line."""

    what: str
    sign: str
    ends_on_its_line: bool = False


_END = "end of document"
_PLACE = re.compile(r"line (\d+), column (\d+)")


def _last(text: str) -> str:
    return f"line {text.count(chr(10)) + 1}, the last"


def _left_open(text: str, line: int, column: int) -> list[_Open]:
    """What has begun before a place of the text and has not ended, the outermost first.

    line, column: from 1; a column beyond the line's end is its end.
    """
    begins = 0
    for _ in range(line - 1):
        begins = text.index("\n", begins) + 1
    until = min(begins + column - 1, len(text))
    opened: list[_Open] = []
    fresh = True  # nothing but blanks and brackets since the line began
    after, number = 0, 1
    for token in _TOKEN.finditer(text):
        if token.start() >= until:
            break
        mark = token[0]
        fresh = fresh and not text[after : token.start()].strip(" \t")
        after = token.end()
        place = f"begins in line {number}"
        number += mark.count("\n")
        if mark in _UNCLOSED:
            return [*opened, _Open(f"a text that {place}", mark, len(mark) == 1)]
        if mark == "\n":
            if opened and opened[-1].ends_on_its_line:
                break
            fresh = True
            continue
        if mark == "[" and fresh and (not opened or opened[-1].ends_on_its_line):
            opened = [_Open(f"a heading that {place}", "]" * (len(opened) + 1), True)]
        elif mark in _OPENING:
            what, sign = ("a list", "]") if mark == "[" else ("a table in braces", "}")
            opened.append(_Open(f"{what} that {place}", sign))
        elif mark in _CLOSING and opened:
            opened.pop()
        fresh = fresh and mark in _OPENING
    return opened


_PLAIN_WORDS = (
    ("Cannot overwrite a value", "a key that stands there already"),
    ("Cannot declare", "a table that stands there already"),
    ("Cannot mutate", "an addition to a table that is complete"),
    ("Cannot redefine", "an addition to a table that is complete"),
    ("Duplicate", "a key that stands there already"),
)
