"""The ``[level]`` table: what makes a bench a job to be done."""

# ruff: noqa: RUF009 - declared() makes a dataclass field, as dataclasses.field() does
from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

from sim.bench.fields import ByVerb, Nested, declared
from sim.bench.prompt import Prompt
from sim.bench.shapes import Choice, Either, ListOf, Name, Pair, Text, Whole, YesNo
from sim.bench.vocabulary import SETTINGS

__all__ = [
    "GOALS",
    "SETTINGS",
    "SIDES_SEEN",
    "STEPS",
    "Allow",
    "Level",
    "PlaceStep",
    "PlugStep",
    "PowerStep",
    "ProbeStep",
    "Step",
    "ThrowStep",
    "Trial",
    "TurnStep",
    "UnwireStep",
    "WireStep",
]

GOALS = ("safe", "live", "foreseen", "checked", "tidy")
"""The marks that a level can ask for."""

SIDES_SEEN = ("shown", "proved")
"""How the sides of the rails are seen in a level: all of them, or each once the meter or a running engine proved it."""

_TERMINAL = Text(130, empty=False, what="a terminal", like="T1.frog")
_THROWN = Text(130, empty=False, what="points or a switch", like="T1")
_PLACE = Text(130, empty=False, what="a place", like="T1.gap.closure.left")


@dataclass(frozen=True)
class ThrowStep:
    """Throw ``piece``, points or a switch: over to the other side, or to ``setting`` if one is given.

    Points go over with all that their motor moves; a motor's own id throws them too.
    """

    piece: str = declared(_THROWN, "the points, the motor or the switch that is thrown", key="throw")
    setting: str | None = declared(Choice(*SETTINGS), "how they stand then", default=None, shown="the other way")


@dataclass(frozen=True)
class ProbeStep:
    """Touch the meter's two probes to two terminals."""

    ends: tuple[str, str] = declared(Pair(_TERMINAL), "the terminals of the red and the black probe", key="probe")


@dataclass(frozen=True)
class WireStep:
    """Join two terminals with a wire."""

    ends: tuple[str, str] = declared(Pair(_TERMINAL), "the two terminals", key="wire")


@dataclass(frozen=True)
class UnwireStep:
    """Take away the wire between two terminals."""

    ends: tuple[str, str] = declared(Pair(_TERMINAL), "the two terminals", key="unwire")


@dataclass(frozen=True)
class PlaceStep:
    """Cut, bridge, make or open a place on a piece of track; ``place`` is its full name."""

    place: str = declared(_PLACE, "the place, in full")
    to: str = declared(Name(), "cut, closed, leaking, made or open")


@dataclass(frozen=True)
class TurnStep:
    """Turn a motor round where it is mounted."""

    motor: str = declared(Name(), "the motor", key="turn")


@dataclass(frozen=True)
class PowerStep:
    """Switch the supply on or off."""

    on: bool = declared(YesNo(), "true switches the supply on", key="power")


@dataclass(frozen=True)
class PlugStep:
    """Plug the supply in or unplug it."""

    plugged: bool = declared(YesNo(), "true plugs the supply in", key="plug")


Step: TypeAlias = ThrowStep | ProbeStep | WireStep | UnwireStep | PlaceStep | TurnStep | PowerStep | PlugStep
"""One of the player's own acts, as a level's worked solution lists them."""

STEPS: dict[str, type[Step]] = {
    "throw": ThrowStep,
    "probe": ProbeStep,
    "wire": WireStep,
    "unwire": UnwireStep,
    "place": PlaceStep,
    "turn": TurnStep,
    "power": PowerStep,
    "plug": PlugStep,
}
"""Each sort of step by the key that tells it."""


@dataclass(frozen=True)
class Allow:
    """What the player may change. Lists hold full names of places ("T1.gap.closure.left"); true means all."""

    wires: bool = declared(YesNo(), "wires may be made and taken away", default=True)
    gaps: bool | tuple[str, ...] = declared(
        Either(YesNo(), ListOf(_PLACE, each_once=True)),
        "gaps that may be cut or bridged: all, none or those listed, like T1.closure.left",
        default=False,
    )
    bonds: bool | tuple[str, ...] = declared(
        Either(YesNo(), ListOf(_PLACE, each_once=True)),
        "bonds and jumpers that may be made or opened: all, none or those listed (T1.left is a bond, a jumper is "
        "T1.jumper.left)",
        default=False,
    )
    motor: bool = declared(YesNo(), "motors may be turned round", default=False)
    wire_limit: int | None = declared(Whole(0, 10_000), "most wires on the bench", default=None, shown="no limit")

    def place(self, name: str) -> bool:
        """Whether the player may change the place of that full name."""
        which = self.gaps if name.split(".")[1] == "gap" else self.bonds
        return which if isinstance(which, bool) else name in which


@dataclass(frozen=True)
class Trial:
    """The ``[test]`` table: with what every route is tested."""

    vehicles: tuple[str, ...] | None = declared(
        ListOf(Name(), least=1, each_once=True),
        "vehicles to test with, each alone",
        default=None,
        shown="the standard set of the scale, and every vehicle named in a [[vehicle]] or [[train]]",
    )


@dataclass(frozen=True)
class Level:
    """The job: what is wanted, what is marked, what may be touched, and one way to do it."""

    chapter: str = declared(Name(), "the chapter it belongs to, one that is listed", default="first-frog")
    rank: int | None = declared(Whole(1, 1000), "its place in its chapter", default=None, shown="after all others")
    minutes: int | None = declared(Whole(1, 600), "how long it takes, about", default=None, shown="not told")
    line: str = declared(Text(100), "what stands under its title in the list of jobs", default="")
    task: str = declared(Text(300), "what is to be done, in one sentence", default="")
    brief: str = declared(Text(), "what is wanted, in one or two sentences", default="")
    goals: tuple[str, ...] = declared(
        ListOf(Choice(*GOALS), each_once=True), "the marks it asks for", default=("safe", "live", "checked")
    )
    predict: tuple[str, ...] = declared(
        ListOf(Name(), each_once=True), "points whose frog's side is to be said first, in each position", default=()
    )
    readings: int = declared(Whole(0, 1000), "meter readings that count as enough", default=6)
    allow: Allow = declared(Nested(Allow, "what the player may change"), "what the player may change", default=Allow())
    hints: tuple[str, ...] = declared(ListOf(Text(empty=False), 100), "hints, the gentlest first", default=())
    teaches: str = declared(Text(), "the lesson, shown after success", default="")
    prompts: tuple[Prompt, ...] = declared(
        ListOf(Nested(Prompt, "a prompt"), 40), "sentences that lead through the job, one at a time", default=()
    )
    solution: tuple[Step, ...] = declared(
        ListOf(ByVerb("a step", STEPS)), "the player's own edits, in order", default=()
    )
    seen: str = declared(Choice("above", "below"), "how the board lies when the job is opened", default="above")
    sides: str = declared(
        Choice(*SIDES_SEEN),
        "whether each rail shows its side from the start, or is bare metal until the meter, or a running engine, has "
        "proved it",
        default="shown",
    )
