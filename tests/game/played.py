"""Moments of the window worth a picture: one table, for the gallery in docs and for the golden pictures.

A moment is played through the window's own events. A new one is a function that plays it, and a line in MOMENTS.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import pygame

from sim.game.screens.settings_page import SettingsScreen
from sim.resources import level_path, test_track_path
from tests.game.playing import EXCHANGED_WIRES, FRAME, GOOD_WIRES, Player

__all__ = [
    "BOTH_THEMES",
    "DOCS_SIZES",
    "EVERY_SIZE",
    "MIDDLE_SIZE",
    "MOMENTS",
    "Moment",
    "Size",
    "View",
    "every_view",
    "golden_views",
    "views",
]

Size = tuple[int, int]
MIDDLE_SIZE: Size = (1280, 800)
DOCS_SIZES: tuple[Size, ...] = ((1024, 720), MIDDLE_SIZE, (1920, 1080))
EVERY_SIZE: tuple[Size, ...] = ((1024, 720), MIDDLE_SIZE, (1366, 768), (1920, 1080), (2560, 1440))
BOTH_THEMES = ("night", "hall")

_PATIENCE = 1500  # frames
_OVER_THE_FROG_MM = 262.0  # x of the shunter's leading axle, just before the frog of right-hand


# Hands


def wire(player: Player, wires: tuple[tuple[str, str], ...] = GOOD_WIRES) -> None:
    """Take wires from end to end."""
    for a, b in wires:
        player.wire_by_drag(a, b)


def say(player: Player) -> None:
    """Say what the frog of right-hand must match, rightly."""
    for name in ("normal/right", "diverging/left"):
        player.click(player.place("predict", name))


def measure(player: Player) -> None:
    """Take the seven readings of right-hand, three for the screws and four for the frog, and lift the tips."""
    for red, black in (("p", "m"), ("p", "k"), ("m", "k")):
        player.probe("red", f"M1.{red}")
        player.probe("black", f"M1.{black}")
        player.wait(0.2)
    player.probe("red", "T1.frog")
    for _ in range(2):
        for side in ("left", "right"):
            player.probe("black", f"T1.stock.{side}")
            player.wait(0.2)
        player.click(player.place("lever", "T1"))
        player.wait(2.0)
    player.key(pygame.K_BACKSPACE)


def power(player: Player) -> None:
    """Plug in and switch on."""
    player.click(player.place("plug", "supply"))
    player.click(player.place("rocker", "supply"))


def drive(player: Player) -> None:
    """Off towards the frog, which the shunter of every job faces, at half speed."""
    knob = player.place("slider", "shunter")
    player.drag(knob, (knob[0] + 80 * player.stage.unit, knob[1]))


def drive_over(player: Player) -> None:
    """Drive until the shunter stands over the frog's gap."""
    drive(player)
    for _ in range(_PATIENCE):
        if player.bench.snapshot.trains[0].vehicles[0].axles[0][0] > _OVER_THE_FROG_MM:
            return
        player.wait(FRAME)
    raise AssertionError("the shunter never comes to the frog")


def _tested(player: Player) -> None:
    player.click(player.place("button", "test"))
    player.wait_for_result()


# Moments


def _nothing(player: Player) -> None:
    player.wait(1.0)


def _keys(player: Player) -> None:
    player.key(pygame.K_F1)


def _settings(player: Player) -> None:
    player.key(pygame.K_F2)


def _names(player: Player) -> None:
    player.key(pygame.K_F3)


def _languages(player: Player) -> None:
    _settings(player)
    screen = player.window.screen
    assert isinstance(screen, SettingsScreen)
    player.click(screen.arranged(player.window.rooms, player.window.theme).places["", "languages"].center)


def _wrong_file(player: Player) -> None:
    player.window.handle(pygame.event.Event(pygame.DROPFILE, file="layout.toml"))


def _wire_in_hand(player: Player) -> None:
    wire(player, GOOD_WIRES[:2])
    player.click(player.place("terminal", "M1.p"))
    player.point(player.place("terminal", "T1.frog"))


def _wire_slip(player: Player) -> None:
    wire(player)
    player.click(player.place("wire", "2"))


def _probing(player: Player) -> None:
    wire(player)
    say(player)
    player.probe("red", "T1.frog")
    player.probe("black", "T1.stock.right")
    player.wait(1.0)


def _by_keys(player: Player) -> None:
    wire(player, GOOD_WIRES[:2])
    player.focus("terminal", "M1.m")


def _driving(player: Player) -> None:
    wire(player)
    say(player)
    measure(player)
    power(player)
    drive_over(player)


def _throwing(player: Player) -> None:
    wire(player)
    player.click(player.place("lever", "T1"))
    player.wait(0.6)


def _short(player: Player) -> None:
    wire(player, EXCHANGED_WIRES)
    say(player)
    power(player)
    drive(player)
    for _ in range(_PATIENCE):
        if player.bench.snapshot.fault is not None:
            player.wait(2.0)
            return
        player.wait(FRAME)
    raise AssertionError("no short")


def _result_failing(player: Player) -> None:
    wire(player, EXCHANGED_WIRES)
    say(player)
    _tested(player)


def _finding(player: Player) -> None:
    _result_failing(player)
    player.key(pygame.K_TAB)
    player.key(pygame.K_RETURN)


def _result_clean(player: Player) -> None:
    wire(player)
    say(player)
    measure(player)
    _tested(player)


def die(player: Player) -> None:
    """first-frog opens with its shunter under way: it creeps on and dies on the frog."""
    for _ in range(_PATIENCE):
        player.wait(FRAME)
        if not player.bench.snapshot.trains[0].running:
            player.wait(1.0)
            return
    raise AssertionError("the shunter never dies")


def _hint(player: Player) -> None:
    player.click(player.place("button", "hint"))
    player.key(pygame.K_h)
    player.key(pygame.K_h)


def _clip(player: Player) -> None:
    _driving(player)
    player.drag(player.place("clip", ""), player.place("wire", "0"))


def _prompt(player: Player) -> None:
    """Pushed on and unplugged: the prompt asks for the meter."""
    die(player)
    for _ in range(_PATIENCE):
        player.key(pygame.K_PERIOD)
        player.wait(0.1)
        if player.bench.snapshot.trains[0].running:
            break
    player.key(pygame.K_0)
    player.wait(1.0)
    player.click(player.place("plug", "supply"))
    player.wait(0.5)


def _gap(player: Player) -> None:
    """What the closure gap beside a standing engine does."""
    _stopped_at(player, "T1.gap.closure.left", pygame.K_g)


def _lens(player: Player) -> None:
    _stopped_at(player, "T1.gap.closure.right", pygame.K_l)


def _stopped_at(player: Player, place: str, key: int) -> None:
    """The engine has been driven and stopped; then a key on a place."""
    _driving(player)
    player.key(pygame.K_0)
    player.wait(1.0)
    player.focus("place", place)
    player.key(key)
    player.wait(0.2)


_TRACK_WIRES = (
    ("bus.A", "T1.stock.left"), ("bus.B", "T1.stock.right"), ("M1.k", "T1.frog"), ("bus.B", "M1.m"), ("bus.A", "M1.p"),
)  # fmt: skip


def _laid(player: Player) -> None:
    """The test track wired, with more track joined to it."""
    wire(player, _TRACK_WIRES)
    for item, place in (("turnout-left", "T1.main"), ("curve", "T1.diverging")):
        player.click(player.place("drawer", item))
        player.click(player.place("place-here", place))


def _piece_in_hand(player: Player) -> None:
    wire(player, _TRACK_WIRES)
    player.click(player.place("drawer", "turnout-left"))
    player.point(player.place("place-here", "T1.main"))


def _compared(player: Player) -> None:
    wire(player, _TRACK_WIRES)
    player.key(pygame.K_k)
    player.focus("wire", "4")
    player.key(pygame.K_DELETE)
    player.key(pygame.K_k)
    _until(player, "compared")


def _opened(player: Player) -> None:
    wire(player, _TRACK_WIRES)
    player.key(pygame.K_o)
    _until(player, "broken")


def _until(player: Player, field: str) -> None:
    """Until the view shows something that is worked out frame by frame."""
    for _ in range(_PATIENCE):
        if getattr(player.bench.view, field) is not None:
            player.wait(FRAME)
            return
        player.wait(FRAME)
    raise AssertionError(f"{field} never comes")


_TEST_TRACK = "the test track"


def _file_of(level: str | None) -> Path | None:
    """What is opened: a level, the test track, or nothing."""
    if level is None:
        return None
    return test_track_path() if level == _TEST_TRACK else level_path(level)


@dataclass(frozen=True)
class Moment:
    """name: of its files; words: its caption; play: from the open window to the moment.

    level: opened at the start, the list of jobs without; below: it is shown from below too;
    hall: compared with a kept picture in hall light too;
    in_full: shown in docs in both lights and at each of DOCS_SIZES, not by night at MIDDLE_SIZE alone.
    """

    name: str
    words: str
    play: Callable[[Player], None]
    level: str | None = "right-hand"
    below: bool = False
    hall: bool = False
    in_full: bool = False


MOMENTS: tuple[Moment, ...] = (
    Moment("jobs", "The list of jobs", _nothing, level=None, hall=True, in_full=True),
    Moment("wrong-file", "A file that is no bench, dropped on the window", _wrong_file, level=None),
    Moment("keys", "The page of keys, F1", _keys, hall=True),
    Moment("settings", "The page of settings, F2", _settings, hall=True),
    Moment("names", "A turnout with the names of its parts, F3", _names, hall=True),
    Moment("languages", "The parts in other languages, from the settings", _languages),
    Moment("start", "A job as it is found: nothing is wired", _nothing, below=True, hall=True),
    Moment("wire", "A wire in hand; every place where it can end is ringed", _wire_in_hand, below=True, hall=True),
    Moment("slip", "A wire's slip: its colour, or off with it", _wire_slip, below=True),
    Moment("focus", "By keys alone: the ring shows what Enter acts on", _by_keys),
    Moment("probing", "The meter between frog and stock rail, unplugged", _probing, below=True, hall=True),
    Moment("throwing", "The blades on their way over", _throwing),
    Moment(
        "driving", "Over the frog; arrowheads show where current flows", _driving, below=True, hall=True, in_full=True
    ),
    Moment(
        "short", "A short: the loop glows, the sheet tells what touched what", _short,
        below=True, hall=True, in_full=True,
    ),
    Moment("failing", "Every route tested: what fails, and where", _result_failing, hall=True, in_full=True),
    Moment("finding", "A finding shown on the track", _finding),
    Moment("clean", "Every route tested: clean, with marks and the lesson", _result_clean, hall=True),
    Moment("dead", "An engine dead on a frog without feed", die, level="first-frog"),
    Moment(
        "prompt", "The first five minutes: one prompt beside the thing to touch", _prompt, level="first-frog", hall=True
    ),
    Moment("gap", "What a gap does: the same moment with it cut and closed", _gap),
    Moment("lens", "The magnifier on what touches what", _lens, below=True),
    Moment("hint", "A hint: first a question, then a place, then the change", _hint),
    Moment("ammeter", "The clip-on ammeter round a wire", _clip),
    Moment("track", "The test track, with its drawer of pieces", _laid, level=_TEST_TRACK, hall=True),
    Moment("piece", "A piece of track in hand", _piece_in_hand, level=_TEST_TRACK),
    Moment("compared", "Two wirings of one bench beside each other", _compared, level=_TEST_TRACK),
    Moment("opened", "What dies when each thing is opened once", _opened, level=_TEST_TRACK),
    Moment("unmarked", "A motor with six screws and no labels", _nothing, level="unmarked"),
    Moment("wye", "Two legs, neither of them main", _nothing, level="wye", below=True),
)  # fmt: skip


@dataclass(frozen=True)
class View:
    """A moment at one size and in one theme, from above or from below."""

    moment: Moment
    size: Size
    theme: str
    below: bool

    @property
    def name(self) -> str:
        """Of its file, without an ending."""
        side = "-below" if self.below else ""
        return f"{self.moment.name}{side}-{self.size[0]}x{self.size[1]}-{self.theme}"

    def played(self) -> Player:
        """Someone at the window at that moment."""
        player = Player(_file_of(self.moment.level), self.size, self.theme, watching=False)
        if self.below:
            player.key(pygame.K_v)
        self.moment.play(player)
        return player

    def picture(self) -> pygame.Surface:
        """What the window shows."""
        return self.played().picture()


def every_view() -> tuple[View, ...]:
    """All that can be taken; those of one size and theme stand together, so that what they share is drawn once."""
    return tuple(
        View(moment, size, theme, below)
        for size in EVERY_SIZE
        for theme in BOTH_THEMES
        for moment in MOMENTS
        for below in ((False, True) if moment.below else (False,))
    )


def _plain(view: View) -> bool:
    return view.size == MIDDLE_SIZE and view.theme == "night"


def views() -> tuple[View, ...]:
    """Those in docs: each moment once, and a few, from above, in both lights and at other sizes too."""
    return tuple(
        view
        for view in every_view()
        if _plain(view) or (view.moment.in_full and not view.below and view.size in DOCS_SIZES)
    )


def golden_views() -> tuple[View, ...]:
    """Those compared with a kept picture: all by night, and a part by hall light."""
    middle = [view for view in every_view() if view.size == MIDDLE_SIZE]
    return tuple(view for view in middle if view.theme == "night" or view.moment.hall)
