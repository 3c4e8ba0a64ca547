"""Opening benches and saving them, and the pages that files are chosen on."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from platformdirs import user_documents_path

from sim.bench.faults import BenchFaults
from sim.bench.writing import dump
from sim.game.app.disk import read_folder, reason, remarks_in, true_path, write_file
from sim.game.app.keeping import file_stem
from sim.game.app.pages_open import FootLabel, OpenPages
from sim.game.app.shelf import Shelf, belongs_to_the_program
from sim.game.draw.pages.files import ENDING, Place, shown
from sim.game.items.common.commands import AskWindow, SaveTo, Unlist
from sim.game.screens.bench_page import BenchScreen
from sim.game.screens.files_page import FilesScreen
from sim.game.screens.jobs_page import JobsScreen
from sim.game.screens.question import Answer, Question
from sim.resources import assets_folder, levels_folder
from sim.saving import is_there
from sim.session.memory import as_it_stands
from sim.words import verbatim

__all__ = ["REMARKS", "Opening", "jobs_page"]

REMARKS = "This file has remarks in it. Saving writes the bench anew: the remarks are lost, the bench is not."
_LEVEL = "A job of the program is never changed: this saves a bench of your own beside it."
_MOST_PLACES = 6


class SavingFailed(ValueError):
    """A bench could not be saved; the message says why in a plain sentence."""


def _write_bench(screen: BenchScreen, path: Path) -> None:
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


def _open_dialogue(file: Path | None, recent: Sequence[str]) -> FilesScreen:
    """The page to open a bench. `file`: the open bench's own file, if it has one."""
    return FilesScreen("open", _first_folder(file, recent), read_folder, _places(recent))


def _save_dialogue(screen: BenchScreen, file: Path | None, recent: Sequence[str], *, job: bool) -> FilesScreen:
    """The page to save the bench on. `job`: it is one of the program's."""
    name = file.name if file is not None else file_stem(screen.snapshot.bench.title) + ENDING
    note = _LEVEL if job else ""
    return FilesScreen("save", _first_folder(file, recent), read_folder, _places(recent), name, note)


def jobs_page(shelf: Shelf, note: str = "") -> JobsScreen:
    """The list of jobs; `note`: what to say at its foot."""
    best, recent = shelf.best(), shelf.recent()
    return JobsScreen(best, note or shelf.take_note(), recent, shelf.left())


class Opening:
    """Turns the pages to the benches of the shelf, and writes those to files."""

    def __init__(self, pages: OpenPages, shelf: Shelf, label: FootLabel) -> None:
        self.shelf = shelf
        self._pages = pages
        self._label = label

    @property
    def title(self) -> str:
        """What the open bench is called, its file if it has one, with a dot when there is something unsaved."""
        bench = self._pages.bench
        if bench is None:
            return ""
        file = self.shelf.own_file(bench)
        name = file.name if file is not None else bench.snapshot.bench.title
        return " ".join(part for part in ("•" if file is not None and bench.unsaved else "", shown(name)) if part)

    def jobs(self) -> None:
        """Turn to the list of jobs."""
        self._pages.seen = jobs_page(self.shelf)

    def again(self) -> None:
        """Begin the open job again, as it is filed."""
        self._pages.seen = self.shelf.again(self._pages.seen) or self._pages.seen

    def unlist(self, path: Path) -> None:
        """Take a file off the list of those opened lately."""
        self.shelf.write(lambda: self.shelf.book.unlist(str(path)))
        self.jobs()

    def open(self, path: Path) -> None:
        """Turn to the bench of a file, or say why not: where it was chosen, else on the list of jobs."""
        try:
            self._pages.turn_to(self.shelf.opened(path))
        except BenchFaults as wrong:
            more = f" (and {len(wrong.faults) - 1} more)" if len(wrong.faults) > 1 else ""
            self._not_opened(f"{path.name}: {wrong.faults[0]}{more}")
        except ValueError as wrong:
            self._not_opened(f"{path.name}: {wrong}")

    def _not_opened(self, words: str) -> None:
        page = self._pages.seen
        if isinstance(page, FilesScreen):
            page.fault = words
        else:
            self._pages.turn_to(jobs_page(self.shelf, words))

    def open_listed(self, path: Path) -> None:
        """Open a file from a list; one of those opened lately that is gone can be taken off it."""
        if isinstance(self._pages.seen, JobsScreen) and not is_there(path):
            words = f"It is no longer in {verbatim(shown(str(path.parent)))}."
            answers = (Answer("Leave it on the list"), Answer("Take it off", Unlist(path)))
            self._pages.question = Question(verbatim(shown(path.name)), words, answers)
        else:
            self.open(path)

    def choose_to_open(self) -> None:
        """Lay the dialogue over the page in which a file to open is chosen."""
        if not isinstance(self._pages.seen, FilesScreen):
            self._pages.lay(_open_dialogue(self.shelf.own_file(self._pages.bench), self.shelf.recent()))

    def save(self, *, elsewhere: bool) -> None:
        """Save the open bench in its own file; in one to be chosen where it has none, or `elsewhere`."""
        bench = self._pages.bench
        file = self.shelf.own_file(bench)
        if isinstance(self._pages.seen, FilesScreen):
            return
        if bench is None:
            self._label.tell("Open a bench first, then save it.")
        elif elsewhere or file is None:
            self._pages.lay(_save_dialogue(bench, file, self.shelf.recent(), job=bool(bench.name)))
        elif remarks_in(file):
            answers = (Answer("Save elsewhere", AskWindow.SAVE_AS), Answer("Save over it", SaveTo(file, over=True)))
            self._pages.question = Question("Lose the remarks?", REMARKS, answers)
        else:
            self.save_to(file, over=True)

    def save_to(self, path: Path, *, over: bool) -> None:
        """Save the open bench in a file; what is there already is written over only if that was asked."""
        bench = self._pages.bench
        if bench is None:
            return
        if not over and is_there(path) and not belongs_to_the_program(path):
            words = REMARKS if remarks_in(path) else "There is a file of that name in this folder."
            answers = (Answer("Keep it"), Answer("Replace it", SaveTo(path, over=True)))
            self._pages.question = Question(f"Replace {verbatim(shown(path.name))}?", words, answers)
            return
        try:
            _write_bench(bench, path)
        except SavingFailed as wrong:
            if isinstance(self._pages.seen, FilesScreen):
                self._pages.seen.fault = str(wrong)
            else:
                self._label.tell(str(wrong), fault=True)
            return
        self.shelf.saved(bench, true_path(path))
        if isinstance(self._pages.seen, FilesScreen):
            self._pages.close()
        self._label.tell(f"Saved: {verbatim(shown(str(path)))}")
