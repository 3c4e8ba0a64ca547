"""Turnouts among other track: crossovers, a ladder, a crossed feeder, trains that trail in against the points."""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial

from sim.train import fleet
from tests.proof.benches import HANDS, LEGS, Desk, legs_of, setting_for
from tests.proof.met import fits, rows
from tests.proof.neighbours import crossover, crossover_bench, ladder, plain, trailing, wires
from tests.proof.runs import trailing_on
from tests.proof.saying import told
from tests.reference.check import Check, Source, every
from tests.reference.page import verify

CROSSOVER = Source("A4, crossover between parallel tracks", "common practice")
LINK = Source("D1 row 12, missing gap in a crossover's link", "common practice")
TIED = Source("D1 row 13, crossover's frogs on one contact", "common practice")
UNALIKE = Source("D1 row 14, crossover's turnouts thrown unalike", "common practice")
LADDER = Source("D1 row 15, missing gap in a ladder", "common practice")
FEEDER = Source("D1 row 19, feeder crossed at one section", "common practice")
TRAILING = Source("A1, closing note on trailing against the points", "common practice")

BOTH = {"normal": "both straight", "diverging": "both crossing"}

# --- Crossovers: the first turnout's toe looks west, the north rail is A. ---


def _frogs(frog: str, filed: str) -> str:
    """The sides of both frogs with both turnouts so set, wired right."""
    (row,) = [row for row in rows(crossover(frog, filed=filed)) if set(row.points.values()) == {filed}]
    return f"NW frog {row.feeds['T1.frog']}, SE frog {row.feeds['T2.frog']}"


def _stands(points: Mapping[str, str], filed: str) -> bool:
    """Whether what matters to a finding stands so with both turnouts set alike."""
    return fits(points, {"T1": filed, "T2": filed})


def _crossover(frog: str, missing: str = "") -> str:
    """What is said of both settings alike, each tested with the bench filed in it."""
    said = []
    for filed, name in BOTH.items():
        verdict = crossover(frog, filed=filed, missing=missing)
        found = {(f.kind, f.when) for f in verdict.findings if f.fails and _stands(f.points, filed)}
        kinds = {("short", "power-on"): "short at power-up", ("short", "wheel"): "short under a wheel"}
        said.append(f"{name}: {' and '.join(kinds.get(k, str(k)) for k in sorted(found)) or 'clean'}")
    return "; ".join(said)


def _shorted_turnouts() -> str:
    """Of a crossover with both frogs on one contact: whose frog shorts its trains, in each setting."""
    said = []
    for filed, name in BOTH.items():
        verdict = crossover("isolated", filed=filed, tied=True)
        frogs = {
            rail.partition(".")[0]
            for f in verdict.findings
            if f.kind == "short" and f.when == "wheel" and _stands(f.points, filed)
            for rail in f.touching
            if rail.endswith(".frog")
        }
        said.append(f"{name}: {' and '.join(sorted(frogs)) or 'none'}")
    return "; ".join(said)


def _unalike(frog: str) -> str:
    """What a train does that comes over the link into a turnout set straight."""
    found = trailing_on(crossover_bench(frog), "T2")[("T2.toe", "T2.diverging")]
    return "short as a wheel spans the gap" if any((each.amps or 0.0) > 3 for each in found) else "no short"


CROSSOVERS = (
    *(
        Check(f"A4: {BOTH[filed]} ({frog} frogs)", CROSSOVER, row, partial(_frogs, frog, filed))
        for frog in ("isolated", "live")
        for filed, row in (("normal", "NW frog B, SE frog A"), ("diverging", "NW frog A, SE frog B"))
    ),
    *(
        Check(
            f"A4: wired right ({frog} frogs)",
            CROSSOVER,
            "both straight: clean; both crossing: clean",
            partial(_crossover, frog),
        )
        for frog in ("isolated", "live")
    ),
    *(
        Check(
            f"D1 row 12: no gap at {'NW' if missing == 'T1' else 'SE'}",
            LINK,
            "both straight: short at power-up; both crossing: clean",
            partial(_crossover, "live", missing),
        )
        for missing in ("T1", "T2")
    ),
    Check("D1 row 13: whose frog is wrong", TIED, "both straight: T2; both crossing: T2", _shorted_turnouts),
    *(
        Check(
            f"D1 row 14: from the link into points set straight ({frog} frogs)",
            UNALIKE,
            "short as a wheel spans the gap",
            partial(_unalike, frog),
        )
        for frog in ("isolated", "live")
    ),
)

# --- A ladder of two. ---


def _ladder(missing: bool) -> str:
    """In which settings there is a short at power-up, whatever the second turnout does."""
    found = set()
    for beyond in BOTH:
        verdict = ladder(beyond, missing=missing)
        found |= {
            (f"T1 {leg}", f.when) for f in verdict.findings if f.kind == "short" for leg in legs_of(f.points, "right")
        }
    return "; ".join(f"short, {when}, {where}" for where, when in sorted(found)) or "clean"


LADDERS = (
    Check("D1 row 15: gap missing beyond the first frog", LADDER, "short, power-on, T1 right", partial(_ladder, True)),
    Check("D1 row 15: all gaps cut", LADDER, "clean", partial(_ladder, False)),
)

# --- A feeder crossed at one section beyond a leg. ---


def _section(leg: str, joint: str, crossed: bool) -> str:
    """What is said of a right-hand turnout with a fed section beyond one leg."""
    end = "main" if setting_for(leg, "right") == "normal" else "diverging"
    left, right = ("bus.B", "bus.A") if crossed else ("bus.A", "bus.B")
    section = plain("P1", f"T1.{end}", joint=joint) + wires((left, "P1.left"), (right, "P1.right"))
    desk = Desk().beside(section)
    return told(desk.verdict(), lambda points: "", (), fleet.tested(desk.bench(), desk.scale), desk.bench())


FEEDERS = tuple(
    Check(f"D1 row 19: section beyond the {leg} leg, {name}", FEEDER, said, partial(_section, leg, joint, crossed))
    for leg in LEGS
    for name, said, joint, crossed in (
        ("no gaps", "short at power-up", "metal", True),
        ("with gaps", "short as a wheel comes to the joint to P1, every vehicle", "insulated", True),
        ("fed right", "clean", "insulated", False),
    )
)

# --- Trailing in against the points. ---


def _trails(frog: str, *, fed: bool) -> str:
    """Whether a train shorts on either leg with the points set for the other, on all hands."""
    said = set()
    for hand in HANDS:
        desk = Desk(hand, frog=frog)
        if frog == "live":
            desk = desk.exits_cut()
        found = trailing((desk if fed else desk.without("frog wire")).verdict())
        said |= {"no short" if amps is None else "short" for _, _, amps, _ in found.values()}
    return " / ".join(sorted(said))


TRAILERS = (
    Check("A1: trailing in, frog fed", TRAILING, "short", partial(_trails, "isolated", fed=True)),
    Check("A1: trailing in, live frog", TRAILING, "short", partial(_trails, "live", fed=True)),
    Check("A1: trailing in, frog unfed", TRAILING, "no short", partial(_trails, "isolated", fed=False)),
    Check("A1: trailing in, dead frog", TRAILING, "no short", partial(_trails, "dead", fed=True)),
)

CHECKS = (*CROSSOVERS, *LADDERS, *FEEDERS, *TRAILERS)


@every(CHECKS)
def test_among_track(check: Check) -> None:
    verify(check)
