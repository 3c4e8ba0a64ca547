"""Turnouts joined to other track, as bench files: plain track at an end, crossovers, a ladder."""

from __future__ import annotations

from collections.abc import Mapping

from sim.bench.model import Bench
from sim.bench.reading import parse
from sim.proof import Verdict, prove
from sim.track.formations import KINDS
from tests.bench import tables
from tests.bench.tables import CONTACT, wires

__all__ = ["bench", "crossover", "crossover_bench", "fed", "ladder", "plain", "trailing", "turnout", "wires"]


def plain(piece: str, at: str, *, length: float = 200, joint: str = "metal", rails: str = "both") -> str:
    sides = ("left", "right") if rails == "both" else (rails,)
    states = ", ".join(f'{side} = "{joint}"' for side in sides)
    return (
        f'\n[[track]]\nid = "{piece}"\nkind = "plain"\nlength_mm = {length}\njoins = {{ a = "{at}" }}\n'
        f"joint = {{ {states} }}\n"
    )


def turnout(piece: str, motor: str, frog: str, **fields: str) -> str:
    more = "".join(f"{key} = {value}\n" for key, value in fields.items())
    return tables.turnout(piece, more=f'frog = "{frog}"\n{more}') + tables.motor(motor, piece) + CONTACT


def bench(*parts: str) -> Bench:
    return parse('bench = 1\n[supply]\nkind = "dcc"\n' + "".join(parts), KINDS, name="two.toml")


def fed(piece: str, motor: str, left: str, right: str) -> str:
    """Stock rails, and the frog from its own contact: the left leg is the main one, and needs the right rail's side."""
    return wires(
        (f"bus.{left}", f"{piece}.stock.left"), (f"bus.{right}", f"{piece}.stock.right"),
        (f"{motor}.k", f"{piece}.frog"), (f"{motor}.m", f"bus.{right}"), (f"{motor}.p", f"bus.{left}"),
    )  # fmt: skip


CUT = '{ "exit.left" = "cut", "exit.right" = "cut" }'
LINK = '{ diverging = "T1.diverging" }'


def crossover(frog: str, *, filed: str = "normal", missing: str = "", tied: bool = False) -> Verdict:
    """The test of every route of a crossover; see `crossover_bench`."""
    return prove(crossover_bench(frog, filed=filed, missing=missing, tied=tied))


def crossover_bench(frog: str, *, filed: str = "normal", missing: str = "", tied: bool = False) -> Bench:
    """A4: west to east, north rail A; the second turnout's toe looks the other way, so its left rail is the south
    one, B.

    missing: the turnout whose gap in the link is not there. tied: both frogs on the first one's contact.
    """
    gaps = {piece: CUT for piece in ("T1", "T2")} if frog == "live" else {}
    if missing:
        gaps[missing] = '{ "exit.left" = "cut" }'
    at = f'"{filed}"'
    parts = [
        turnout("T1", "M1", frog, set=at, **({"gaps": gaps["T1"]} if gaps else {})),
        turnout("T2", "M2", frog, set=at, joins=LINK, **({"gaps": gaps["T2"]} if gaps else {})),
        fed("T1", "M1", "A", "B"),
    ]
    second = fed("T2", "M2", "B", "A")
    parts.append(second.replace('"M2.k", "T2.frog"', '"M1.k", "T2.frog"') if tied else second)
    if (
        frog == "live"
    ):  # the main line's inner exit rails; those of the link are fed from the other turnout's stock rail
        parts.append(wires(("bus.B", "T1.exit.left"), ("bus.A", "T2.exit.left")))
    return bench(*parts)


def ladder(beyond: str, *, missing: bool) -> Verdict:
    """A5: two right-hand turnouts, the second's toe on the first's left leg; missing: that leg's gap at the first."""
    gaps = '{ "exit.right" = "cut" }' if missing else CUT
    return prove(bench(
        turnout("T1", "M1", "live", gaps=gaps),
        turnout("T2", "M2", "live", gaps=CUT, joins='{ toe = "T1.main" }', set=f'"{beyond}"'),
        fed("T1", "M1", "A", "B"), fed("T2", "M2", "A", "B"),
        wires(("bus.A", "T1.exit.right"), ("bus.B", "T2.exit.left"), ("bus.A", "T2.exit.right")),
    ))  # fmt: skip


def trailing(verdict: Verdict) -> Mapping[tuple[str, str], tuple[float | None, float | None, float | None, str]]:
    return {
        f.path: (f.from_mm, f.to_mm, f.amps, f.text)
        for f in verdict.findings
        if f.kind == "points-against" and f.path is not None
    }
