"""What the command line prints: lines, JSON documents, and errors that are always one plain line each."""

from __future__ import annotations

import contextlib
import io
import json
import os
import re
import sys
import unicodedata
from collections.abc import Iterable, Iterator
from typing import TextIO

__all__ = [
    "MOST_LINES",
    "CallRefused",
    "OutputLost",
    "flush_output",
    "give_up_output",
    "json_document",
    "one_line",
    "print_errors",
    "print_json",
    "print_line",
    "tolerant",
]

MOST_LINES = 20
"""So many error lines are printed at most; a last line counts the rest."""

_BREAKING = frozenset({"Cc", "Cf", "Zl", "Zp"})
"""Unicode categories that end a line, drive a terminal or turn text about unseen: control and format characters (bidi
marks among them), line and paragraph separators."""

_NOT_ASCII = re.compile(r"[^\x20-\x7e]")


class CallRefused(Exception):
    """The file or the call is wrong: exit status 2. Each of ``lines`` begins with the file's name, or the command's."""

    def __init__(self, *lines: str) -> None:
        super().__init__("\n".join(lines))
        self.lines = lines


class OutputLost(Exception):
    """What we print can no longer be written. ``reason`` is None where the reader simply went away (a closed pipe)."""

    def __init__(self, reason: str | None) -> None:
        super().__init__(reason)
        self.reason = reason


@contextlib.contextmanager
def _writing() -> Iterator[None]:
    try:
        yield
    except BrokenPipeError:
        raise OutputLost(None) from None
    except OSError as fault:
        raise OutputLost(fault.strerror or str(fault)) from None


def one_line(text: str) -> str:
    """``text`` with everything that would end the line, drive the terminal or turn it about written as an escape."""
    return "".join(
        ch.encode("unicode_escape").decode("ascii") if unicodedata.category(ch) in _BREAKING else ch for ch in text
    )


def tolerant(stream: TextIO | None) -> None:
    """Let a stream of any encoding print any text: what it cannot show is escaped, and file names keep their bytes."""
    if isinstance(stream, io.TextIOWrapper):
        utf8 = stream.encoding.lower().replace("-", "") == "utf8"
        stream.reconfigure(errors="surrogateescape" if utf8 else "backslashreplace")


def print_line(text: str = "") -> None:
    """One line on standard output. Raises OutputLost."""
    with _writing():
        print(one_line(text))


def json_document(value: object) -> bytes:
    """One JSON document as UTF-8, ended by a line feed. Keys stay in their order; a number that is none is a fault.

    What would drive a terminal, or turn text about unseen, is written as JSON's own escape.
    """
    text = json.dumps(value, ensure_ascii=False, allow_nan=False)
    if not text.isprintable():
        text = _NOT_ASCII.sub(lambda found: _escaped(found[0]), text)
    return (text + "\n").encode("utf-8", "backslashreplace")


def _escaped(sign: str) -> str:
    return json.dumps(sign)[1:-1] if unicodedata.category(sign) in _BREAKING else sign


def print_json(value: object) -> None:
    """One JSON document on standard output: the same value gives the same bytes, whatever the system's encoding.

    Raises OutputLost.
    """
    document = json_document(value)
    if sys.stdout is None:
        return
    with _writing():
        sys.stdout.flush()
        sys.stdout.buffer.write(document)
        sys.stdout.buffer.flush()


def print_errors(lines: Iterable[str]) -> None:
    """Errors on standard error, at most ``MOST_LINES`` and then a count that begins as the next one would.

    Raises OutputLost.
    """
    listed = [one_line(line) for line in lines]
    with _writing():
        for line in listed[:MOST_LINES]:
            print(line, file=sys.stderr)
        if len(listed) > MOST_LINES:
            name = listed[MOST_LINES].split(": ", 1)[0]
            print(f"{name}: and {len(listed) - MOST_LINES} more", file=sys.stderr)
        if sys.stderr is not None:
            sys.stderr.flush()


def flush_output() -> None:
    """Write out all that was printed. Raises OutputLost."""
    if sys.stdout is not None:
        with _writing():
            sys.stdout.flush()


def give_up_output() -> None:
    """Point what cannot be written any more nowhere, so that nothing is said about it when the program ends."""
    nowhere = os.open(os.devnull, os.O_WRONLY)
    for stream in (sys.stdout, sys.stderr):
        if stream is not None:
            try:
                stream.flush()
            except OSError:
                os.dup2(nowhere, stream.fileno())
    os.close(nowhere)
