"""What shows only while things move: points thrown under a train, engines that stall or coast, stored energy."""

from __future__ import annotations

from dataclasses import replace
from functools import cache, partial

from sim.session.acts import Act, Direction, Drive, Power, Throw
from sim.session.session import Session
from sim.train.motion import TICK, TrainMotion
from sim.train.standard import standard_set
from tests.proof.benches import HANDS, Desk, four_wheeler
from tests.proof.saying import CLEAN, says
from tests.reference.check import Check, Source, every
from tests.reference.page import verify

THROWN = Source("D1 row 26, turnout thrown under a train", "common practice")
FROG = Source("D1 row 5, frog wire off", "common practice")
DEAD = Source("E5, dead length of an isolated frog by the rule of thumb", "common practice")
STALL = Source("E5, stall condition", "common practice")
STORE = Source("E5, ride-through of stored energy", "common practice")
TIPS = Source("nmra.org.au, turnout tips", "retrieved")
CHIPS = Source("2mm Scale Association, article on stored energy in small engines", "retrieved")


def _train(name: str, end: str, mm: float) -> str:
    return f'\n[[train]]\nid = "here"\nvehicles = ["{name}"]\nat = {{ end = "{end}", mm = {mm} }}\n'


# --- Points thrown under a train: from rest, its wheels where the bench puts them. ---


def _thrown(end: str, mm: float, hand: str) -> str:
    """When the supply is shorted in the course of a throw, by the contact's own places in it."""
    desk = Desk(hand).with_supply(on=True).with_motor(seconds=1.0).carrying(four_wheeler(26.0))
    session = Session(desk.beside(_train("trolley", end, mm)).bench())
    (contact,) = session.bench.motors[0].changeovers
    (supply,) = session.bench.supplies
    acts: list[Act] = [Throw("T1")]
    for _ in range(120):
        shot = session.step(Session.DT, acts)
        acts = []
        if shot.supplies[0].amps >= supply.trip_amps:
            first, second = contact.travel
            at = shot.travel["T1"]
            if at < first:
                return "short before the contact has left its throw"
            return "short as the contact changes over" if at < second + 0.02 else "short after the changeover"
    return "no short"


def _hands(end: str, mm: float) -> str:
    return " / ".join(dict.fromkeys(_thrown(end, mm, hand) for hand in HANDS))


# A wheel of a 26 mm trolley on the frog and one on the closure rail; and all of it on a leg, clear of the frog.
UNDER = (
    Check(
        "D1 row 26: thrown with one wheel on the frog", THROWN, "short as the contact changes over",
        partial(_hands, "T1.toe", 250.0),
    ),
    Check("D1 row 26: thrown with the train clear of the frog", THROWN, "no short", partial(_hands, "T1.main", 10.0)),
)  # fmt: skip

# --- How long a frog is dead: the shortest wheelbase that gets over it, by trying. ---


@cache
def _dead_length(scale: str, number: int) -> float:
    """Pick-up base below which an engine stalls on an unfed isolated frog, mm."""

    def stalls(base: float) -> bool:
        return (
            says(Desk(number=number, scale=scale).without("frog wire").carrying(four_wheeler(base, scale=scale)))
            != CLEAN
        )

    low, high = 5.0, 100.0
    while high - low > 0.05:
        middle = (low + high) / 2
        low, high = (middle, high) if stalls(middle) else (low, middle)
    return round((low + high) / 2, 1)


# Scale, millimetres for each of the frog's number, frog numbers.
THUMB = (("N", 3.0, (6,)), ("HO", 5.0, (4, 6, 8)), ("O", 9.0, (6,)))
NARROW = "the O wheel of code 175 is narrower than HO's scaled up, and the gaps lie as near to the frog as wheels allow"

LENGTHS = tuple(
    Check(
        f"E5: dead length of a No. {number} in {scale}",
        DEAD,
        per * number,
        partial(_dead_length, scale, number),
        unit="mm",
        within=0.5 * number,
        because="the rule is in whole mm for each of the frog's number",
        differs=NARROW if scale == "O" else "",
    )
    for scale, per, numbers in THUMB
    for number in numbers
)

# A society's page takes an inch of dead rail for what engines with all wheels collecting get over: a No. 5 in HO,
# its gaps an inch apart.
INCH = Desk(number=5).without("frog wire").built(gap_at_mm={"closure": 9.1, "exit": 16.3})

# --- An engine shorter than the frog is dead, driven at it. ---


# 10 mm/s is 2 scale miles an hour in HO; a tenth of the throttle is a crawl of that order.
CRAWL, FULL = 0.1, 1.0
STORED = 50.0  # joules: more than any of these runs uses


def _session(**engine: object) -> Session:
    """An engine before an unfed No. 6, its leading axle towards the toe and the rest of it nearer to the frog."""
    (own,) = [four_wheeler(26.0, name="engine") | engine]
    desk = Desk().without("frog wire").with_supply(on=True).carrying(own)
    return Session(desk.beside(_train("engine", "T1.toe", 220.0)).bench())


def _towards_frog(throttle: float) -> list[Act]:
    return [Power(True), Direction("here", -1), Drive("here", throttle)]


def _outcome(throttle: float, base: float, joules: float = 0.0) -> str:
    """Whether an engine that is driven over the frog stalls on it."""
    session = _session(axles_mm=[0.0, base], stored_joules=joules)
    acts = _towards_frog(throttle)
    for _ in range(1000):
        (train,) = session.step(2 * Session.DT, acts).trains
        acts = []
        if train.vehicles[0].axles[0][0] > 305.0:  # its last axle beyond the frog
            return "runs over"
        if session.snapshot().time_s > 1.0 and not train.speed_mm_s:
            return "stalls"
    return "still on its way"


AT_10_MM = 0.087  # of the throttle; that it is 10 mm/s is looked at


def _seconds_at_10_mm() -> float:
    """Seconds without power of an engine that collects with one axle and crosses the frog at 10 mm/s from its store."""
    (own,) = [four_wheeler(60.0, name="engine") | {"stored_joules": STORED, "pickup": {"left": [1], "right": [1]}}]
    desk = Desk().without("frog wire").with_supply(on=True).carrying(own)
    session = Session(desk.beside(_train("engine", "T1.toe", 225.0)).bench())
    acts, without = _towards_frog(AT_10_MM), 0
    for _ in range(1200):
        (train,) = session.step(Session.DT, acts).trains
        acts = []
        if abs(train.volts) < 1.0 and session.snapshot().time_s > 1.0:
            assert abs(abs(train.speed_mm_s) - 10.0) < 0.1
            without += 1
        elif without:
            break
    return without * Session.DT


STALLS = (
    Check("E5: an inch of dead rail, engines of the standard set", TIPS, CLEAN, lambda: says(INCH)),
    Check(
        "E5: seconds at 10 mm/s on a dead frog of 30 mm", STALL, 3.0, _seconds_at_10_mm,
        unit="s", within=0.3, because="a No. 6 is 30 mm by the rule of thumb, give or take 3",
    ),
    Check("E5: at a crawl, pick-up base shorter than the dead length", STALL, "stalls", partial(_outcome, CRAWL, 26.0)),
    Check("E5: at a crawl, pick-up base longer", STALL, "runs over", partial(_outcome, CRAWL, 34.0)),
    Check("D1 row 5: at full speed, pick-up base shorter", FROG, "runs over", partial(_outcome, FULL, 26.0)),
)  # fmt: skip

# --- Stored energy: t = C x dV / I, with the supply's 15 V falling by dV. ---

VOLTS, FALL = 15.0, 5.0


def _ride(farads: float, times: float) -> float:
    """Seconds, times 1 or 1000, that an HO shunter at full speed lives on what a capacitor gives in falling by 5 V."""
    joules = farads * FALL * (VOLTS - FALL / 2)
    motion = TrainMotion([replace(standard_set("HO")[0], stored_joules=joules)], "dcc")
    motion.step(round((4.0 + joules) / TICK), [VOLTS], throttle=1.0, direction=1)
    ticks = 0
    while True:
        motion.step(1, [0.0], throttle=1.0, direction=1)
        if not motion.alive[0]:
            return ticks * TICK * times
        ticks += 1


STORES = (
    ("220 µF", 220e-6, 5e-3, 1.5e-3, "ms", 1e3),
    ("1000 µF", 1000e-6, 25e-3, 2.5e-3, "ms", 1e3),
    ("0.2 F", 0.2, 5.0, 0.5, "s", 1.0),
)

RIDES = (
    *(
        Check(
            f"E5: 5 V of {name} at 0.2 A",
            STORE,
            seconds * times,
            partial(_ride, farads, times),
            unit=unit,
            within=within * times,
            because="printed to one digit, as 0.2 A is; a tick is 1 ms",
        )
        for name, farads, seconds, within, unit, times in STORES
    ),
    Check(
        "E5: a few 100 µF at a crawl on a dead frog",
        CHIPS,
        "stalls",
        partial(_outcome, CRAWL, 26.0, 300e-6 * FALL * (VOLTS - FALL / 2)),
    ),
    Check(
        "E5: 0.2 F at a crawl on a dead frog",
        STORE,
        "runs over",
        partial(_outcome, CRAWL, 26.0, 0.2 * FALL * (VOLTS - FALL / 2)),
    ),
)

CHECKS = (*UNDER, *LENGTHS, *STALLS, *RIDES)


@every(CHECKS)
def test_running(check: Check) -> None:
    verify(check)
