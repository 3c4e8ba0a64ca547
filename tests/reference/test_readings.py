"""What a builder's meter shows: the four readings of every wiring, which kind of frog it is, the contact's screws."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Mapping
from functools import partial

from sim.bench.reading import parse
from sim.bench.terminals import terminals
from sim.session.acts import Act, Dial, Plug, Probe, Throw
from sim.session.session import Session
from sim.session.snapshot import ReadingView
from sim.track.formations import KINDS
from tests.proof.benches import HANDS, LEGS, Desk, setting_for
from tests.proof.rows import Change, desk_of
from tests.reference.check import Check, Source, every
from tests.reference.meter_limits import meter_limits
from tests.reference.page import verify
from tests.wiring.metering import AT, FROG, LEFT, RIGHT, Meter, left_to_right

FOUR = Source("C3, the four-reading check", "common practice")
KIND = Source("A1, telling constructions apart with a meter", "common practice")
SCREWS = Source("C1, finding a contact's terminals", "common practice")


def _hands(said: Callable[[str], str]) -> str:
    """What is said of all hands, once if it is the same."""
    return " / ".join(dict.fromkeys(said(hand) for hand in HANDS))


# --- C3: the four readings, taken in the running bench by the meter on it. ---


def _word(reading: ReadingView) -> str:
    return "closed" if reading.closed else "open" if reading.open else f"{reading.ohms:.0f} ohm"


def readings(desk: Desk) -> Mapping[tuple[str, str], str]:
    """The four readings by setting and side, taken as a builder does: unplugged, then throwing the points."""
    session = Session(desk.with_motor(seconds=0.02).bench())
    acts: list[Act] = [Plug(False), Dial("ohms")]
    for _ in AT:
        for rail in (LEFT, RIGHT):
            session.step(Session.DT, [*acts, Probe(FROG, rail)])
            acts = []
        session.step(5 * Session.DT, [Probe(None, None), Throw("T1")])
    return {(r.setting, r.side): _word(r) for r in session.snapshot().readings}


def _four(change: Change, hand: str, frog: str = "isolated") -> str:
    """The four readings in the table's order."""
    found = readings(change(desk_of(frog, Desk(hand))))
    exits = [
        f"{leg} exit: F-L {found[setting_for(leg, hand), 'left']}, F-R {found[setting_for(leg, hand), 'right']}"
        for leg in LEGS
    ]
    return "; ".join(exits)


def _across(change: Change, frog: str, hand: str) -> str:
    """Left rail to right rail in both settings."""
    left, right = left_to_right(change(desk_of(frog, Desk(hand))))
    return f"L-R {left} set left, {right} set right"


N, C = "open", "closed"

# The builds by what the table calls them, with the readings F-L, F-R set for the left exit and then the right.
ROWS: Mapping[str, tuple[Change, tuple[str, str, str, str]]] = {
    "correct": (lambda d: d, (N, C, C, N)),
    "throws swapped": (lambda d: d.exchanged(), (C, N, N, C)),
    "throws swapped, by a motor turned round": (lambda d: d.with_motor(turned=True), (C, N, N, C)),
    "frog wire open": (lambda d: d.without("frog wire"), (N, N, N, N)),
    "common open": (lambda d: d.with_contact(condition="open"), (N, N, N, N)),
    "both throws open": (lambda d: d.without("left outer", "right outer"), (N, N, N, N)),
    "one throw off, L side": (lambda d: d.without("left outer"), (N, C, N, N)),
    "one throw off, R side": (lambda d: d.without("right outer"), (N, N, C, N)),
    "both throws on R": (lambda d: d.wired("left outer", d.outer("right"), "bus.B"), (N, C, N, C)),
    "uncut gap to R, frog unwired": (
        lambda d: d.without("frog wire").with_place("gaps", "closure.right", "closed"),
        (N, C, N, C),
    ),
    "both throws on L": (lambda d: d.wired("right outer", d.outer("left"), "bus.A"), (C, N, C, N)),
    "uncut gap to L, frog unwired": (
        lambda d: d.without("frog wire").with_place("gaps", "exit.right", "closed"),
        (C, N, C, N),
    ),
    "uncut closure gap joins F to L": (lambda d: d.with_place("gaps", "closure.left", "closed"), (C, C, C, N)),
    "uncut exit gap joins F to L": (lambda d: d.with_place("gaps", "exit.right", "closed"), (C, C, C, N)),
    "uncut closure gap joins F to R": (lambda d: d.with_place("gaps", "closure.right", "closed"), (N, C, C, C)),
    "whisker joins F to R": (lambda d: d.wired("whisker", FROG, RIGHT), (N, C, C, C)),
    "L and R shorted elsewhere": (lambda d: d.wired("tie-bar", "T1.blade.left", "T1.blade.right"), (C, C, C, C)),
}


def _written(marks: tuple[str, str, str, str]) -> str:
    return "left exit: F-L {}, F-R {}; right exit: F-L {}, F-R {}".format(*marks)


def _four_readings() -> list[Check]:
    return [
        Check(f"C3: {name}", FOUR, _written(marks), partial(_hands, partial(_four, change)))
        for name, (change, marks) in ROWS.items()
    ]


# Frog and left to right of the common taken for a throw: where L-R is closed, the frog is open.
MISTAKEN = (
    ("left", (N, N, C, N), "L-R closed set left, open set right"),
    ("right", (N, C, N, N), "L-R open set left, closed set right"),
)


def _mistakes() -> list[Check]:
    checks = []
    for first, marks, across in MISTAKEN:
        change = partial(Desk.mistaken, first=first)
        name = f"C3: common mistaken for the {first} throw"
        checks.append(Check(name, FOUR, _written(marks), partial(_hands, partial(_four, change))))
        checks.append(Check(f"{name}, L to R", FOUR, across, partial(_hands, partial(_across, change, "isolated"))))
    return checks


def _part_way(travel: tuple[float, float], hand: str) -> str:
    """The ends, then the frog as the blades just leave the right exit's setting, and half way."""
    desk = Desk(hand).with_contact(travel=travel)
    at_ends = (
        "ends right" if _four(lambda d: d.with_contact(travel=travel), hand) == _written((N, C, C, N)) else "wrong"
    )
    meter = Meter(desk.bench())
    start = AT[setting_for("left", hand)]
    said = [
        f"{name}: F-L {meter.says(FROG, LEFT, at)}, F-R {meter.says(FROG, RIGHT, at)}"
        for name, at in (("a tenth from the left exit", abs(start - 0.1)), ("half way", 0.5))
    ]
    return "; ".join([at_ends, *said])


def _timing() -> list[Check]:
    """Contact good; made before it breaks; its switch point near the left exit's end of the travel."""
    good = "ends right; a tenth from the left exit: F-L open, F-R closed; half way: F-L open, F-R open"
    both = "ends right; a tenth from the left exit: F-L open, F-R closed; half way: F-L closed, F-R closed"
    early = "ends right; a tenth from the left exit: F-L closed, F-R open; half way: F-L closed, F-R open"

    def near(hand: str) -> str:
        normal = setting_for("left", hand) == "normal"
        return _part_way((0.02, 0.05) if normal else (0.95, 0.98), hand)

    return [
        Check("C1: break before make", SCREWS, good, partial(_hands, partial(_part_way, (0.45, 0.55)))),
        Check("C3: wrong part-way, make before break", FOUR, both, partial(_hands, partial(_part_way, (0.6, 0.4)))),
        Check("C3: wrong part-way, switch point near one end", FOUR, early, partial(_hands, near)),
    ]


# --- C3's closing notes: a live frog, and what comes before. ---


def _live(change: Change, hand: str) -> str:
    return _four(change, hand, "live")


def _dead(desk: Desk) -> Desk:
    return desk.with_contact(condition="open")


def _papered(desk: Desk) -> Desk:
    """The contact dead, and paper between the closed blade and its stock rail."""
    return _dead(desk).built(blade_contact="open")


NOTES = (
    Check(
        "C3: live frog, throws swapped",
        FOUR,
        _written((C, C, C, C)),
        partial(_hands, partial(_live, Desk.exchanged)),
    ),
    Check(
        "C3: live frog, throws swapped, L to R",
        FOUR,
        "L-R closed set left, closed set right",
        partial(_hands, partial(_across, Desk.exchanged, "live")),
    ),
    Check("C3: live frog hides a dead contact", FOUR, _written((N, C, C, N)), partial(_hands, partial(_live, _dead))),
    Check(
        "C3: live frog, dead contact, paper under the blade",
        FOUR,
        _written((N, N, N, N)),
        partial(_hands, partial(_live, _papered)),
    ),
    Check(
        "C3: L to R before anything, wired right",
        FOUR,
        "L-R open set left, open set right",
        partial(_hands, partial(_across, lambda d: d, "isolated")),
    ),
)


# --- A1: which construction; C1: which screw. ---


def _construction(frog: str, bonds: str, hand: str) -> str:
    """Nothing wired: the frog to each stock rail in both settings, and the open blade to its own stock rail."""
    desk = Desk(hand, frog=frog).built(bonds=dict.fromkeys(LEGS, bonds))
    desk = desk.without(*desk.wires)
    meter = Meter(desk.bench())
    sides, blades = [], set()
    for leg in LEGS:
        at = AT[setting_for(leg, hand)]
        if FROG in terminals(meter.bench):
            sides.append([rail for rail in (LEFT, RIGHT) if meter.says(FROG, rail, at) == C])
        blades.add(meter.says(f"T1.blade.{leg}", f"T1.stock.{leg}", at))  # the leg's own side has the open blade
    follows = {"[[], []]": "frog conducts nowhere", "[]": "no metal at the frog"}
    follows[str([[RIGHT], [LEFT]])] = "frog follows the closed blade"
    return f"{follows.get(str(sides), str(sides))}; open blade to its stock rail {' and '.join(sorted(blades))}"


CONSTRUCTIONS = (
    ("1a, dead frog, power by the blades", "dead", "open", "no metal at the frog; open blade to its stock rail open"),
    ("1b, dead frog, all routes live", "dead", "made", "no metal at the frog; open blade to its stock rail closed"),
    ("2, isolated frog", "isolated", "made", "frog conducts nowhere; open blade to its stock rail closed"),
    ("3, live frog", "live", "open", "frog follows the closed blade; open blade to its stock rail open"),
)  # fmt: skip

SECOND = '\n[[motor.changeover]]\ncommon = "x"\nnormal = "y"\ndiverging = "z"\n'


def _screws(second: str) -> str:
    """Every pair of screws in both positions: what conducts when, and what follows."""
    bare = Desk().without(*Desk().wires)
    bench = parse(bare.text() + second, KINDS, name="screws.toml")
    meter = Meter(bench)
    pairs = list(itertools.combinations(bench.motors[0].terminals, 2))
    made = [[pair for pair in pairs if meter.says(*pair, at) == C] for at in AT.values()]
    never = [pair for pair in pairs if not any(pair in each for each in made)]
    commons = set(itertools.chain(*made[0])) & set(itertools.chain(*made[1]))
    true = {f"M1.{each.common}" for each in bench.motors[0].changeovers}
    counts = " and ".join(str(len(each)) for each in made)
    found = "the commons" if commons == true else "other than the commons"
    throws = "the throws" if not second and set(never[0]) == set(bench.motors[0].terminals) - true else "several"
    return f"{len(pairs)} pairs, {counts} conduct; in both lists: {found}; never conducts: {throws}"


CHECKS = (
    *meter_limits(),
    *_four_readings(),
    *_mistakes(),
    *_timing(),
    *NOTES,
    *(
        Check(f"A1 row {name}: meter", KIND, said, partial(_hands, partial(_construction, frog, bonds)))
        for name, frog, bonds, said in CONSTRUCTIONS
    ),
    Check(
        "C1: three screws",
        SCREWS,
        "3 pairs, 1 and 1 conduct; in both lists: the commons; never conducts: the throws",
        partial(_screws, ""),
    ),
    Check(
        "C1: six screws",
        SCREWS,
        "15 pairs, 2 and 2 conduct; in both lists: the commons; never conducts: several",
        partial(_screws, SECOND),
    ),
)


@every(CHECKS)
def test_readings(check: Check) -> None:
    verify(check)
