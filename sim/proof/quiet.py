"""Findings with nothing on the track: power on in each setting, every throw, rails that live from a touch alone."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from sim.bench.model import Bench
from sim.electric.parts import PartRef
from sim.proof.explain import fault_loop, power_on_text, rails_of
from sim.proof.faults import Quiet
from sim.proof.judge import Judge
from sim.proof.settings import Travel, points_of
from sim.proof.verdict import Finding
from sim.wiring.names import part_words, section_words
from sim.wiring.telling import amps_words, opening

__all__ = ["power_on", "throwing", "touch_fed"]


def power_on(bench: Bench, travel: Travel, quiet: Quiet) -> Finding | None:
    """The fault of one setting with nothing on the track."""
    if quiet.fault is None:
        return None
    loop = fault_loop(bench, quiet)
    points = points_of(travel)
    rails = rails_of(bench, quiet)
    return Finding(
        "short" if quiet.fault[0] == "short" else "hot",
        "power-on",
        points,
        None,
        None,
        None,
        None,
        None,
        rails,
        quiet.fault[2],
        _volts_left(bench, quiet),
        power_on_text(bench, points, quiet, loop),
        loop,
    )


def _volts_left(bench: Bench, quiet: Quiet) -> float:
    supply = next(s for s in bench.supplies if quiet.fault is not None and s.id == quiet.fault[1])
    return abs(quiet.solution.volts[supply.a] - quiet.solution.volts[supply.b])


def throwing(piece: str, through: Iterable[Judge]) -> Finding | None:
    """A fault that only lasts while `piece` is thrown; `through`: the bench at places of its throw."""
    found: tuple[Judge, Quiet] | None = None
    for each in through:
        quiet = each.quiet()
        if quiet.fault is not None and (found is None or _worse(quiet, found[1])):
            found = (each, quiet)
    if found is None:
        return None
    judge, quiet = found
    bench, at = judge.bench, judge.travel[piece]
    loop = fault_loop(bench, quiet)
    points = points_of(judge.travel, moving=piece)
    rails = rails_of(bench, quiet)
    text = power_on_text(bench, points, quiet, loop)
    text += f" It lasts only for part of the throw, about {at:.0%} of the way from normal to diverging."
    amps = quiet.fault[2] if quiet.fault is not None else 0.0
    return Finding(
        "short-while-throwing",
        "throw",
        points,
        None,
        None,
        None,
        None,
        None,
        rails,
        amps,
        _volts_left(bench, quiet),
        text,
        loop,
    )


def _worse(one: Quiet, other: Quiet) -> bool:
    rank = {"hot": 0, "short": 1}
    if one.fault is None or other.fault is None:
        return other.fault is None
    return (rank[one.fault[0]], one.fault[2]) > (rank[other.fault[0]], other.fault[2])


def touch_fed(bench: Bench, travel: Travel, rails: Iterable[str]) -> Iterator[Finding]:
    """`rails` that would lose their feed without touching blades and joiners."""
    points = points_of(travel)
    for rail in rails:
        text = (
            f"{opening(points)}the {section_words(bench, rail)} lives only from a touching blade or a joiner. "
            "Such a touch gets dirty or works loose: give it a wire."
        )
        yield Finding("blade-fed", "power-on", points, None, None, None, None, None, (rail,), None, None, text)


def overloaded(
    bench: Bench, points: Mapping[str, str], quiet: Quiet, ratings: Mapping[PartRef, float]
) -> Iterator[Finding]:
    """Rated parts that a standing fault overloads with nothing on the track."""
    if quiet.fault is None or quiet.fault[0] == "short":
        return
    for ref, rating in ratings.items():
        amps = abs(quiet.solution.amps.get(ref, 0.0))
        if amps > rating:
            text = (
                f"{opening(points)}the {part_words(bench, ref)} carries {amps_words(amps)}; "
                f"it is rated for {amps_words(rating)}."
            )
            yield Finding("overloaded", "power-on", points, None, None, None, None, None, (), amps, None, text)
