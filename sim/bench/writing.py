"""Writing a bench as TOML that reads back equal, in an order and a form fit for a diff."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from functools import lru_cache
from typing import Any

from sim.bench.checking import short_place
from sim.bench.fields import plain
from sim.bench.level import Level
from sim.bench.model import SINGLE_SUPPLY, Bench
from sim.bench.reading import FORMAT

__all__ = ["dump", "toml_value"]

_WIDEST = 120
"""Lists that would make a longer line are written with one item a line."""
_KEPT_ROWS = 5000  # things of which the text is kept: those of a large bench


def dump(bench: Bench) -> str:
    """The bench as the text of a bench file. Keys at their default are left out.

    ``parse(dump(bench), kinds, name=...)`` equals ``bench``, for every bench that a file can describe.
    """
    blocks = [[f"bench = {FORMAT}"]]
    if bench.title:
        blocks[0].append(f"title = {_text(bench.title)}")
    single = [supply.id for supply in bench.supplies] == [SINGLE_SUPPLY]
    for supply in bench.supplies:
        table = plain(supply)
        if single:
            del table["id"]
        blocks.append(_block("[supply]" if single else "[[supply]]", table))
    if bench.bus is not None:
        blocks.append(_block("[bus]", plain(bench.bus)))
    rows = {
        "track": bench.tracks, "motor": bench.motors, "wire": bench.wires, "polarity": bench.polarities,
        "lamp": bench.lamps, "vehicle": bench.vehicles, "train": bench.trains,
    }  # fmt: skip
    blocks += [block for name, things in rows.items() for thing in things for block in _row(name, thing)]
    if bench.test is not None:
        blocks.append(_block("[test]", {"vehicles": list(bench.test)}))
    if bench.level is not None:
        blocks.append(_block("[level]", _level(bench, bench.level)))
    return "\n\n".join("\n".join(lines) for lines in blocks) + "\n"


@lru_cache(maxsize=_KEPT_ROWS)
def _row(name: str, thing: object) -> tuple[list[str], ...]:
    """The tables of one thing; a motor's contacts have one each. Of a bench that is written again most are the same."""
    table = plain(thing)
    contacts = table.pop("changeover", []) if name == "motor" else []
    return _block(f"[[{name}]]", table), *(_block("[[motor.changeover]]", contact) for contact in contacts)


def _level(bench: Bench, level: Level) -> dict[str, Any]:
    """A level with the places in its lists of what is allowed named in short where that says the same."""
    table: dict[str, Any] = plain(level)
    short = {
        place.name: short_place(place)
        for piece in bench.tracks
        for place in piece.places()
        if place.kind in ("gap", "bond")
    }
    for key in ("gaps", "bonds"):
        names = table.get("allow", {}).get(key)
        if isinstance(names, list):
            table["allow"][key] = [short.get(name, name) for name in names]
    return table


def _block(header: str, table: Mapping[str, Any]) -> list[str]:
    return [header, *(_line(key, value) for key, value in table.items())]


def _line(key: str, value: Any) -> str:
    line = f"{_key(key)} = {toml_value(value)}"
    if len(line) <= _WIDEST or not isinstance(value, list):
        return line
    return "\n".join([f"{_key(key)} = [", *(f"  {toml_value(item)}," for item in value), "]"])


def toml_value(value: Any) -> str:
    """A plain value as TOML writes it; tables and lists on one line. Raises TypeError for what TOML cannot hold."""
    match value:
        case bool():
            return "true" if value else "false"
        case str():
            return _text(value)
        case int() | float():
            return repr(value)
        case Mapping():
            return _braced("{", (f"{_key(key)} = {toml_value(item)}" for key, item in value.items()), "}")
        case list():
            return f"[{', '.join(toml_value(item) for item in value)}]"
        case _:
            raise TypeError(f"a bench file cannot hold {value!r}")


def _braced(opening: str, items: Iterable[str], closing: str) -> str:
    inner = ", ".join(items)
    return f"{opening} {inner} {closing}" if inner else opening + closing


def _key(key: str) -> str:
    bare = key.isascii() and key.replace("-", "").replace("_", "").isalnum()
    return key if bare else _text(key)


def _text(text: str) -> str:
    """A TOML basic string. JSON's escapes are TOML's too, but for the delete character, which TOML wants escaped."""
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")
