"""What the picture shows beside the bench itself: where the pointer is, what is in hand, what is open. Plain values."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

from sim.bench.model import Bench
from sim.electric.parts import PartRef
from sim.game.draw.railway.embers import HotWay
from sim.game.paper.camera import HOME, Camera
from sim.game.paper.view import Point
from sim.proof.breaking import Broken
from sim.proof.compare import Comparison
from sim.session.otherwise import GapMoment
from sim.session.snapshot import FaultView

__all__ = [
    "CautionView",
    "Clip",
    "Hand",
    "HintView",
    "Hot",
    "Lens",
    "Note",
    "Pointed",
    "PromptView",
    "Target",
    "ViewState",
]


class Target(NamedTuple):
    """Something that can be pointed at.

    kind: "terminal", "wire", "place", "blade", "lever", "dial", "knob", "rocker", "plug", "slider", "direction",
    "vehicle", "motor", "probe", "button", "top", "fold", "slip", "predict", "menu", "finding", "headline", "rail",
    "paper"
    name: which one of them
    """

    kind: str
    name: str = ""


class Hand(NamedTuple):
    """What is in hand.

    what: the kind of the thing that it came from; name: which one, of a wire the terminal that it starts from
    at: where it is held, px; dragging: held by a pressed button, else by two clicks
    moves: of a wire that is on the bench already and stays on its other end: its number, and which end (0 or 1) is held
    grip: of the lens: how far its middle is from where it is held, px; of the mat: where the camera stood at first
    taken_at: of the mat: where it was taken, px
    """

    what: str
    name: str
    at: Point
    dragging: bool
    moves: tuple[int, int] | None = None
    grip: Point = (0.0, 0.0)
    taken_at: Point = (0.0, 0.0)


class Clip(NamedTuple):
    """What the clip-on ammeter goes round.

    kind: "wire" (name: its number, at: the share of its way, ends: its two terminals) or "rail" (name: the rail, at:
    the place on the bench, mm)
    """

    kind: str
    name: str
    at: Point
    ends: tuple[str, ...] = ()


class Lens(NamedTuple):
    """The magnifier in use: where the middle of its glass lies, mm, and what it shows; None: what lies under it."""

    glass: Point
    of: Point | None


class Note(NamedTuple):
    """A small paper label that points at something: its tip, px, its lines, and the box that it lies below or above."""

    tip: Point
    lines: tuple[str, ...]
    clear: tuple[int, int, int, int] | None = None


class Hot(NamedTuple):
    """How a short is seen at a moment.

    way: of its current; level: of its strength, 0 before it can be shown; phase: how far the zigzag has crawled
    words: what is said of it, and the magnifier, are there
    """

    way: HotWay
    level: int
    phase: int
    words: bool


class Pointed(NamedTuple):
    """Things that the bench points out by itself, ringed, with a paper label beside the first of them."""

    targets: tuple[Target, ...]
    lines: tuple[str, ...]


class PromptView(NamedTuple):
    """The prompt that stands on the bench: beside what, and its sentence."""

    target: Target
    text: str


class CautionView(NamedTuple):
    """The caution that stands on the bench: its name, and what it stands beside."""

    name: str
    target: Target


class HintView(NamedTuple):
    """The hint on the job sheet: how far it has been told (1 question, 2 place, 3 change) and its words."""

    stage: int
    text: str


@dataclass(frozen=True)
class ViewState:
    """Everything of the view that is not the bench.

    pointer: px; hover: what is under it; focus: what the keyboard acts on, None until Tab is pressed
    menu_wire: the wire whose slip is open; folded: the job sheet is folded away; slip: the frog slip lies open
    train, supply, frog: which of several the throttle, the supply's panel and the slip show
    needle: degrees of the ammeter's needle; testing: share of the test that is done, None when none runs
    red_mm, black_mm: where on a rail a tip was put, in mm on the bench; None: on its tab or screw
    ghost: a train in hand, with its axles as it would stand; chosen: number of the finding shown on the track
    lids_off: the motors' contacts lie open, found or not; bare: a rail shows its side only once that is proved
    clip: what the clip-on ammeter goes round; None while it is parked
    lens: the magnifier in use; None while it is parked, or offers itself on a short
    lens_away: the short at which it has been put away, and does not offer itself again
    gap: a gap's two moments, cut and closed, that are shown side by side
    camera: what of the mat is seen; glides: it moves still
    pace: seconds that pass on the bench in each second
    below: the board is turned over and seen from below; folded_above: the sheet lay folded when it was turned
    filed: how long the log was when the bench was opened
    turned: how long the log was when the job sheet was turned to its other half; None: it was not
    leaf: how far the list on the result sheet is turned on; 0: it begins with the strips; -N: so too, from its number N
    meaning: what of the meter is explained beside it, by its name in `sim.coach.meanings`; empty for nothing
    chapter, job: words for the top rail
    hint: the hint that lies open, None for none; pointed: what is pointed out on the bench
    sleeves: the wires' numbers are shown
    at_place, turns, ghost_rails: a piece in hand: the ring that it is at, how often it was turned, its rails (mm)
    opened: the piece, motor or fixture whose slip lies open
    first: the wiring kept to be compared with; compared: both benches and what came of it, while that sheet lies open
    broken: everything opened once and what died, while that list lies open
    broken_top, broken_ref: the first line of it that is shown, and the thing that is ringed
    work: what is being worked out ("compare", "break") and the share done
    said: a few words that stand for a moment, beside what was tried
    rested: what the pointer, or the focus, has been on for so long that it says its name
    prompt: the prompt that stands there; prompts_left: the player has put them away
    caution: the caution that stands there until the next thing is done
    begin_asked: the player is asked whether to begin again
    hot: how a short is seen while it begins, grows and falls; None: as it rests
    """

    pointer: Point = (-1.0, -1.0)
    hover: Target | None = None
    focus: Target | None = None
    hand: Hand | None = None
    menu_wire: int | None = None
    folded: bool = False
    slip: bool = True
    train: int = 0
    supply: int = 0
    frog: int = 0
    lever: int = 0
    needle: float = 150.0
    testing: float | None = None
    red_mm: Point | None = None
    black_mm: Point | None = None
    ghost: tuple[str, tuple[tuple[float, float, float], ...]] | None = None
    chosen: int | None = None
    lids_off: bool = False
    bare: bool = False
    clip: Clip | None = None
    lens: Lens | None = None
    lens_away: FaultView | None = None
    gap: tuple[GapMoment, GapMoment] | None = None
    camera: Camera = HOME
    glides: bool = False
    pace: float = 1.0
    below: bool = False
    folded_above: bool = False
    filed: int = 0
    turned: int | None = None
    leaf: int = 0
    chapter: str = ""
    job: str = ""
    hint: HintView | None = None
    pointed: Pointed | None = None
    sleeves: bool = False
    at_place: str | None = None
    turns: int = 0
    ghost_rails: tuple[tuple[Point, ...], ...] = ()
    opened: str | None = None
    first: Bench | None = None
    compared: tuple[Bench, Bench, Comparison] | None = None
    broken: tuple[Broken, ...] | None = None
    broken_top: int = 0
    broken_ref: PartRef | None = None
    work: tuple[str, float] | None = None
    said: Note | None = None
    rested: Target | None = None
    prompt: PromptView | None = None
    prompts_left: bool = False
    caution: CautionView | None = None
    meaning: str = ""
    begin_asked: bool = False
    hot: Hot | None = None
