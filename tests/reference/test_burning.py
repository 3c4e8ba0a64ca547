"""Whether protection opens: the coin test and its arithmetic, oxidised contacts, thin wire, a lamp in line."""

from __future__ import annotations

import itertools
import re
from functools import partial

from sim.proof import Finding
from sim.session.acts import Act, Dial, Direction, Drive, Power, Probe
from sim.session.session import Session
from sim.wiring.probe import probe
from tests.proof.benches import LEGS, SHUNTER, Desk, four_wheeler, leg_of, legs_of
from tests.proof.met import rows
from tests.proof.saying import says
from tests.proof.test_currents import far, lamped
from tests.reference.check import Check, Sense, Source, every
from tests.reference.page import verify

COIN = Source("C5, coin test and breakers", "common practice")
OXIDISED = Source("D1 row 28, oxidised contact or blade", "common practice")
WIRE = Source("D1 row 37, undersized or over-long wire", "common practice")
LAMP = Source("F, lamp in series with the frog's feed", "common practice")

# --- The coin test's arithmetic: 15 V and a breaker of 5 A. ---

ARITHMETIC = Desk().with_supply(volts=15.0, trip_amps=5.0).tested_with(SHUNTER)
EXCHANGED = ARITHMETIC.exchanged()
LEADS = 0.2  # of the meter, ohm: taken off again


def _coin(desk: Desk, a: str, b: str, **wire: object) -> Desk:
    """A coin laid over two rails."""
    return desk.wired("coin", a, b, **wire)


def _at_power_up(desk: Desk, leg: str) -> Finding | None:
    """What the test finds with nothing on the track and the points set for a leg."""
    found = [
        f for f in desk.verdict().findings if f.fails and f.when == "power-on" and leg in legs_of(f.points, desk.hand)
    ]
    return found[0] if found else None


def _frog_coin(metres: float) -> Desk:
    """A coin between the frog, set for the left leg, and the other rail; its resistance that of a thin wire."""
    return _coin(ARITHMETIC, "T1.frog", "T1.stock.left", mm2=0.05, metres=metres)


def _greatest_loop() -> float:
    """Ohms of the loop, supply included, at which the breaker only just opens: found by trying, then measured."""
    trips, burns = 0.1, 100.0
    while burns - trips > 1e-3:
        middle = (trips + burns) / 2
        found = _at_power_up(_frog_coin(middle), "left")
        trips, burns = (middle, burns) if found is not None and found.kind == "short" else (trips, middle)
    unplugged = _frog_coin(trips).with_supply(plugged=False).bench()
    (supply,) = unplugged.supplies
    return (probe(unplugged, "bus.A", "bus.B").value or 0.0) - LEADS + supply.source_ohms


def _thick(desk: Desk) -> Desk:
    """Supply and wires of hardly any resistance."""
    for name, (a, b) in desk.wires.items():
        desk = desk.wired(name, a, b, mm2=50.0)
    return desk.with_supply(source_ohms=0.001)


def _through_oxide() -> Finding:
    """A coin on the frog behind a contact of 5 ohm."""
    desk = _thick(_coin(ARITHMETIC.with_contact(condition="oxidised"), "T1.frog", "T1.stock.left"))
    found = _at_power_up(desk, "left")
    if found is None or found.amps is None:
        raise AssertionError("nothing flows through the coin")
    return found


def _oxide_amps() -> float:
    return _through_oxide().amps or 0.0


def _oxide_watts() -> float:
    """The watts that the finding's own sentence names."""
    (watts,) = re.findall(r"of M1 takes (\d+) W", _through_oxide().text)
    return float(watts)


def _oxide_said() -> str:
    return {"short": "trip", "hot": "no trip"}[_through_oxide().kind]


def _coins(desk: Desk) -> str:
    """A coin over every two rails of opposite sides, in each setting: where it opens the breaker, and where not."""
    kinds: dict[str, set[str]] = {}
    told = rows(desk.verdict())
    for leg, row in ((leg, row) for leg in LEGS for row in told if leg_of(row.points, desk.hand) == leg):
        for a, b in itertools.combinations(sorted(row.feeds), 2):
            if {row.feeds[a], row.feeds[b]} == {"A", "B"}:
                found = _at_power_up(_coin(desk, a, b), leg)
                at = "frog" if "T1.frog" in (a, b) else "other rails"
                kinds.setdefault(at, set()).add(found.kind if found else "nothing")
    words = {"short": "trips", "hot": "burns without a trip"}
    return ", ".join(
        f"{at}: {' or '.join(words.get(k, k) for k in sorted(found))}" for at, found in sorted(kinds.items())
    )


SUM = "the sum leaves out wires, rails and bonds, here under 1 % of the loop"

COINS = (
    Check(
        "C5: the loop at which 5 A just flow at 15 V",
        COIN,
        3.0,
        _greatest_loop,
        unit="ohm",
        within=0.005,
        because="tried to 1 mm of wire, 0.3 milliohm, and read on a meter",
    ),
    Check("C5: 15 V over a contact of 5 ohm, amps", COIN, 3.0, _oxide_amps, unit="A", within=0.03, because=SUM),
    Check("C5: 15 V over a contact of 5 ohm, watts in it", COIN, 45.0, _oxide_watts, unit="W", within=1.0, because=SUM),
    Check("C5: 15 V over a contact of 5 ohm, a 5 A breaker", COIN, "no trip", _oxide_said),
    Check(
        "C5: coin on every section, wired right",
        COIN,
        "frog: trips, other rails: trips",
        partial(_coins, ARITHMETIC),
    ),
    Check(
        "C5: coin on every section, contact oxidised",
        COIN,
        "frog: burns without a trip, other rails: trips",
        partial(_coins, ARITHMETIC.with_contact(condition="oxidised")),
    ),
    Check(
        "C5: coin on every section, outers exchanged",
        COIN,
        "frog: trips, other rails: trips; the test of every route: fail",
        lambda: f"{_coins(EXCHANGED)}; the test of every route: {'pass' if EXCHANGED.verdict().passed else 'fail'}",
    ),
    Check(
        "C5: outers exchanged, contact oxidised",
        COIN,
        "burns without a trip as a wheel comes to the frog, in either setting, every vehicle",
        lambda: says(
            Desk().exchanged().with_supply(trip_amps=5.0).with_contact(condition="oxidised").carrying(*_alike(40.0))
        ),
    ),
    Check(
        "C5: outers exchanged, contact good",
        COIN,
        "short as a wheel comes to the frog, in either setting, every vehicle",
        lambda: says(Desk().exchanged().with_supply(trip_amps=5.0).carrying(*_alike(40.0))),
    ),
)


def _alike(wheelbase: float) -> tuple[dict[str, object], dict[str, object]]:
    """An engine longer than the dead length, and a wagon like it."""
    wagon = four_wheeler(wheelbase, name="wagon", pickup={"left": [], "right": []}, draws_amps=0.0)
    return four_wheeler(wheelbase, name="engine"), wagon


# --- D1 row 28: an oxidised contact on a frog wired right. ---

LIGHT = four_wheeler(20.0, name="light", draws_amps=0.2)
HEAVY = four_wheeler(20.0, name="heavy", draws_amps=0.5)


def _under_load(condition: str) -> float:
    """The most volts between the frog and its rail while an HO shunter creeps over, as the meter shows them."""
    train = '\n[[train]]\nid = "here"\nvehicles = ["four-wheel shunter"]\nat = { end = "T1.toe", mm = 230 }\n'
    session = Session(Desk().with_supply(on=True).with_contact(condition=condition).beside(train).bench())
    acts: list[Act] = [
        Power(True),
        Direction("here", -1),
        Drive("here", 0.3),
        Dial("volts"),
        Probe("T1.frog", "T1.stock.right"),
    ]
    most = 0.0
    for k in range(80):
        shot = session.step(5 * Session.DT, acts if k == 0 else [])
        most = max(most, abs(shot.meter.value or 0.0))
    return most


OXIDE = (
    Check(
        "D1 row 28: two engines on a frog behind an oxidised contact",
        OXIDISED,
        "burns without a trip under a coin on the frog; runs weak on the frog, in either setting, only heavy",
        lambda: says(Desk().with_contact(condition="oxidised").carrying(LIGHT, HEAVY)),
    ),
    Check(
        "D1 row 28: volts from frog to its rail under load, contact good",
        OXIDISED,
        0.2,
        partial(_under_load, "good"),
        unit="V",
        sense="at most",
    ),
    Check(
        "D1 row 28: volts from frog to its rail under load, contact oxidised",
        OXIDISED,
        0.2,
        partial(_under_load, "oxidised"),
        unit="V",
        sense="at least",
    ),
)

# --- D1 row 37: 40 m of thin and of thick bus. ---

LONG = four_wheeler(40.0, name="engine", draws_amps=0.5)

THIN = (
    Check(
        "D1 row 37: coin at the end of 40 m of 0.25 mm² bus",
        WIRE,
        "frog: burns without a trip, other rails: burns without a trip",
        lambda: _coins(far(40, 0.25, Desk().tested_with(SHUNTER))),
    ),
    Check(
        "D1 row 37: coin at the end of 40 m of 2.5 mm² bus",
        WIRE,
        "frog: trips, other rails: trips",
        lambda: _coins(far(40, 2.5, Desk().tested_with(SHUNTER))),
    ),
    Check(
        "D1 row 37: an engine at the end of 40 m of 0.25 mm² bus",
        WIRE,
        "burns without a trip under a coin; runs weak, in either setting, every engine",
        lambda: re.sub(" on [^,;]*", "", says(far(40, 0.25, Desk().carrying(LONG)))),
    ),
    Check(
        "D1 row 37: an engine at the end of 40 m of 2.5 mm² bus",
        WIRE,
        "clean",
        lambda: says(far(40, 2.5, Desk().carrying(LONG))),
    ),
)

# --- F: a lamp of 12 V, 21 W in line with the frog. ---


def _worst() -> Finding:
    """A wrong frog behind the lamp, a wheel on it."""
    verdict = lamped(Desk().exchanged()).carrying(four_wheeler(40.0)).verdict()
    return max((f for f in verdict.findings if f.kind == "hot"), key=lambda f: f.amps or 0.0)


def _glowing() -> tuple[str, float]:
    """What the finding's sentence says takes the heat, and the watts that it names."""
    ((part, watts),) = re.findall(r"breaker: the (\w+) L1 takes (\d+) W", _worst().text)
    return f"the {part}", float(watts)


def _drop(amps: float) -> float:
    """The most volts over the lamp while an engine of so many amperes runs over a right frog alone."""
    train = '\n[[train]]\nid = "here"\nvehicles = ["trolley"]\nat = { end = "T1.toe", mm = 230 }\n'
    desk = lamped(Desk()).with_supply(on=True).carrying(four_wheeler(20.0, draws_amps=amps))
    session = Session(desk.beside(train).bench())
    acts: list[Act] = [Power(True), Direction("here", -1), Drive("here", 1.0), Dial("volts"), Probe("L1.1", "L1.2")]
    most = 0.0
    for _ in range(100):
        most = max(most, abs(session.step(2 * Session.DT, acts).meter.value or 0.0))
        acts = []
    return most


def _cold() -> float:
    """The lamp by itself on the meter."""
    return probe(lamped(Desk().without("frog wire")).with_supply(plugged=False).bench(), "L1.1", "L1.2").value or 0.0


# At 0.25 A, the middle of what HO engines take running.
DROPS: tuple[tuple[str, float, Sense], ...] = (("least", 0.2, "at least"), ("most", 0.4, "at most"))

LAMPS = (
    Check(
        "F: lamp on a short, amps", LAMP, 2.0, lambda: _worst().amps or 0.0, unit="A", within=0.1, because="about 2 A"
    ),
    Check("F: lamp on a short, watts", LAMP, 30.0, lambda: _glowing()[1], unit="W", within=3.0, because="about 30 W"),
    Check(
        "F: and what takes them",
        LAMP,
        "the wheel",
        lambda: _glowing()[0],
        differs="a wheel on its rail has a tenth of an ohm: the lamp, of some seven, takes nearly all",
    ),
    *(
        Check(f"F: volts over the lamp at 0.25 A, {word}", LAMP, volts, partial(_drop, 0.25), "V", sense=sense)
        for word, volts, sense in DROPS
    ),
    Check("F: lamp cold, on a meter", LAMP, 1.0, _cold, unit="ohm", sense="at most"),
    Check(
        "F: a lamp in line with a right frog",
        LAMP,
        "clean; burns without a trip under a coin on the frog",
        lambda: says(lamped(Desk())),
    ),
)

CHECKS = (*COINS, *OXIDE, *THIN, *LAMPS)


@every(CHECKS)
def test_burning(check: Check) -> None:
    verify(check)
