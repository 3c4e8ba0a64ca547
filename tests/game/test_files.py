"""Benches are opened and saved at the window: by keys alone, by the mouse, and never over what was not meant."""

from __future__ import annotations

import os
import signal
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pygame
import pytest

from sim import resources
from sim.bench.edits import MakeWire
from sim.bench.reading import load
from sim.bench.writing import dump
from sim.game.app import filing
from sim.game.app.window import Window
from sim.game.draw.pages.files import Entry
from sim.game.draw.pen.icons import top_items
from sim.game.look.clipboard import clipboard_text
from sim.game.look.fonts import Type
from sim.game.screens.bench_page import BenchScreen
from sim.game.screens.files_page import FilesScreen
from sim.game.screens.jobs_page import TOP, JobsScreen
from sim.progress import Progress
from sim.resources import level_path
from sim.session.acts import Do, Nudge
from sim.track.formations import KINDS
from sim.words import plain
from tests.game.playing import Player

CTRL, SHIFT = pygame.KMOD_CTRL, pygame.KMOD_SHIFT
OWN = dump(replace(load(level_path("right-hand"), KINDS), level=None))  # without remarks
HAND_WRITTEN = "# our yard\n" + OWN


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder of benches, in which the program is started."""
    place = tmp_path / "layouts"
    (place / "old").mkdir(parents=True)
    write(place / "harbour.toml", OWN)
    write(place / "yard.toml", OWN)
    write(place / "old" / "first.toml", OWN)
    monkeypatch.chdir(place)
    monkeypatch.setenv("HOME", str(tmp_path))
    return place


def write(path: Path, text: str) -> None:
    path.write_text(text, encoding="utf-8")


def at(target: Path | None, book: Progress | None = None) -> Player:
    player = Player(None)
    player.window = Window((1280, 800), target, book)
    player.look()
    return player


def page(player: Player) -> FilesScreen:
    assert isinstance(player.window.screen, FilesScreen)
    return player.window.screen


def typed(player: Player, text: str) -> None:
    for sign in text:
        player.window.handle(pygame.event.Event(pygame.KEYDOWN, key=ord(sign.lower()), mod=0))
        player.window.handle(pygame.event.Event(pygame.TEXTINPUT, text=sign))


def wire(player: Player) -> None:
    player.bench.act(Do(MakeWire("M1.k", "T1.frog")))
    player.wait(0.1)


def answer(player: Player, words: str) -> None:
    question = player.window.question
    assert question is not None
    number = [each.words for each in question.answers].index(words)
    player.click(question.places(player.window.rooms, player.window.theme)[number].center)


def click(player: Player, name: str) -> None:
    player.click(page(player).places(player.window.rooms)[name].center)


def wires(path: Path) -> list[tuple[str, str]]:
    return [wire.ends for wire in load(path, KINDS).wires]


def name_of(player: Player) -> str:
    return plain(player.bench.view.chapter)


def test_a_bench_is_opened_by_keys_alone(folder: Path) -> None:
    player = at(None)
    player.key(pygame.K_o, CTRL)
    assert page(player).files.listing.folder == folder
    typed(player, "old")
    player.key(pygame.K_RETURN)
    assert page(player).files.listing.folder == folder / "old"
    player.key(pygame.K_BACKSPACE)
    assert page(player).files.entry == Entry("old", True)
    typed(player, "ya")
    player.key(pygame.K_RETURN)
    assert name_of(player) == "yard.toml"
    assert player.window.title == "yard.toml"


def test_a_bench_is_opened_with_the_mouse(folder: Path) -> None:
    player = at(None)
    rooms, theme = player.window.rooms, player.window.theme
    top = (rooms.top.x, rooms.top.y, rooms.top.width, rooms.top.height)
    player.click(top_items(top, rooms.unit, Type(theme, rooms.unit), TOP)["open"].center)
    click(player, "row 0")
    assert page(player).files.listing.folder == folder / "old"
    click(player, "up")
    click(player, "row 1")
    assert isinstance(player.window.screen, FilesScreen)
    click(player, "row 1")
    assert name_of(player) == "harbour.toml"


def test_escape_leads_back_to_where_one_was(folder: Path) -> None:
    for target, kind in ((None, JobsScreen), (folder / "yard.toml", BenchScreen)):
        player = at(target)
        player.key(pygame.K_o, CTRL)
        player.key(pygame.K_o, CTRL)
        page(player)
        player.key(pygame.K_ESCAPE)
        assert isinstance(player.window.screen, kind)


def test_a_file_that_is_no_bench_is_told_where_it_was_chosen(folder: Path) -> None:
    (folder / "broken.toml").write_text("bench = 1\n[supply", encoding="utf-8")
    player = at(None)
    player.key(pygame.K_o, CTRL)
    typed(player, "bro")
    player.key(pygame.K_RETURN)
    assert page(player).fault.startswith("broken.toml: line 2, the last: found a heading")
    player.key(pygame.K_UP)
    assert page(player).fault == ""


def test_saving_writes_the_bench_as_it_stands_and_undo_goes_on(folder: Path) -> None:
    player = at(folder / "yard.toml")
    assert player.window.title == "yard.toml"
    wire(player)
    assert player.window.title == "• yard.toml"
    assert name_of(player) == "• yard.toml"
    player.key(pygame.K_s, CTRL)
    assert wires(folder / "yard.toml") == [("M1.k", "T1.frog")]
    assert player.window.title == name_of(player) == "yard.toml"
    assert player.window.told == f"Saved: {folder / 'yard.toml'}"
    player.key(pygame.K_z, CTRL)
    assert player.bench.snapshot.bench.wires == ()
    assert player.window.title == "• yard.toml"
    player.key(pygame.K_z, CTRL | SHIFT)
    player.wait(0.1)
    assert player.window.title == "yard.toml"


def test_a_train_is_saved_where_it_stands_now(folder: Path) -> None:
    player = at(folder / "yard.toml")
    shunter = player.bench.snapshot.trains[0]
    player.bench.act(Nudge(shunter.id, -60.0))
    player.wait(3.0)
    stands = player.bench.snapshot.trains[0].vehicles[0].axles
    assert stands != shunter.vehicles[0].axles
    assert player.window.title == "yard.toml"  # to have driven is nothing to save
    player.key(pygame.K_s, CTRL)
    again = at(folder / "yard.toml").bench.snapshot.trains[0].vehicles[0].axles
    for one, other in zip(again, stands, strict=True):
        assert one == pytest.approx(other, abs=0.01)


def test_saved_elsewhere_the_bench_is_that_files_now(folder: Path) -> None:
    player = at(folder / "yard.toml")
    wire(player)
    player.key(pygame.K_s, CTRL | SHIFT)
    assert page(player).files.name.text == "yard.toml"
    player.key(pygame.K_HOME)
    typed(player, "New ")
    player.key(pygame.K_RETURN)
    assert player.window.title == "New yard.toml"
    assert wires(folder / "New yard.toml") == [("M1.k", "T1.frog")]
    assert wires(folder / "yard.toml") == []
    player.key(pygame.K_z, CTRL)
    player.key(pygame.K_s, CTRL)
    assert wires(folder / "New yard.toml") == []


def test_what_is_there_is_replaced_only_when_that_was_meant(folder: Path) -> None:
    player = at(folder / "yard.toml")
    wire(player)
    for words, after in (("Keep it", []), ("Replace it", [("M1.k", "T1.frog")])):
        player.key(pygame.K_s, CTRL | SHIFT)
        click(player, "row 1")
        assert page(player).files.name.text == "harbour.toml"
        player.key(pygame.K_RETURN)
        answer(player, words)
        assert wires(folder / "harbour.toml") == after
        if words == "Keep it":
            player.key(pygame.K_ESCAPE)
    assert player.window.title == "harbour.toml"


@pytest.mark.parametrize("name", ["right-hand", "wye"])
def test_a_job_stays_a_job_and_its_file_as_it_is(folder: Path, name: str) -> None:
    before = level_path(name).read_bytes()
    player = at(level_path(name))
    player.key(pygame.K_s, CTRL)
    assert "never changed" in page(player).note
    player.key(pygame.K_RETURN)
    copies = [path for path in folder.iterdir() if path.name not in ("old", "harbour.toml", "yard.toml")]
    assert len(copies) == 1
    assert load(copies[0], KINDS).tracks == load(level_path(name), KINDS).tracks
    assert player.bench.name == name
    assert level_path(name).read_bytes() == before


@pytest.mark.parametrize("path", [level_path("right-hand"), resources.test_track_path()])
def test_the_programs_own_files_are_never_written(folder: Path, path: Path) -> None:
    before = path.read_bytes()
    player = at(folder / "yard.toml")
    player.window._command(f"save {path}")
    assert "belongs to the program" in player.window.told
    player.window._command(f"save-over {path}")
    assert path.read_bytes() == before


def test_the_test_track_is_saved_and_begins_anew(folder: Path, tmp_path: Path) -> None:
    book = Progress(tmp_path / "marks.sqlite")
    player = at(resources.test_track_path(), book)
    supply = player.bench.snapshot.bench.tracks
    player.click(player.place("top", "save"))
    typed(player, " one")
    player.key(pygame.K_RETURN)
    assert player.window.title.endswith(".toml")
    (made,) = set(folder.iterdir()) - {folder / name for name in ("old", "harbour.toml", "yard.toml")}
    assert load(made, KINDS).tracks == supply
    assert book.recent() == (str(made),)
    assert book.standing() == ()


def test_remarks_of_a_file_written_by_hand_are_not_lost_unasked(folder: Path) -> None:
    write(folder / "hand.toml", HAND_WRITTEN)
    before = (folder / "hand.toml").read_text(encoding="utf-8")
    player = at(folder / "hand.toml")
    wire(player)
    player.key(pygame.K_s, CTRL)
    assert player.window.question is not None
    assert player.window.question.words == filing.REMARKS
    player.key(pygame.K_ESCAPE)
    assert (folder / "hand.toml").read_text(encoding="utf-8") == before
    player.key(pygame.K_s, CTRL)
    answer(player, "Save elsewhere")
    page(player)
    player.key(pygame.K_ESCAPE)
    player.key(pygame.K_s, CTRL)
    answer(player, "Save over it")
    assert wires(folder / "hand.toml") == [("M1.k", "T1.frog")]
    player.key(pygame.K_z, CTRL)
    player.key(pygame.K_s, CTRL)  # not asked again
    assert wires(folder / "hand.toml") == []


def test_a_place_that_cannot_be_written_is_told_and_the_dialogue_stays(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def no_room(path: Path, text: str) -> None:
        raise OSError(28, "No space left on device")

    player = at(folder / "yard.toml")
    wire(player)
    monkeypatch.setattr(filing, "write_file", no_room)
    player.key(pygame.K_s, CTRL)
    assert player.window.told == "The bench cannot be saved as yard.toml: the disk is full."
    player.key(pygame.K_s, CTRL | SHIFT)
    typed(player, "2")
    player.key(pygame.K_RETURN)
    assert plain(page(player).fault) == "The bench cannot be saved as yard2.toml: the disk is full."
    assert player.window.title == "• yard.toml"


@pytest.fixture
def _no_waiting() -> Iterator[None]:
    """What would wait for ever ends the test."""
    signal.alarm(60)
    yield
    signal.alarm(0)


@pytest.mark.usefixtures("_no_waiting")
@pytest.mark.parametrize("kind", ["pipe", "device", "link that leads round"])
def test_saving_to_what_is_no_file_is_refused_at_once(folder: Path, kind: str) -> None:
    target = folder / "odd.toml"
    if kind == "pipe":
        os.mkfifo(target)
    else:
        target.symlink_to("/dev/null" if kind == "device" else target)
    player = at(folder / "yard.toml")
    wire(player)
    player.key(pygame.K_s, CTRL | SHIFT)
    for _ in "yard":
        player.key(pygame.K_BACKSPACE)
    typed(player, "odd")
    player.key(pygame.K_RETURN)
    if player.window.question is not None:
        answer(player, "Replace it")
    assert plain(page(player).fault).startswith("The bench cannot be saved as odd.toml: ")
    assert target.is_fifo() or target.is_symlink()
    assert player.window.title == "• yard.toml"
    assert sorted(path.name for path in folder.iterdir()) == ["harbour.toml", "odd.toml", "old", "yard.toml"]


def test_a_name_longer_than_any_disk_takes_is_told(folder: Path) -> None:
    player = at(folder / "yard.toml")
    player.key(pygame.K_s, CTRL | SHIFT)
    typed(player, "線" * 110)
    player.key(pygame.K_RETURN)
    assert plain(page(player).fault).endswith("the name is too long.")


def test_a_link_that_leads_round_is_told_when_it_is_dropped_on_the_window(folder: Path) -> None:
    (folder / "round.toml").symlink_to(folder / "round.toml")
    player = at(None)
    player.window.handle(pygame.event.Event(pygame.DROPFILE, {"file": str(folder / "round.toml")}))
    assert isinstance(player.window.screen, JobsScreen)
    assert "cannot be read" in player.window.screen.note


def test_where_the_disk_ends_the_old_bench_stays(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(handle: int) -> None:
        raise OSError(28, "No space left on device")

    before = (folder / "yard.toml").read_bytes()
    player = at(folder / "yard.toml")
    wire(player)
    monkeypatch.setattr(os, "fsync", full)
    player.key(pygame.K_s, CTRL)
    assert player.window.told == "The bench cannot be saved as yard.toml: the disk is full."
    assert (folder / "yard.toml").read_bytes() == before
    assert sorted(path.name for path in folder.iterdir()) == ["harbour.toml", "old", "yard.toml"]
    monkeypatch.undo()
    player.key(pygame.K_s, CTRL)
    assert wires(folder / "yard.toml") == [("M1.k", "T1.frog")]


def test_a_name_that_will_not_do_is_told(folder: Path) -> None:
    player = at(folder / "yard.toml")
    player.key(pygame.K_s, CTRL | SHIFT)
    for _ in range(20):
        player.key(pygame.K_BACKSPACE)
        player.key(pygame.K_DELETE)
    player.key(pygame.K_RETURN)
    assert page(player).fault == "Type a name first."
    typed(player, "a/b")
    assert page(player).fault == ""
    player.key(pygame.K_RETURN)
    assert page(player).fault == "A name has no / in it."


def test_letters_in_a_name_are_letters_and_no_keys(folder: Path) -> None:
    player = at(folder / "yard.toml")
    player.key(pygame.K_s, CTRL | SHIFT)
    typed(player, "sav")
    assert page(player).files.name.text == "yardsav.toml"
    assert player.window.settings.sound


def test_a_file_changed_by_another_hand_is_shown_as_it_is_filed(folder: Path, tmp_path: Path) -> None:
    book = Progress(tmp_path / "marks.sqlite")
    player = at(folder / "yard.toml", book)
    wire(player)
    left = book.left(str(folder / "yard.toml"))
    assert left is not None
    assert len(at(folder / "yard.toml", Progress(book.path)).bench.snapshot.bench.wires) == 1
    os.utime(folder / "yard.toml", (left.left_at + 10, left.left_at + 10))
    assert at(folder / "yard.toml", Progress(book.path)).bench.snapshot.bench.wires == ()


def test_thousands_of_files_are_turned_quickly_in_small_pictures(folder: Path) -> None:
    for k in range(5000):
        (folder / "old" / f"bench {k:04}.toml").write_text("")
    player = at(None)
    player.key(pygame.K_o, CTRL)
    typed(player, "old")
    player.key(pygame.K_RETURN)
    assert len(page(player).files.listing.entries) == 5001
    player.key(pygame.K_END)
    assert page(player).files.entry == Entry("first.toml")
    shown = len([name for name in page(player).places(player.window.rooms) if name.startswith("row ")])
    assert 5 < shown < 40
    player.window.handle(pygame.event.Event(pygame.MOUSEWHEEL, y=1, x=0))
    assert page(player).files.first == 5001 - shown - 3
    assert player.look() != []


@pytest.mark.parametrize("size", [(1024, 720), (1280, 800), (1920, 1080)])
@pytest.mark.parametrize("purpose", [0, SHIFT])
def test_everything_is_large_enough_apart_and_on_the_page(folder: Path, size: tuple[int, int], purpose: int) -> None:
    player = at(folder / "yard.toml")
    player.window.resize(size)
    player.key(pygame.K_s if purpose else pygame.K_o, CTRL | purpose)
    places = page(player).places(player.window.rooms)
    whole = pygame.Rect((0, 0), player.window.rooms.size)
    for name, place in places.items():
        assert whole.contains(place), name
        assert min(place.size) >= 24, name
    rest = [place for name, place in places.items() if name != "list"]
    assert all(one.collidelist(rest[k + 1 :]) < 0 for k, one in enumerate(rest))


# The name


def _save_page(player: Player) -> FilesScreen:
    player.key(pygame.K_s, CTRL | SHIFT)
    return page(player)


def test_ctrl_a_marks_the_whole_name_and_what_is_typed_takes_its_place(folder: Path) -> None:
    player = at(folder / "yard.toml")
    dialogue = _save_page(player)
    player.key(pygame.K_a, CTRL)
    assert dialogue.files.name.marked
    player.look()
    typed(player, "quay")
    assert dialogue.files.name.text == "quay"
    player.key(pygame.K_a, CTRL)
    player.key(pygame.K_BACKSPACE)
    assert dialogue.files.name.text == ""
    typed(player, "pier")
    player.key(pygame.K_a, CTRL)
    player.key(pygame.K_LEFT)  # only looked at: nothing is lost
    typed(player, "s")
    assert dialogue.files.name.text == "piesr"


def test_a_marked_name_is_seen_to_be_marked(folder: Path) -> None:
    player = at(folder / "yard.toml")
    dialogue = _save_page(player)
    player.key(pygame.K_END)
    field = dialogue.places(player.window.rooms)["name"]
    plain_field = player.surface.subsurface(field).copy()
    player.key(pygame.K_a, CTRL)
    marked = player.surface.subsurface(field)
    assert marked.get_at((14, 13)) != plain_field.get_at((14, 13))


@pytest.mark.parametrize(
    ("lies", "name"), [("harbour wall", "harbour wallyard.toml"), ("a\tb", "abyard.toml"), ("", "yard.toml")]
)
def test_ctrl_v_puts_in_what_lies_on_the_clipboard(folder: Path, lies: str, name: str) -> None:
    player = at(folder / "yard.toml")
    dialogue = _save_page(player)
    dialogue._paste = lambda: lies
    player.key(pygame.K_HOME)
    player.key(pygame.K_v, CTRL)
    assert dialogue.files.name.text == name


def test_a_desktop_without_a_clipboard_pastes_nothing(folder: Path) -> None:
    player = at(folder / "yard.toml")
    dialogue = _save_page(player)
    player.key(pygame.K_v, CTRL)  # the real reader, with no clipboard there
    assert dialogue.files.name.text == "yard.toml"


class _Scrap:
    """The clipboard as one of the two libraries offers it: by the kinds of what lies there, as bytes."""

    def __init__(self, lies: dict[str, bytes]) -> None:
        self._lies, self._open = lies, False

    def get_init(self) -> bool:
        return self._open

    def init(self) -> None:
        self._open = True

    def get(self, kind: str) -> bytes | None:
        if not self._open:
            raise pygame.error("scrap system not initialized.")
        return self._lies.get(kind)


class _NewScrap(_Scrap):
    """As the other offers it: as text."""

    def get_text(self) -> str:
        return self._lies["text"].decode()


@pytest.mark.parametrize(
    "scrap",
    [
        _Scrap({"text/plain;charset=utf-8": "Größe\nmore".encode()}), _Scrap({"UTF8_STRING": "Größe\0".encode()}),
        _Scrap({"text/plain": "Größe".encode("latin-1")}), _NewScrap({"text": "  Größe\r\n".encode()}),
    ],
)  # fmt: skip
def test_the_first_line_is_pasted_whichever_way_the_library_gives_it(
    monkeypatch: pytest.MonkeyPatch, scrap: _Scrap
) -> None:
    monkeypatch.setattr(pygame, "scrap", scrap)
    assert clipboard_text() == "Größe"


def test_the_caret_hides_no_sign(folder: Path) -> None:
    """With it between two signs the text parts there: the columns under it are otherwise as bare as the paper."""
    player = at(folder / "yard.toml")
    dialogue = _save_page(player)
    player.key(pygame.K_a, CTRL)
    typed(player, "HHH")
    field = dialogue.places(player.window.rooms)["name"]
    inked = {}
    for caret, key in (("end", pygame.K_END), ("between", pygame.K_LEFT)):
        player.key(key)
        picture = player.surface.subsurface(field.inflate(-8, -8))
        rows = pygame.surfarray.array3d(picture).astype(int).sum(axis=2)
        inked[caret] = int((rows < rows.max() * 0.5).sum())
    assert abs(inked["end"] - inked["between"]) <= 2


# Where it begins, and what it lists


def test_started_in_the_programs_own_folder_it_begins_in_the_documents(
    folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(resources.levels_folder().parent)
    monkeypatch.setattr(filing, "user_documents_path", lambda: tmp_path / "papers")
    for there, begins in ((False, tmp_path), (True, tmp_path / "papers")):
        if there:
            (tmp_path / "papers").mkdir()
        player = at(resources.test_track_path())
        assert _save_page(player).files.listing.folder == begins
        player = at(folder / "yard.toml")
        assert _save_page(player).files.listing.folder == folder  # beside the open file all the same


def test_a_folder_lists_only_what_may_be_a_bench(folder: Path) -> None:
    write(folder / "pyproject.toml", '[project]\nname = "x"\n')
    write(folder / "benches.toml", "benches = 3\n")
    write(folder / "broken.toml", "# mine\nbench = 1\n[supply")
    write(folder / "long.toml", "# a long story\n" * 900 + OWN)
    (folder / "old.toml").write_bytes(b"\xef\xbb\xbf" + OWN.encode())
    player = at(None)
    player.key(pygame.K_o, CTRL)
    names = [entry.name for entry in page(player).files.listing.entries]
    assert names == ["old", "broken.toml", "harbour.toml", "long.toml", "old.toml", "yard.toml"]


@pytest.mark.parametrize("where", ["place 0", "row 0", "up", "list"])
def test_typing_goes_to_the_name_wherever_was_clicked_before(folder: Path, where: str) -> None:
    (folder / "a folder").mkdir()
    player = at(folder / "yard.toml")
    wire(player)
    player.key(pygame.K_s, CTRL | SHIFT)
    click(player, where)
    here = page(player).files.listing.folder
    player.key(pygame.K_a, CTRL)
    typed(player, "my own yard")
    assert page(player).files.name.text == "my own yard"
    player.key(pygame.K_BACKSPACE)
    assert page(player).files.name.text == "my own yar"
    assert page(player).files.listing.folder == here, "a letter rubbed out leads to no other folder"
    player.key(pygame.K_RETURN)
    assert (here / "my own yar.toml").exists()


@pytest.mark.parametrize("stop", ["up", "list", "cancel", "go"])
def test_typing_goes_to_the_name_wherever_the_focus_is(folder: Path, stop: str) -> None:
    player = at(folder / "yard.toml")
    wire(player)
    player.key(pygame.K_s, CTRL | SHIFT)
    for _ in range(12):
        if page(player).files.focus == stop:
            break
        player.key(pygame.K_TAB)
    assert page(player).files.focus == stop
    player.key(pygame.K_a, CTRL)
    typed(player, "x y")
    assert page(player).files.name.text == "x y"
    assert page(player).files.focus == "name"
