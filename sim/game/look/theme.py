"""A theme: every colour and the few sizes that differ between night and hall light, read from assets/themes.

Colours are (red, green, blue) of 0..255. A theme is compared and hashed by identity, so that it can key caches.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import lru_cache
from pathlib import Path

from sim.game.paper.view import Widths
from sim.resources import assets_folder
from sim.words import Words

__all__ = ["Colour", "Theme", "ThemeFault", "load_theme", "mix", "read_theme", "theme_names"]

Colour = tuple[int, int, int]
_FIRST = Words()


class ThemeFault(ValueError):
    """A theme file lacks a colour, or holds something that is none."""


@dataclass(frozen=True, eq=False)
class Theme:
    """Colours by role and the sizes that go with them.

    name: in words; file: the stem of its file's name
    type_scale: factor on every type size; least_type: the smallest size in px at 100 %
    lamp: whether a lamp map darkens the corners; grain: strength of the noise on mat and paper, 0..1
    shadow: strength of shadows, 0..1; rail_head_mm: the head's drawn width; tag_px: side of an A or B tag
    widths: of what stands round the mat and on it
    words: the trade's words that every text is put into
    """

    name: str
    file: str
    type_scale: float
    least_type: int
    lamp: bool
    grain: float
    shadow: float
    rail_head_mm: float
    tag_px: float
    widths: Widths
    colours: Mapping[str, Colour]
    words: Words = _FIRST

    def __getitem__(self, role: str) -> Colour:
        """The colour of a role; raises KeyError for a role that no theme has."""
        return self.colours[role]


def mix(a: Colour, b: Colour, share: float) -> Colour:
    """The colour `share` of the way from `a` to `b` (0 gives a, 1 gives b), channel by channel."""
    return (
        round(a[0] + (b[0] - a[0]) * share),
        round(a[1] + (b[1] - a[1]) * share),
        round(a[2] + (b[2] - a[2]) * share),
    )


def _colour(text: object, role: str) -> Colour:
    if not isinstance(text, str) or len(text) != 6:
        raise ThemeFault(f"colour {role}: expected six hex digits, found {text!r}")
    try:
        number = int(text, 16)
    except ValueError:
        raise ThemeFault(f"colour {role}: expected six hex digits, found {text!r}") from None
    return number >> 16, number >> 8 & 255, number & 255


def read_theme(path: Path) -> Theme:
    """Read a theme file. Raises ThemeFault when a key is missing or of the wrong kind."""
    with path.open("rb") as file:
        table = tomllib.load(file)
    try:
        return Theme(
            name=str(table["name"]),
            file=path.stem,
            type_scale=float(table["type_scale"]),
            least_type=int(table["least_type"]),
            lamp=bool(table["lamp"]),
            grain=float(table["grain"]),
            shadow=float(table["shadow"]),
            rail_head_mm=float(table["rail_head_mm"]),
            tag_px=float(table["tag_px"]),
            widths=Widths(**{part: float(table["widths"][part]) for part in ("side", "sheet", "slip", "bars", "line")}),
            colours={role: _colour(text, role) for role, text in table["colours"].items()},
        )
    except KeyError as missing:
        raise ThemeFault(f"{path.name}: {missing.args[0]} is missing") from None


@lru_cache(maxsize=1)
def theme_names() -> tuple[str, ...]:
    """The names of all themes that come with the program: night, the one of the first start, then the others."""
    names = sorted(path.stem for path in (assets_folder() / "themes").glob("*.toml"))
    return tuple(sorted(names, key=lambda name: name != "night"))


@lru_cache(maxsize=16)
def _theme(name: str, words: Words) -> Theme:
    if words == _FIRST:
        return read_theme(assets_folder() / "themes" / f"{name}.toml")
    return replace(_theme(name, _FIRST), words=words)


def load_theme(name: str = "night", words: Words = _FIRST) -> Theme:
    """The theme of that name from the program's assets, speaking in these words: the same object for the same two."""
    return _theme(name, words)
