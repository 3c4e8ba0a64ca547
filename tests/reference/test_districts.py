"""Frogs fed from elsewhere: another power district, and automatic polarity units in place of the contact."""

from __future__ import annotations

from functools import partial

from sim.bench.model import Bench
from sim.bench.reading import parse
from sim.proof import prove
from sim.session.acts import Act, Direction, Drive, Plug, Power
from sim.session.session import Session
from sim.track.formations import KINDS
from sim.train import fleet
from tests.proof.benches import HANDS, LEGS, four_wheeler, leg_of
from tests.proof.neighbours import trailing
from tests.proof.saying import CLEAN, says, told
from tests.proof.test_currents import COMMON, TWO, on_a_unit
from tests.reference.check import Check, Source, every
from tests.reference.page import verify

DISTRICT = Source("D1 row 20, frog fed from another power district or cab", "common practice")
UNIT = Source("F, automatic polarity unit", "common practice")
SLOW = Source("D1 row 38, automatic unit slower than the breaker", "common practice")

SHARED = "joins two supplies; fed twice"  # a return in common, and a frog of another supply than its rails: advice
AT_FROG = "short as a wheel comes to the frog, in either setting, every vehicle"


def _district(*, common: bool, turned: bool) -> Bench:
    """The outers on a second supply, in phase with the first or turned over, with a return in common or none."""
    m, p = ("A", "B") if turned else ("B", "A")
    text = TWO.format(volts=15, trip=3, m=m, p=p) + (COMMON if common else "")
    return parse(text, KINDS, name="two.toml")


def _said(*, common: bool, turned: bool) -> str:
    bench = _district(common=common, turned=turned)
    return told(prove(bench), lambda points: leg_of(points, "right"), LEGS, fleet.tested(bench, "HO"), bench)


def _driven(plugged: bool) -> str:
    """Whether the standard shunter gets over the frog at a crawl, with the frog's district joined or not.

    Set right: the frog has the other district's own side, not the return in common.
    """
    train = '[[train]]\nid = "here"\nvehicles = ["four-wheel shunter"]\nat = { end = "T1.toe", mm = 220 }\n'
    text = (
        TWO.format(volts=15, trip=3, m="B", p="A").replace("number = 6", 'number = 6\nset = "diverging"')
        + COMMON
        + train
    )
    session = Session(parse(text, KINDS, name="two.toml"))
    acts: list[Act] = [Plug(plugged, "club"), Power(True), Direction("here", -1), Drive("here", 0.1)]
    for _ in range(1000):
        shot = session.step(2 * Session.DT, acts)
        acts = []
        (train_now,) = shot.trains
        if train_now.vehicles[0].axles[0][0] > 305.0:  # its last axle beyond the frog
            return "runs over"
        if shot.time_s > 1.0 and not train_now.speed_mm_s:
            return "stalls on " + " and ".join(sorted({r for axle in train_now.vehicles[0].touching for r in axle[1]}))
    return "still on its way"


IN_PHASE, REVERSED = (partial(_said, common=True, turned=turned) for turned in (False, True))

DISTRICTS = (
    Check("D1 row 20: both districts on, in phase", DISTRICT, f"{CLEAN}; {SHARED}", IN_PHASE),
    Check("D1 row 20: its controller reversed", DISTRICT, f"{AT_FROG}; {SHARED}", REVERSED),
    Check("D1 row 20: driven, both districts on", DISTRICT, "runs over", partial(_driven, True)),
    Check("D1 row 20: driven, its district off", DISTRICT, "stalls on T1.frog", partial(_driven, False)),
)

# --- Automatic units: at rest on side A, the left rail's. ---


def _all_hands(**unit: float) -> str:
    return " / ".join(dict.fromkeys(says(on_a_unit(hand, **unit)) for hand in HANDS))


def _trailing() -> str:
    """What a train does that trails in against the points, on both legs of all hands."""
    found = [amps for hand in HANDS for _, _, amps, _ in trailing(on_a_unit(hand).verdict()).values()]
    return "no short" if found and not any(found) else "short"


def _weak(turns_at: float) -> str:
    """A unit under a supply that gives 1.4 A at most."""
    supply = {"source_ohms": 10.0, "trip_amps": 1.0, "trip_seconds": 0.03, "kind": "dcc"}
    desk = on_a_unit(turns_at_amps=turns_at).with_supply(**supply)
    return says(desk.carrying(four_wheeler(40.0, works_from_volts=3.0))).partition(";")[0]


SET_LEFT = "short as a wheel comes to the frog, set left, every vehicle"
ONE_ENGINE = "short as a wheel comes to the frog, set left, every engine"

UNITS = (
    Check("F: automatic unit, either route", UNIT, CLEAN, _all_hands),
    Check("F: automatic unit, trailing in against the points", UNIT, "no short", _trailing),
    Check("F: automatic unit of 1.5 A under a supply of 1.4 A", UNIT, ONE_ENGINE, partial(_weak, 1.5)),
    Check("F: automatic unit of 1 A under the same supply", UNIT, CLEAN, partial(_weak, 1.0)),
    Check(
        "F: automatic unit over a bridged closure gap",
        UNIT,
        SET_LEFT,
        lambda: says(on_a_unit().with_place("gaps", "closure.left", "closed")),
    ),
    Check(
        "D1 row 38: unit of 10 ms, breaker of 5 ms", SLOW, SET_LEFT, partial(_all_hands, turn_seconds=0.01, trip=0.005)
    ),
    Check("D1 row 38: unit of 10 ms, breaker of 20 ms", SLOW, CLEAN, partial(_all_hands, turn_seconds=0.01, trip=0.02)),
)

CHECKS = (*DISTRICTS, *UNITS)


@every(CHECKS)
def test_districts(check: Check) -> None:
    verify(check)
