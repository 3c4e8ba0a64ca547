"""Where the program's own files lie: the levels and the assets (fonts, sounds, pictures).

In a source checkout both folders stand beside ``sim``; an installed wheel carries them inside it. Either way they are
found from the place of this file, never from the folder the program was started in.
"""

from __future__ import annotations

from pathlib import Path

__all__ = [
    "MissingResource", "assets_folder", "chapters_path", "level_names", "level_path", "levels_folder",
    "named_turnout_path", "test_track_path",
]  # fmt: skip

_PACKAGE = Path(__file__).resolve().parent


class MissingResource(FileNotFoundError):
    """A folder that belongs to the program is not there: the installation is damaged."""


def _folder(name: str) -> Path:
    for candidate in (_PACKAGE / name, _PACKAGE.parent / name):
        if candidate.is_dir():
            return candidate
    raise MissingResource(f"the program's folder {name!r} is missing beside {_PACKAGE}; install frogbench again")


def assets_folder() -> Path:
    """The folder of fonts, sounds and pictures."""
    return _folder("assets")


def levels_folder() -> Path:
    """The folder of level files."""
    return _folder("levels")


def test_track_path() -> Path:
    """The bench that the test track begins with."""
    return assets_folder() / "test-track.toml"


def chapters_path() -> Path:
    """The file that lists the chapters."""
    return levels_folder() / "chapters.toml"


def named_turnout_path() -> Path:
    """The bench that is shown with the names of its parts."""
    return assets_folder() / "named-turnout.toml"


def level_names() -> tuple[str, ...]:
    """The names of all levels that come with the program, in alphabetical order: a level's name is its file's stem."""
    chapters = chapters_path()
    return tuple(sorted(path.stem for path in levels_folder().glob("*.toml") if path != chapters))


def level_path(name: str) -> Path:
    """The file of the level called ``name``. Raises KeyError if no level has that name."""
    if name not in level_names():
        raise KeyError(name)
    return levels_folder() / f"{name}.toml"
