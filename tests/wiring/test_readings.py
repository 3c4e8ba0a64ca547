"""What a builder's meter reads by number, over a gap and past a wagon, and where a probe finds a train."""

from __future__ import annotations

from typing import Any

import pytest

from sim.bench.model import Bench
from sim.track.layout import Layout
from sim.wiring.probe import probe
from sim.wiring.standing import filed_standing
from tests.proof.benches import Desk, four_wheeler
from tests.wiring.metering import FROG, LEFT, RIGHT, Meter


def test_a_good_joint_is_known_by_number() -> None:
    """C3: by hand: leads 0.2, four wires of 0.3 m and 0.5 mm² (1/58 ohm mm²/m, IEC 60228) and the contact, 0.03."""
    reading = Meter(Desk().bench()).reading(FROG, RIGHT, 0.0)
    assert reading.value == pytest.approx(0.2 + 3 * 0.3 / 0.5 / 58 + 0.03, abs=1e-3)
    worn = Meter(Desk().with_contact(condition="oxidised").bench()).reading(FROG, RIGHT, 0.0)
    assert worn.beeps  # C6: read the number
    assert worn.value == pytest.approx(5.23, abs=0.01)


def test_a_leak_does_not_beep_and_is_not_open() -> None:
    """C3: left to right above 10 kilohm with everything off the rails; a whisker of 2 kilohm is not."""
    reading = Meter(Desk().without("frog wire").with_place("gaps", "closure.left", "leaking").bench()).reading(
        FROG, LEFT, 0.0
    )
    assert not reading.beeps
    assert reading.value == pytest.approx(2000, rel=0.01)


# --- C6: continuity that is none. ---


def standing(desk: Desk, mm: float, *, kind: str = "dc", plugged: bool = False, **fields: Any) -> Bench:
    """A trolley with its leading axle so far in from the toe, the supply unplugged unless told otherwise."""
    train = f'\n[[train]]\nid = "here"\nvehicles = ["trolley"]\nat = {{ end = "T1.toe", mm = {mm} }}\n'
    trolley = four_wheeler(26.0, **fields)
    return desk.with_supply(kind=kind, plugged=plugged).carrying(trolley).beside(train).bench()


def test_a_wagon_left_on_the_track_is_open_but_for_the_gap_it_spans() -> None:
    """C6, stock off: a metal wheel over a closure gap joins an unfed frog to the closure rail."""
    unfed = Desk().without("frog wire")
    wagon: dict[str, Any] = {"pickup": {"left": [], "right": []}, "draws_amps": 0.0}
    assert probe(standing(unfed, 60, **wagon), LEFT, RIGHT).value is None
    gap = (
        80 + 2 * 16.5 * 6 - 6 * (16.5 - 0.566 * 25.4 - 0.030 * 25.4 + 0.3)
    )  # toe, lead 2GN, less the default closure gap
    spanned = probe(standing(unfed, gap, **wagon), FROG, RIGHT)
    assert spanned.beeps
    assert spanned.value == pytest.approx(0.2 + 2 * 0.1 + 0.002, abs=0.005)  # leads, wheel on either rail, bond
    assert probe(standing(unfed, gap, **wagon), FROG, LEFT).value is None


def test_the_probe_reads_as_filed() -> None:
    """bench-file.md: points and trains as filed, ohms unless told."""
    normal = Desk().with_supply(plugged=False)
    assert probe(normal.bench(), FROG, RIGHT).beeps
    assert probe(normal.built(set="diverging").bench(), FROG, RIGHT).value is None
    on = Desk().with_supply(on=True).bench()
    assert probe(on, "T1.stock.left", "T1.stock.right", "volts").value == pytest.approx(15.0, abs=0.01)
    assert probe(Desk().bench(), "T1.stock.left", "T1.stock.right", "volts").value == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize(("end", "left"), [("T1.toe", "right"), ("T1.main", "left")])
def test_a_train_faces_the_end_that_it_is_put_down_from(end: str, left: str) -> None:
    """bench-file.md: the leading axle faces that end; left and right of a vehicle are those of someone who looks
    that way.

    On a right-hand turnout one who looks out of the main leg has the turnout's left rail on the left, one who looks
    out of the toe has its right one there.
    """
    desk = Desk().carrying(four_wheeler(26.0))
    train = f'\n[[train]]\nid = "here"\nvehicles = ["trolley"]\nat = {{ end = "{end}", mm = 5 }}\n'
    bench = desk.beside(train).bench()
    (stands,) = filed_standing(bench, Layout(bench), {"T1": 0.0})
    for axle in stands.axles:
        assert f"T1.stock.{left}" in axle[0]
        assert f"T1.stock.{left}" not in axle[1]
