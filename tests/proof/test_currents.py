"""What depends on how much flows: coins that trip nothing, lamps, thin wire, polarity units, several supplies."""

from __future__ import annotations

import pytest

from sim.bench.reading import parse
from sim.proof import Finding, Verdict, prove
from sim.track.formations import KINDS
from tests.bench.tables import CONTACT, motor, turnout, wires
from tests.proof.benches import LEGS, SHUNTER, Desk, failing, four_wheeler

METRE = 1 / 58 / 0.5  # ohm per metre of 0.5 mm² copper, 1/58 ohm mm²/m (IEC 60228)


def of_kind(verdict: Verdict, kind: str) -> list[Finding]:
    return [finding for finding in verdict.findings if finding.kind == kind]


def the_greatest(findings: list[Finding]) -> float:
    return max(finding.amps or 0.0 for finding in findings)


# --- C5: an oxidised contact of 5 ohm lets 3 A at most through at 15 V: no trip, 45 W in the contact. ---


def test_a_wrong_frog_behind_an_oxidised_contact_burns() -> None:
    """C5, arithmetic; D1 rows 1 and 28 at once. The breaker here is C5's, 5 A."""
    desk = Desk().exchanged().with_contact(condition="oxidised").with_supply(trip_amps=5.0)
    verdict = desk.carrying(four_wheeler(40.0)).verdict()
    assert failing(verdict, "right") == {("hot", "wheel", leg) for leg in LEGS}
    for finding in of_kind(verdict, "hot"):
        assert finding.amps is not None
        # In line by hand: supply 0.1, three wires, the contact 5, and between the wheels 0.15 to 0.2 ohm.
        assert finding.amps == pytest.approx(15 / (0.1 + 3 * 0.3 * METRE + 5 + 0.175), rel=0.01)
        watts = finding.amps**2 * 5
        assert 36 < watts < 45
        assert f"{watts:.0f} W" in finding.text
        assert "of M1 takes" in finding.text
        assert "5 A breaker" in finding.text


def test_a_wrong_frog_behind_an_oxidised_contact_also_stops_a_short_engine() -> None:
    """No breaker keeps it away: both its sides are then on one side of the bus."""
    desk = Desk().exchanged().with_contact(condition="oxidised").tested_with(SHUNTER)
    assert failing(desk.verdict(), "right") == {(kind, "wheel", leg) for kind in ("hot", "dead") for leg in LEGS}


def test_an_oxidised_contact_on_a_right_frog_only_weakens() -> None:
    """D1 row 28: hesitation, some engines unaffected: what draws 0.5 A loses 2.1 V of 15 on the frog, what draws
    0.2 A 1.0.
    """
    desk = Desk().with_contact(condition="oxidised")
    assert of_kind(desk.carrying(four_wheeler(20.0, draws_amps=0.2)).verdict(), "weak") == []
    verdict = desk.carrying(four_wheeler(20.0, draws_amps=0.5)).verdict()
    assert failing(verdict, "right") == {("will-not-trip", "coin", leg) for leg in LEGS}  # C5: 15 V over 5 ohm
    assert verdict.shares.safe == verdict.shares.live == 1.0
    weak = of_kind(verdict, "weak")
    assert {finding.path for finding in weak} == {("T1.toe", "T1.main"), ("T1.toe", "T1.diverging")}
    for finding in weak:
        assert "T1.frog" in finding.touching
        assert finding.volts == pytest.approx(15 * 30 / (30 + 5 + 0.1 + 3 * 0.3 * METRE + 0.101), rel=0.001)


def test_weak_begins_at_a_tenth_lost() -> None:
    """model.md section 5: more than 10 % below the supply's open volts."""
    # A trolley on the frog behind 5 ohm loses a tenth where its own resistance is nine times all the rest.
    rest = 5 + 0.1 + 3 * 0.3 * METRE + 0.101
    for draws, expected in ((15 / (9 * rest) * 0.99, False), (15 / (9 * rest) * 1.01, True)):
        verdict = Desk().with_contact(condition="oxidised").carrying(four_wheeler(20.0, draws_amps=draws)).verdict()
        assert bool(of_kind(verdict, "weak")) is expected


# --- F: a lamp in series with the frog's feed. ---

LAMP = '\n[[lamp]]\nid = "L1"\nvolts = 12.0\nwatts = 21.0\n'


def lamped(desk: Desk) -> Desk:
    return desk.wired("frog wire", "M1.k", "L1.1").wired("lamp to frog", "L1.2", "T1.frog").beside(LAMP)


def test_the_first_instant_of_a_lamp_is_told() -> None:
    """model.md section 4: steady state in a verdict, the first instant also told.

    Cold it is a fourteenth of 12 V squared / 21 W.
    """
    wagon = four_wheeler(40.0, pickup={"left": [], "right": []}, draws_amps=0.0)
    verdict = lamped(Desk().exchanged()).carrying(wagon).verdict()
    cold = 15 / (12**2 / 21 / 14 + 0.1 + 4 * 0.3 * METRE + 0.03 + 0.2 + 0.002)
    assert len(of_kind(verdict, "hot")) == 2
    for finding in of_kind(verdict, "hot"):  # the supply gives no more than 1.5 times its 3 A
        assert "In the first instant, the lamp still cold, it is 4.5 A" in finding.text
    strong = lamped(Desk().exchanged()).with_supply(limit_amps=100.0).carrying(wagon).verdict()
    assert len(of_kind(strong, "hot")) == 2
    for finding in of_kind(strong, "hot"):
        assert f"In the first instant, the lamp still cold, it is {cold:.0f} A" in finding.text


def test_a_lamp_does_not_hide_a_short_beside_it() -> None:
    """A closure gap bridged shorts the frog's own feed through the lamp: hot; bridged beside it, without the lamp:
    short.
    """
    behind = lamped(Desk()).with_place("gaps", "closure.left", "closed").verdict()
    assert ("hot", "power-on", "left") in failing(behind, "right")
    beside = lamped(Desk()).wired("tie-bar", "T1.blade.left", "T1.blade.right").verdict()
    assert {("short", "power-on", leg) for leg in LEGS} <= failing(beside, "right")


# --- D1 row 37: undersized or over-long wire. ---


def far(metres: float, mm2: float, desk: Desk) -> Desk:
    """The same with every wire from the bus taken at a tap so far along it."""
    wires = {name: [end.replace("bus.", "far.") for end in ends] for name, ends in desk.wires.items()}
    for name, (a, b) in wires.items():
        desk = desk.wired(name, a, b)
    return desk.beside(f"\n[bus]\nmm2 = {mm2}\ntaps = {{ far = {metres} }}\n")


def test_a_thick_bus_trips_at_its_far_end_and_a_thin_one_does_not() -> None:
    """D1 row 37: the coin fails to trip. 2 x 40 m of 0.25 mm² are 5.5 ohm and let 2.6 A through, under 3 A."""
    trips = far(40, 2.5, Desk().exchanged()).carrying(four_wheeler(40.0)).verdict()
    assert failing(trips, "right") == {("short", "wheel", leg) for leg in LEGS}
    burns = far(40, 0.25, Desk().exchanged()).carrying(four_wheeler(40.0)).verdict()
    assert failing(burns, "right") == {
        (kind, when, leg) for kind, when in (("hot", "wheel"), ("will-not-trip", "coin")) for leg in LEGS
    }
    coin = of_kind(burns, "will-not-trip")
    assert all("bus wire to far" in finding.text for finding in coin)
    loop = 2 * 40 / 58 / 0.25 + 0.1 + 3 * 0.3 * METRE + 0.03
    assert the_greatest(of_kind(burns, "hot")) == pytest.approx(15 / (loop + 0.175), rel=0.01)
    assert "bus wire to far" in of_kind(burns, "hot")[0].text


# --- model.md section 5: ratings that the breaker does not guard. ---


def test_a_fault_that_stands_overloads_the_contact_and_is_told() -> None:
    """A contact of 1 A (E3, a motor's own wiper) under the 2.8 A of a fault behind it."""
    verdict = Desk().exchanged().with_contact(condition="oxidised").carrying(four_wheeler(40.0)).verdict()
    over = [finding for finding in of_kind(verdict, "overloaded") if " of M1 carries" in finding.text]
    assert over
    assert all(finding.amps is not None and finding.amps > 1 for finding in over)
    rated = Desk().exchanged().with_contact(condition="oxidised", rating_amps=5.0).carrying(four_wheeler(40.0))
    assert not [f for f in of_kind(rated.verdict(), "overloaded") if "contact of M1" in f.text]


def test_a_fault_that_trips_overloads_nothing() -> None:
    """E3: a contact carries fault current for one trip time only."""
    assert of_kind(Desk().exchanged().carrying(four_wheeler(40.0)).verdict(), "overloaded") == []


def test_a_load_may_overload_a_thin_wire() -> None:
    """3 A per 0.5 mm² (our choice): a frog wire of 0.05 mm² is rated for 0.3 A and may carry an engine of 0.5 A."""
    thin = Desk().wired("frog wire", "M1.k", "T1.frog", mm2=0.05)
    engine = four_wheeler(20.0, draws_amps=0.5)
    over = of_kind(thin.carrying(engine).verdict(), "overloaded")
    (one,) = over  # one wire, both settings, both directions
    assert one.runs == 4
    assert all("wire from M1.k to T1.frog" in finding.text for finding in over)
    assert the_greatest(over) == pytest.approx(0.5, rel=0.02)
    assert thin.carrying(engine).verdict().passed
    assert of_kind(Desk().carrying(engine).verdict(), "overloaded") == []


# --- F: an automatic polarity unit in place of the contact. ---


def on_a_unit(hand: str = "right", *, number: float = 6, trip: float = 0.03, **unit: float) -> Desk:
    fields = {"turns_at_amps": 1.5, "turn_seconds": 0.005} | unit
    table = "".join(f"{key} = {value}\n" for key, value in fields.items())
    return (
        Desk(hand, number)
        .without("left outer", "right outer")
        .wired("frog wire", "Q1.out", "T1.frog")
        .wired("unit a", "bus.A", "Q1.a")
        .wired("unit b", "bus.B", "Q1.b")
        .with_supply(trip_seconds=trip)
        .beside(f'\n[[polarity]]\nid = "Q1"\n{table}')
    )


def test_a_unit_that_never_turns_leaves_its_frog_dead() -> None:
    """D1 row 4's other half: without its resting wire there is nothing to sense, so it does not turn, and an
    engine stalls.
    """
    verdict = on_a_unit().without("unit a").tested_with(SHUNTER).verdict()
    assert failing(verdict, "right") == {("dead", "wheel", leg) for leg in LEGS}


def test_a_unit_and_a_contact_fight() -> None:
    """D1 row 39: both on one frog. At power-up the contact holds it to B in one position, where the unit rests on
    A: it turns, and is content; in the other position it rests.
    """
    both = on_a_unit().wired("left outer", "M1.p", "bus.A").wired("right outer", "M1.m", "bus.B")
    both = both.wired("contact's frog wire", "M1.k", "T1.frog")
    assert failing(both.verdict(), "right") == set()
    slow = both.with_supply(trip_seconds=0.005)
    assert failing(slow.verdict(), "right") == {("short", "power-on", "left")}


# --- Several supplies, each with its own breaker; D1 row 20. ---

TWO = f"""
bench = 1
[[supply]]
id = "main"
kind = "dcc"
[[supply]]
id = "club"
kind = "dcc"
volts = {{volts}}
trip_amps = {{trip}}
{turnout()}
{motor()}
{CONTACT}
{wires(
    ("main.A", "T1.stock.left"), ("main.B", "T1.stock.right"),
    ("M1.k", "T1.frog"), ("M1.m", "club.{m}"), ("M1.p", "club.{p}"),
)}"""
COMMON = wires(("main.B", "club.B"))


def test_a_frog_of_another_district_has_no_way_back() -> None:
    """D1 row 20: between two supplies that nothing joins no current flows: the frog is dead to a short engine."""
    verdict = prove(parse(TWO.format(volts=15, trip=3, m="B", p="A"), KINDS, name="two.toml"))
    assert failing(verdict, "right") == {("dead", "wheel", leg) for leg in LEGS}
    assert {f.vehicle for f in verdict.findings if f.fails} == {SHUNTER}


def test_an_engine_is_weak_by_the_supply_that_it_runs_from() -> None:
    """model.md section 5: on more than 10 % less than the supply's open voltage; a district of 12 V beside one of
    18 is no weak place.
    """
    section = "".join(
        f'[[track]]\nid = "P{k}"\nkind = "plain"\nlength_mm = 400\n'
        f'[[wire]]\nends = ["{supply}.A", "P{k}.left"]\n[[wire]]\nends = ["{supply}.B", "P{k}.right"]\n'
        for k, supply in enumerate(("low", "high"))
    )
    supplies = "".join(
        f'[[supply]]\nid = "{name}"\nkind = "dcc"\nvolts = {volts}\n' for name, volts in (("low", 12), ("high", 18))
    )
    verdict = prove(parse(f"bench = 1\n{supplies}{section}", KINDS, name="two.toml"))
    assert verdict.findings == ()
    assert verdict.shares.live == 1.0


def test_each_supply_is_judged_by_its_own_breaker() -> None:
    """Outers exchanged: points diverging, the frog is the common B, and the main supply shorts; normal, the frog is
    the club's A on the right rail, and the club's supply is shorted, which opens at 3 A, or at 60 A not.
    """
    quick = prove(parse(TWO.format(volts=15, trip=3, m="A", p="B") + COMMON, KINDS, name="two.toml"))
    assert failing(quick, "right") == {("short", "wheel", leg) for leg in LEGS}
    slow = prove(parse(TWO.format(volts=15, trip=60, m="A", p="B") + COMMON, KINDS, name="two.toml"))
    kinds = {(kind, leg) for kind, _, leg in failing(slow, "right")}
    assert ("short", "right") in kinds
    assert ("hot", "left") in kinds
    assert ("short", "left") not in kinds
    assert all("main's breaker" in f.text for f in of_kind(slow, "short"))
    assert all("club's 60 A breaker" in f.text for f in of_kind(slow, "hot"))


# --- DC. ---


@pytest.mark.parametrize("frog", ["isolated", "live"])
def test_direct_current_is_judged_alike(frog: str) -> None:
    """D1 row 1 on DC; its supply opens at 1 A."""
    desk = Desk(frog=frog).with_supply(kind="dc")
    assert desk.verdict().passed
    when = "wheel" if frog == "isolated" else "power-on"
    assert failing(desk.exchanged().verdict(), "right") == {("short", when, leg) for leg in LEGS}


def test_on_dc_an_engine_works_from_its_starting_voltage() -> None:
    """model.md section 4: on DC `works_from_volts` is the motor's starting voltage, 3 V for the standard ones."""
    high = Desk().with_supply(kind="dc", volts=4.0, trip_amps=1.0)
    assert high.verdict().passed
    low = high.with_supply(volts=2.5)
    assert {f.kind for f in low.verdict().findings if f.fails} == {"dead"}
    assert {f.kind for f in high.with_supply(kind="dcc").verdict().findings if f.fails} == {"dead"}


def test_of_two_supplies_in_one_loop_the_first_is_told() -> None:
    """The same current flows through both, whatever its last digits; through the second if that gives more."""
    joint = "".join(f'{side} = "insulated", ' for side in LEGS)
    pieces = f"""
[[track]]
id = "P1"
kind = "plain"
length_mm = 400
[[track]]
id = "P2"
kind = "plain"
length_mm = 400
joins = {{ a = "P1.b" }}
joint = {{ {joint[:-2]} }}
"""
    ends = (("main.A", "P1.left"), ("main.B", "P1.right"), ("club.B", "P2.left"), ("club.A", "P2.right"))
    for volts, told in ((15, "main"), (15.000000001, "main"), (14.999999999, "main"), (18, "main")):
        supplies = "".join(
            f'[[supply]]\nid = "{name}"\nkind = "dcc"\nvolts = {v}\n' for name, v in (("main", 15), ("club", volts))
        )
        verdict = prove(parse(f"bench = 1\n{supplies}{pieces}{wires(*ends)}", KINDS, name="two.toml"))
        shorts = of_kind(verdict, "short")
        assert shorts
        assert all(f"{told}'s breaker opens" in finding.text for finding in shorts), [f.text for f in shorts]
