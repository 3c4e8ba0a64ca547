"""Moments of the program that tests look at: every page, and the bench in every state that shows something else.

A new page or state is one line in `MOMENTS`: its name and what makes it, and where it needs to know the window, what
arranges it there.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import lru_cache, partial
from pathlib import Path

from sim.bench.edits import MakeWire
from sim.bench.prompt import Prompt
from sim.bench.reading import load
from sim.coach.assessment import told
from sim.game.desk.hit import areas
from sim.game.desk.prompting import target_of
from sim.game.draw.pages.files import Entry, Listing, Place, Purpose
from sim.game.draw.pages.result import result_of
from sim.game.draw.pages.result_plan import Leaves
from sim.game.look.settings import Settings
from sim.game.look.theme import Theme
from sim.game.paper.view import Rooms
from sim.game.screens.bench_page import BenchScreen
from sim.game.screens.files_page import FilesScreen
from sim.game.screens.jobs_page import JobsScreen
from sim.game.screens.keys_page import KeysScreen
from sim.game.screens.languages_page import LanguagesScreen
from sim.game.screens.paging import result_box
from sim.game.screens.screen import Screen
from sim.game.screens.settings_page import SettingsScreen
from sim.game.whereabouts.area import middle_of
from sim.game.whereabouts.stage import Stage
from sim.game.whereabouts.viewstate import Hand, PromptView, ViewState
from sim.progress import Best
from sim.proof import prove
from sim.resources import level_names, level_path
from sim.session.acts import Dial, Direction, Do, Drive, Plug, Power, Predict, Probe, Throw
from sim.syllabus import chapter_title
from sim.track.formations import KINDS
from tests.game.played import MOMENTS as PLAYED
from tests.game.played import Moment as PlayedMoment
from tests.game.played import View
from tests.game.playing import EXCHANGED_WIRES, GOOD_WIRES
from tests.levels.playing import level_of, play, predictions, quick

__all__ = ["MOMENTS", "Moment"]


@dataclass(frozen=True)
class Moment:
    """A page or a state of the bench; `arrange` brings it about in a window, `shows` is what must be seen whole."""

    name: str
    make: Callable[[], Screen]
    arrange: Callable[[BenchScreen, Stage], None] | None = None
    shows: Callable[[BenchScreen], tuple[str, ...]] | None = None

    def screen(self, rooms: Rooms, theme: Theme) -> Screen:
        """The page, arranged in a window."""
        screen = self.make()
        if isinstance(screen, BenchScreen) and self.arrange is not None:
            self.arrange(screen, screen.stage(rooms, theme))
        return screen


def bench_of(name: str) -> BenchScreen:
    """A job as it is filed."""
    bench = load(level_path(name), KINDS)
    return BenchScreen(bench, chapter_title(level_of(bench).chapter), "job 3 of 9", "wye", name)


def wired(wires: tuple[tuple[str, str], ...], name: str = "right-hand") -> BenchScreen:
    """A job with so many wires on it."""
    screen = bench_of(name)
    screen.act(*(Do(MakeWire(*ends)) for ends in wires))
    return screen


def shorted() -> BenchScreen:
    """The outers exchanged, power on, and the shunter on the frog."""
    screen = wired(EXCHANGED_WIRES)
    screen.act(Predict("T1", "normal", "right"), Predict("T1", "diverging", "left"), Plug(True), Power(True))
    screen.act(Direction("shunter", 1), Drive("shunter", 0.6))
    for _ in range(400):
        screen.snapshot = screen.session.step(0.1)
        if screen.snapshot.fault is not None:
            return screen
    raise AssertionError("no short came about")


def stalled() -> BenchScreen:
    """A frog without a wire, and the engine dead on it, with a log that says so."""
    screen = bench_of("first-frog")
    screen.act(Plug(True), Power(True), Direction("shunter", 1), Drive("shunter", 0.4))
    for _ in range(300):
        screen.snapshot = screen.session.step(0.1)
    return screen


def measured() -> BenchScreen:
    """All four readings taken, the last with the supply plugged in, which brings the caution."""
    screen = wired(GOOD_WIRES)
    screen.act(Dial("ohms"))
    for setting in ("normal", "diverging"):
        screen.act(Throw("T1", setting))
        screen.snapshot = screen.session.step(3.0)
        for side in ("left", "right"):
            screen.act(Probe("T1.frog", f"T1.stock.{side}"))
            screen.snapshot = screen.session.step(0.5)
    return screen


def cautioned() -> BenchScreen:
    """Ohms asked for with the supply on."""
    screen = measured()
    screen.act(Plug(True), Power(True))
    screen.snapshot = screen.session.step(0.5)
    assert screen.snapshot.meter.caution
    return screen


def leafed(leaf: int) -> KeysScreen:
    """The page of keys at one of its leaves."""
    screen = KeysScreen()
    screen.leaf = leaf
    return screen


def begun() -> BenchScreen:
    """A long brief, with a first act in the log."""
    screen = bench_of("three-screws")
    screen.act(Plug(False))
    return screen


def hinted(name: str, stage: int) -> BenchScreen:
    """A hint asked for so often."""
    screen = bench_of(name)
    for _ in range(stage):
        screen.view = screen.hints.ask(screen.snapshot, screen.view)
    return screen


def _prompts() -> tuple[Prompt, ...]:
    """What is said on the first bench in the first five minutes."""
    return level_of(load(level_path("first-frog"), KINDS)).prompts


def prompted(number: int) -> Callable[[BenchScreen, Stage], None]:
    """One of the prompts beside its thing."""

    def arrange(screen: BenchScreen, stage: Stage) -> None:
        prompt = _prompts()[number]
        trains = [train.id for train in screen.snapshot.trains]
        target = target_of(prompt.at, trains, next(iter(screen.snapshot.travel)))
        screen.view = replace(screen.view, prompt=PromptView(target, prompt.say))

    return arrange


def _prompted(screen: BenchScreen) -> tuple[str, ...]:
    """What the prompt says."""
    assert screen.view.prompt is not None
    return (screen.view.prompt.text,)


_THINGS = {"ammeter", "track", "piece", "compared", "opened"}
"""Moments that are played by hand, which show what no other does."""


def played(moment: PlayedMoment) -> BenchScreen:
    """What a hand on the window comes to, in a window of the middle size."""
    return View(moment, (1280, 800), "night", False).played().bench


def judged(screen: BenchScreen) -> BenchScreen:
    """Every route tested."""
    verdict = prove(screen.session.bench)
    screen.result = result_of(screen.session.bench, verdict, screen.snapshot)
    screen.session.judge(verdict, screen.result.reached)
    screen.snapshot = screen.session.snapshot()
    return screen


def solved(name: str) -> BenchScreen:
    """A level with its own solution, tested."""
    bench = load(level_path(name), KINDS)
    session, _ = play(quick(bench), level_of(bench).solution, predictions(bench))
    screen = BenchScreen(session.bench, chapter_title(level_of(bench).chapter), "job 3 of 9", "wye", name)
    screen.session, screen.snapshot = session, session.snapshot()
    return judged(screen)


def show(**changes: object) -> Callable[[BenchScreen, Stage], None]:
    """Fields of the view."""

    def arrange(screen: BenchScreen, stage: Stage) -> None:
        screen.view = replace(screen.view, **changes)  # type: ignore[arg-type]

    return arrange


def over(kind: str, last: bool = False) -> Callable[[BenchScreen, Stage], None]:
    """The pointer on the first, or the last, thing of a kind."""

    def arrange(screen: BenchScreen, stage: Stage) -> None:
        found = [area for area in areas(stage, screen.snapshot, screen.view) if area.target.kind == kind]
        area = found[-1 if last else 0]
        screen.view = replace(screen.view, hover=area.target, pointer=middle_of(area))

    return arrange


def wire_in_hand(screen: BenchScreen, stage: Stage) -> None:
    """A wire from a screw, its loose end over the mat's right edge."""
    mat = stage.rooms.mat
    at = (mat.right - 40.0 * stage.unit, mat.centery)
    screen.view = replace(screen.view, hand=Hand("wire", "M1.k", at, False), pointer=at)


def slip_of_wire(screen: BenchScreen, stage: Stage) -> None:
    """The slip of the first wire."""
    screen.view = replace(screen.view, menu_wire=0)


def turned_over(screen: BenchScreen, stage: Stage) -> None:
    """The job sheet turned to its other half: to the brief, or where that stands beside the log, to all of the log."""
    screen.view = replace(screen.view, turned=len(told(screen.snapshot)))


def turned_to(leaf: int) -> Callable[[BenchScreen, Stage], None]:
    """The list on the result sheet turned on, as far as it can be."""

    def arrange(screen: BenchScreen, stage: Stage) -> None:
        assert screen.result is not None
        most = Leaves(result_box(stage), stage.unit, stage.theme, screen.result).last
        screen.view = replace(screen.view, leaf=min(leaf, most))

    return arrange


def _said(screen: BenchScreen) -> tuple[str, ...]:
    """The newest line of the log."""
    return screen.snapshot.log[-1:]


def _told(screen: BenchScreen) -> tuple[str, ...]:
    """What is said of a short."""
    assert screen.snapshot.fault is not None
    return (screen.snapshot.fault.text,)


def _brief(screen: BenchScreen) -> tuple[str, ...]:
    return (level_of(screen.session.bench).brief,)


def _found(screen: BenchScreen) -> tuple[str, ...]:
    """The first finding and the lesson."""
    assert screen.result is not None
    return (screen.result.summary,)


def files_page(purpose: Purpose, fault: str = "") -> FilesScreen:
    """The page of files in a folder with more than it has room for."""
    folder = Path("/home/somebody/layouts/club room")
    entries = () if fault else (Entry("old", True), *(Entry(f"yard {k}.toml") for k in range(40)))
    places = [Place(words, Path("/") / words) for words in ("Home", "Started in", "turnout")]
    screen = FilesScreen(purpose, folder, lambda _: Listing(folder, entries, fault), places, "goods shed.toml", _NOTE)
    screen.files = screen.files.set_on(1, 5)
    return screen


_WRONG = "yard.toml: track T1: no frog 'x'"
_MARKS = {"first-frog": Best(96, True), "three-screws": Best(40, False)}
_NOTE = "A job of the program is never changed: this saves a bench of your own beside it."


@lru_cache(maxsize=1)
def _moments() -> tuple[Moment, ...]:
    def kept(make: Callable[[], BenchScreen]) -> Callable[[], BenchScreen]:
        """Made once, and each time seen as it was then."""

        @lru_cache(maxsize=1)
        def once() -> tuple[BenchScreen, ViewState]:
            screen = make()
            return screen, screen.view

        def again() -> BenchScreen:
            screen, view = once()
            screen.view = view
            return screen

        return again

    first = kept(lambda: bench_of("first-frog"))
    one, good, short = kept(lambda: bench_of("right-hand")), kept(lambda: wired(GOOD_WIRES)), kept(shorted)
    probed = kept(measured)
    clean = kept(lambda: judged(wired(GOOD_WIRES)))
    failing = kept(lambda: judged(wired(EXCHANGED_WIRES)))
    return (
        *(Moment(name, kept(partial(bench_of, name)), show(below=False), _brief) for name in level_names()),
        Moment("from below as it opens, the sheet folded", kept(partial(bench_of, "from-below")), show(folded=True)),
        Moment("jobs", lambda: JobsScreen(calm=True)),
        Moment("jobs, some of them done", lambda: JobsScreen(_MARKS, "", (), ["level right-hand"], calm=True)),
        Moment("jobs, a file that cannot be opened", lambda: JobsScreen(None, _WRONG, calm=True)),
        *(Moment(f"keys, sheet {leaf + 1}", partial(leafed, leaf)) for leaf in range(3)),
        *(Moment(f"played: {each.name}", kept(partial(played, each))) for each in PLAYED if each.name in _THINGS),
        Moment("settings", lambda: SettingsScreen(Settings())),
        Moment("settings that cannot be kept", lambda: SettingsScreen(Settings(), "The settings cannot be kept. " * 4)),
        Moment("in other languages", LanguagesScreen),
        Moment("wire in hand", one, wire_in_hand),
        Moment("slip of a wire", good, slip_of_wire),
        Moment("short", short, show(), _told),
        Moment("short, from below", short, show(below=True, folded=True), _told),
        Moment("dead on the frog", kept(stalled), show(), _said),
        Moment("measured", probed, show(), _said),
        Moment("caution", kept(cautioned), show(caution=None), _said),
        Moment("slip folded", good, show(slip=False)),
        Moment("sheet folded", good, show(folded=True)),
        Moment("from below", good, show(below=True, folded=True)),
        Moment("from below, slip folded", good, show(below=True, folded=True, slip=False)),
        Moment("turned over", good, turned_over),
        Moment("wires on three screws", kept(begun), show(), _said),
        *(Moment(f"first hint on {name}", kept(partial(hinted, name, 1)), show()) for name in level_names()),
        *(Moment(f"last hint on {name}", kept(partial(hinted, name, 3)), show()) for name in level_names()),
        *(Moment(f"prompt {k}", first, prompted(k), _prompted) for k in range(len(_prompts()))),
        Moment("testing", good, show(testing=0.4)),
        *(Moment(f"over a {kind}", good, over(kind)) for kind in ("place", "wire")),
        Moment("over the last place", good, over("place", True)),
        Moment("over a motor", kept(lambda: bench_of("turned-round")), over("motor")),
        Moment("result, clean", clean, show(chosen=None), _found),
        Moment("result, failing", failing, show(chosen=None), _found),
        Moment("result, a finding chosen", failing, show(chosen=1), _found),
        *(Moment(f"result, failing, leaf {leaf}", failing, turned_to(leaf)) for leaf in (1, 2, 9)),
        *(Moment(f"result, clean, leaf {leaf}", clean, turned_to(leaf)) for leaf in (1, 2)),
        Moment("result, nothing wired", kept(lambda: judged(bench_of("unmarked"))), show(chosen=None), _found),
        *(Moment(f"result of {name}", kept(partial(solved, name)), show(), _found) for name in level_names()),
    )


MOMENTS: tuple[Moment, ...] = _moments()
"""Every moment."""
