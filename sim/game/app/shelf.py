"""The benches that have been opened: each as it was left, and what is written down of them."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from pathlib import Path

from sim.bench.reading import load
from sim.game.app.disk import changed_at, true_path
from sim.game.desk.cautioning import Cautioning
from sim.game.screens.bench_page import BenchScreen
from sim.game.screens.marksbook import MarksBook
from sim.progress import Best, ProgressBusy
from sim.resources import assets_folder, level_names, level_path, levels_folder, test_track_path
from sim.session.memory import Memory
from sim.syllabus import chapter_ids, course
from sim.track.formations import KINDS

__all__ = ["Shelf", "belongs_to_the_program"]


def belongs_to_the_program(path: Path) -> bool:
    """Whether a file is one of the program's own, which are never written to."""
    folder = true_path(path).parent
    return folder in (levels_folder().resolve(), assets_folder().resolve())


class Shelf:
    """Benches by their files, and the book in which they are kept.

    note: why the book could not be read or written, said once on the list of jobs
    """

    def __init__(self, book: MarksBook, cautioning: Cautioning) -> None:
        self.book = book
        self.note = ""
        self._cautioning = cautioning
        self._benches: dict[Path, BenchScreen] = {}
        self._unread: set[Path] = set()  # of these it could not be read how they were left: that is not written over

    @property
    def benches(self) -> Mapping[Path, BenchScreen]:
        """Every bench that was opened, by its file."""
        return self._benches

    def write(self, write: Callable[[], None]) -> None:
        """Write something into the book; why it cannot be is noted."""
        try:
            write()
        except ValueError as wrong:
            self.note = str(wrong)

    def opened(self, path: Path, *, afresh: bool = False) -> BenchScreen:
        """The bench of a file: as it was left, or as it is filed.

        Raises BenchFaults for a file that cannot be read, ValueError for a bench that cannot be set up.
        """
        path = true_path(path)
        if afresh or path not in self._benches:
            if afresh:
                self._unread.discard(path)
                self.write(lambda: self.book.clear(_key(path)))
            self._benches[path] = self._set_up(path)
            self._benches[path].cautioning = self._cautioning
        if not belongs_to_the_program(path):
            self.write(lambda: self.book.opened(str(path)))
        return self._benches[path]

    def again(self, screen: object) -> BenchScreen | None:
        """A bench once more as it is filed; None for what is no bench of a file."""
        path = self._path(screen)
        return None if path is None else self.opened(path, afresh=True)

    def _path(self, screen: object) -> Path | None:
        return next((path for path, bench in self._benches.items() if bench is screen), None)

    def own_file(self, screen: object) -> Path | None:
        """The file that a bench belongs to; None if it has none or is one of the program's."""
        path = self._path(screen)
        return None if path is None or belongs_to_the_program(path) else path

    def recent(self) -> Sequence[str]:
        """The files opened or saved last; none where the book cannot be read, which the list of jobs says."""
        try:
            return self.book.recent()
        except ValueError:
            return ()

    def left(self) -> Sequence[str]:
        """The names of benches that stand otherwise than they are filed; none where the book cannot be read."""
        try:
            return self.book.standing()
        except ValueError:
            return ()

    def best(self) -> Mapping[str, Best] | None:
        """The best marks of every job; None, and a note, where the book cannot be read."""
        try:
            return self.book.best()
        except ValueError as wrong:
            self.note = self.note or str(wrong)
            return None

    def take_note(self) -> str:
        """The note, handed out once."""
        note, self.note = self.note, ""
        return note

    def saved(self, bench: BenchScreen, path: Path) -> None:
        """A bench has been written to a file. It is the file's now; a job stays a job, its copy is another bench."""
        old = self._path(bench)
        self._benches.pop(path, None)
        if not bench.name:
            bench.saved(path.name)
            if old is not None and old != path:
                self._benches.pop(old, None)
                self.write(lambda: self.book.clear(_key(old)))
            self._benches[path] = bench
        self.write(lambda: self.book.clear(_key(path)))
        self.write(lambda: self.book.opened(str(path)))

    def keep(self, bench: BenchScreen) -> None:
        """Write down what a test of a level has just come to, and how the bench stands."""
        finished = bench.take_finished()
        if finished is not None and bench.name:
            name, marks = bench.name, finished
            self.write(lambda: self.book.keep(name, *marks))
        left = bench.take_left()
        path = self._path(bench)
        if left is not None and path is not None and self._known(path):
            where, how = _key(path), left
            self.write(lambda: self.book.leave(where, how.bench, how.facts))

    def _known(self, path: Path) -> bool:
        """Whether it is known how the bench of a file was left, or that it was not."""
        if path in self._unread:
            try:
                if self.book.left(_key(path)) is None:
                    self._unread.discard(path)
                else:
                    self.note = f"{path.name} was left otherwise, which could not be read; open it again to go on there"
            except ValueError as wrong:
                self.note = str(wrong)
        return path not in self._unread

    def _set_up(self, path: Path) -> BenchScreen:
        bench = load(path, KINDS, chapter_ids())
        known = course()
        every = known.levels
        for chapter, levels in known.chapters:
            for filed in levels:
                if level_path(filed.name).resolve() == path:
                    after = every.index(filed) + 1
                    following = every[after].name if after < len(every) else None
                    place = f"job {filed.number} of {len(levels)}"
                    return BenchScreen(bench, chapter.title, place, following, filed.name, self._memory(path))
        if path == test_track_path().resolve():
            return BenchScreen(bench, "Test track", memory=self._memory(path))
        screen = BenchScreen(bench, memory=self._memory(path))
        screen.call(path.name)
        return screen

    def _memory(self, path: Path) -> Memory | None:
        """How the bench of a file was left; nothing where the file has been changed since by another hand."""
        try:
            left = self.book.left(_key(path))
        except ValueError as wrong:
            self.note = str(wrong)
            if isinstance(wrong, ProgressBusy):
                self._unread.add(path)
            return None
        self._unread.discard(path)
        if left is None or (not belongs_to_the_program(path) and changed_at(path) > left.left_at):
            return None
        return Memory(left.bench, left.facts)


def _key(path: Path) -> str:
    """The name under which a bench left standing is kept: that of its level, or its file."""
    ours = path.stem in level_names() and level_path(path.stem).resolve() == path
    return f"level {path.stem}" if ours else str(path)
