"""Saving the open bench and opening others: what the window does with files, apart from its pages."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from platformdirs import user_documents_path

from sim.bench.writing import dump
from sim.game.app.disk import read_folder, reason, true_path, write_file
from sim.game.app.keeping import file_stem
from sim.game.draw.pages.files import ENDING, Place
from sim.game.screens.bench_page import BenchScreen
from sim.game.screens.files_page import FilesScreen
from sim.resources import assets_folder, levels_folder
from sim.session.memory import as_it_stands
from sim.words import verbatim

__all__ = ["REMARKS", "SavingFailed", "belongs_to_the_program", "keep_bench", "open_dialogue", "save_dialogue"]

REMARKS = "This file has remarks in it. Saving writes the bench anew: the remarks are lost, the bench is not."
_LEVEL = "A job of the program is never changed: this saves a bench of your own beside it."
_MOST_PLACES = 6


class SavingFailed(ValueError):
    """A bench could not be saved; the message says why in a plain sentence."""


def belongs_to_the_program(path: Path) -> bool:
    """Whether a file is one of the program's own, which are never written to."""
    folder = true_path(path).parent
    return folder in (levels_folder().resolve(), assets_folder().resolve())


def keep_bench(screen: BenchScreen, path: Path) -> None:
    """Write the bench as it stands, its trains where they stand now. Raises SavingFailed."""
    if belongs_to_the_program(path):
        raise SavingFailed("That file belongs to the program and is never changed. Choose another name or folder.")
    try:
        write_file(path, dump(as_it_stands(screen.session)))
    except (OSError, ValueError) as fault:
        raise SavingFailed(f"The bench cannot be saved as {verbatim(path.name)}: {reason(fault)}.") from fault


def _places(recent: Sequence[str]) -> tuple[Place, ...]:
    """The folders that one click leads to: home, where the program was started, and those of the last files."""
    found = [Place("Home", home)] if (home := _home()) is not None else []
    folders = {place.folder for place in found}
    here = _here()
    if here is not None and here not in folders:
        found.append(Place("Started in", here))
        folders.add(here)
    for file in recent:
        folder = Path(file).parent
        if len(found) < _MOST_PLACES and folder not in folders and folder.is_dir():
            found.append(Place(verbatim(folder.name) or str(folder), folder))
            folders.add(folder)
    return tuple(found)


def _home() -> Path | None:
    try:
        return Path.home().resolve()
    except (OSError, RuntimeError):
        return None


def _documents() -> Path | None:
    try:
        return user_documents_path().resolve()
    except (OSError, RuntimeError):
        return None


def _within_the_program(folder: Path) -> bool:
    """Whether a folder is where the program itself lies, or in there."""
    try:
        folder = folder.resolve()
    except OSError:
        return False
    own = {place.resolve().parent for place in (levels_folder(), assets_folder())}
    return any(each == folder or each in folder.parents for each in own)


def _here() -> Path | None:
    try:
        return Path.cwd().resolve()
    except OSError:  # it was taken away
        return None


def _first_folder(file: Path | None, recent: Sequence[str]) -> Path:
    """Where a dialogue begins: beside the open file, else beside the last one, else where the program was started.

    Whoever starts it in the program's own folder begins in the documents, or at home.
    """
    near = [file.parent] if file is not None else []
    near += [Path(each).parent for each in recent]
    here = _here()
    if here is not None and not _within_the_program(here):
        near.append(here)
    near += [folder for folder in (_documents(), _home()) if folder is not None]
    return next((folder for folder in near if folder.is_dir()), Path("/").resolve())


def open_dialogue(file: Path | None, recent: Sequence[str]) -> FilesScreen:
    """The page to open a bench. `file`: the open bench's own file, if it has one."""
    return FilesScreen("open", _first_folder(file, recent), read_folder, _places(recent))


def save_dialogue(screen: BenchScreen, file: Path | None, recent: Sequence[str], *, job: bool) -> FilesScreen:
    """The page to save the bench on. `job`: it is one of the program's."""
    name = file.name if file is not None else file_stem(screen.snapshot.bench.title) + ENDING
    note = _LEVEL if job else ""
    return FilesScreen("save", _first_folder(file, recent), read_folder, _places(recent), name, note)
