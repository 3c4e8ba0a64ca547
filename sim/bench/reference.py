"""The reference page of bench files, made from the declarations that the loader reads by.

``python -m sim.bench.reference > docs/bench-fields.md`` writes it; with the name of a module as argument, it lists the
kinds of track that this module registers as ``KINDS``.
"""

from __future__ import annotations

import importlib
import sys
from collections.abc import Iterable, Sequence
from typing import Any

from sim.bench.chapters import MOST_CHAPTERS, Chapter
from sim.bench.faults import shown
from sim.bench.fields import Declared, declarations, plain
from sim.bench.level import STEPS, Allow, Level, Trial
from sim.bench.model import Bench, Bus, Changeover, Lamp, Motor, Polarity, Supply, Train, Vehicle, WheelSize, Wire
from sim.bench.piece import Piece
from sim.bench.prompt import CONDITIONS, Prompt
from sim.bench.reading import FORMAT, MOST, Kinds
from sim.bench.vocabulary import STANDARD_VEHICLES
from sim.bench.writing import toml_value

__all__ = ["page"]

_REGISTRY = "sim.track.formations"
"""Where the command finds the kinds of track. It is named, not imported: the page alone needs them, no bench does."""

_HEAD = f"""\
# Bench files: every key

Made by `python -m sim.bench.reference > docs/bench-fields.md` from the declarations that the loader itself reads by.
Do not edit it by hand; a test fails when it is stale.

A bench is one TOML file in UTF-8. What is not listed here is refused, as are wrong types, values out of range and names
of things that are not on the bench. All that is wrong is told at once, one line each: the file, the key path, what was
found, what was expected and the nearest known name. In a key path, rows are counted from 1: `wire[3].ends[2]` is the
second end of the third `[[wire]]`.

Limits: 1 MB; nesting 16 deep; {"; ".join(f"{most:,} `[[{key}]]`" for key, most in MOST.items())}.

A **name** is 1 to 60 letters, digits, blanks, `-` or `_`. Each id, and each tap, is used once on a bench. A
**terminal** is `bus.A`, `bus.B` (of a `[[supply]]`: its id with `.A`, `.B`); a tap's name with `.A`, `.B`; a section of
track (`T1.frog`, `P1.left`); a letter of a motor (`M1.k`); `.a`, `.b`, `.out` of an automatic polarity unit, with
two poles `.c`, `.d`, `.out2` too; `.1`, `.2` of a lamp. An **end** is that of a piece of track (`T1.toe`, `P1.a`). A
**place** is a gap, bond or jumper in full (`T1.gap.closure.left`).
"""


def page(kinds: Kinds) -> str:
    """The page, as Markdown, for these kinds of track."""
    root = declarations(Bench)
    parts = [
        _HEAD,
        "## At the top\n",
        _rows([("bench", f"the whole number {FORMAT}", "**required**", "version of the format"), *map(_row, root)]),
        "## `[supply]`, or `[[supply]]` tables\n",
        "A bench has one or more. A single `[supply]` has no id; it is named bus.\n",
        _rows(map(_row, declarations(Supply))),
        "## `[bus]`\n",
        "Only with a single `[supply]`.\n",
        _rows(map(_row, declarations(Bus))),
        "## `[[track]]`: every kind\n",
        _rows(map(_row, declarations(Piece))),
    ]
    for cls in dict.fromkeys(kinds.values()):
        words = " or ".join(f'"{word}"' for word in kinds if kinds[word] is cls)
        own = [field for field in declarations(cls) if field not in declarations(Piece)]
        ends = ", ".join(f"`{end}`" for end in cls.ENDS)
        parts += [f"## `[[track]]` with `kind = {words}`\n", f"Its ends: {ends}.\n"]
        parts += [_rows(map(_row, own))] if own else ["It has no further keys.\n"]
    contact = "One for each changeover contact, below the `[[motor]]` that it belongs to. At most 16.\n"
    parts += ["## `[[motor]]`\n", _rows(_row(field) for field in declarations(Motor) if field.name != "changeovers")]
    parts += ["### `[[motor.changeover]]`\n", contact, _rows(map(_row, declarations(Changeover)))]
    for header, table in (("[[wire]]", Wire), ("[[polarity]]", Polarity), ("[[lamp]]", Lamp), ("[[vehicle]]", Vehicle)):
        parts += [f"## `{header}`\n", _rows(map(_row, declarations(table)))]
    standard = ", ".join(f"`{name}`" for name in STANDARD_VEHICLES)
    parts += [
        "### The measures of a wheel\n",
        _rows(map(_row, declarations(WheelSize))),
        "## `[[train]]`\n",
        f"These vehicles come with the program, in every scale: {standard}.\n",
        _rows(map(_row, declarations(Train))),
        "## `[test]`\n",
        _rows(map(_row, declarations(Trial))),
        "## `[level]`\n",
        _rows(map(_row, declarations(Level))),
        "### `allow`\n",
        _rows(map(_row, declarations(Allow))),
        "### Steps of a `solution`\n",
        "Each step is a table with one of these keys, and what stands beside it.\n",
        _rows(_row(field) for step in STEPS.values() for field in declarations(step)),
        "### Prompts\n",
        _rows(map(_row, declarations(Prompt))),
        "### What ends a prompt\n",
        "`until` is a table with one of these keys, and what stands beside it.\n",
        _rows(_row(field) for end in CONDITIONS.values() for field in declarations(end)),
        "## The list of chapters: `levels/chapters.toml`\n",
        "A file of its own beside the levels, with one `[[chapter]]` for each chapter, in the order in which they are "
        f"learnt; at most {MOST_CHAPTERS}.\n",
        _rows(map(_row, declarations(Chapter))),
    ]
    return "\n".join(parts)


def _row(field: Declared) -> tuple[str, str, str, str]:
    sorts = f" ({' and '.join(field.kinds)} only)" if field.kinds else ""
    rules = [f"not with `{other}`" for other in field.without] + [f"with `{other}`" for other in field.needs]
    return field.key, field.shape.expected, _default(field), "; ".join([field.meaning + sorts, *rules])


def _default(field: Declared) -> str:
    if field.required:
        return "**required**"
    if field.by_kind:
        return ", ".join(f"{_code(value)} for {kind}" for kind, value in field.by_kind.items())
    return field.shown or _code(field.default)


def _code(value: Any) -> str:
    """A default as it would stand in a file; what is too long for that in words."""
    text = toml_value(plain(value))
    return f"`{text}`" if len(text) <= 60 else shown(plain(value))


def _rows(rows: Iterable[tuple[str, str, str, str]]) -> str:
    lines = ["| key | value | left out | meaning |", "|---|---|---|---|"]
    lines += [f"| `{key}` | {value} | {default} | {meaning} |" for key, value, default, meaning in rows]
    return "\n".join(lines) + "\n"


def main(arguments: Sequence[str]) -> None:
    """Write the page to standard output."""
    registry = importlib.import_module(arguments[0] if arguments else _REGISTRY)
    sys.stdout.write(page(registry.KINDS))


if __name__ == "__main__":
    main(sys.argv[1:])
