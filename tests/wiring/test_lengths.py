"""What lengths of rail and of bus add to a reading, against figures worked by hand.

Plain track of more than 300 mm is several equal lengths, each with its node in its middle; a shorter one is one. Its
tab is on the middle length, or on the second of two. Between two tabs the meter's current runs to the end of the one
piece, over the joiner and from the end of the other: to each side of the joiner half a length, then whole ones.
Code 100 rail has 0.0571 ohm per metre (measured, wire.toml rail.nickel_silver_code_100), a good joiner 0.005 ohm, a bad
one 0.5 ohm (trade.md E3); copper 1/58 ohm mm² per metre; the meter's leads 0.2 ohm are taken off.
"""

from __future__ import annotations

import pytest

from sim.bench.model import Bench
from sim.bench.reading import parse
from sim.electric.meter import LEAD_OHMS
from sim.track.formations import KINDS
from sim.wiring.probe import probe

HEAD = 'bench = 1\n[supply]\nkind = "dc"\nplugged = false\n'


def plains(*lengths_mm: float, joint: str = "metal", rail: str = "code 100") -> Bench:
    """Plain track P1, P2, ... of these lengths in a row, all joints alike."""
    text = HEAD
    for k, mm in enumerate(lengths_mm, 1):
        text += f'[[track]]\nid = "P{k}"\nkind = "plain"\nscale = "HO"\nrail = "{rail}"\nlength_mm = {mm}\n'
        if k > 1:
            text += f'joins = {{ a = "P{k - 1}.b" }}\njoint = {{ left = "{joint}", right = "{joint}" }}\n'
    return parse(text, KINDS, name="row.toml")


def between(bench: Bench, red: str, black: str) -> float:
    """Ohms of what lies between two terminals, the leads taken off."""
    value = probe(bench, red, black).value
    assert value is not None
    return value - LEAD_OHMS


# --- A rail's ohms across a joint. ---


@pytest.mark.parametrize(
    ("lengths_mm", "joint", "ohms"),
    [
        # from 100 in P1 to its end at 200, and to 150 in P2, which is one length of 300: 250 mm of rail
        ((200, 300), "metal", 0.014275 + 0.005),
        # from 450 in P1 to its end at 900, and to 300 in P2, two lengths of 200, its tab on the second: 750 mm
        ((900, 400), "metal", 0.042825 + 0.005),
        # from 450 to the end at 900, and to 750 in P2, four lengths of 300, its tab on the third: 1200 mm
        ((900, 1200), "metal", 0.06852 + 0.005),
        ((900, 1200), "bad", 0.06852 + 0.5),
        # over all of P2 from the middle of P1 to the middle of P3: 100 + 500 + 100 = 700 mm, and two joiners
        ((200, 500, 200), "metal", 0.03997 + 2 * 0.005),
        # the same with a P2 so short that it is one length: 100 + 60 + 100 = 260 mm
        ((200, 60, 200), "metal", 0.014846 + 2 * 0.005),
    ],
)
@pytest.mark.parametrize("side", ["left", "right"])
def test_across_a_joint_are_half_a_length_of_rail_on_each_side_and_the_joiner(
    lengths_mm: tuple[float, ...], joint: str, ohms: float, side: str
) -> None:
    last = f"P{len(lengths_mm)}"
    found = between(plains(*lengths_mm, joint=joint), f"P1.{side}", f"{last}.{side}")
    assert found == pytest.approx(ohms, abs=1e-6)


def test_the_rail_at_a_joint_is_of_the_track_s_own_section() -> None:
    """Code 70 has (100/70)² the ohms of code 100: 250 mm of it 0.029133 ohm."""
    assert between(plains(200, 300, rail="code 70"), "P1.left", "P2.left") == pytest.approx(0.029133 + 0.005, abs=1e-6)


def test_from_a_turnout_s_rail_on_it_is_half_a_length_of_the_plain_track_alone() -> None:
    """Rails of turnouts have no ohms of their own: from the toe to 450 mm in P1, three lengths of 300: 0.025695 ohm.

    At the toe one looks out: the turnout's left rail meets the plain track's right one.
    """
    text = HEAD + (
        '[[track]]\nid = "T1"\nkind = "turnout"\nscale = "HO"\nrail = "code 100"\nhand = "right"\nnumber = 6\n'
        'frog = "isolated"\n'
        '[[track]]\nid = "P1"\nkind = "plain"\nrail = "code 100"\nlength_mm = 900\njoins = { a = "T1.toe" }\n'
    )
    bench = parse(text, KINDS, name="toe.toml")
    for turnouts, plain in (("left", "right"), ("right", "left")):
        found = between(bench, f"T1.stock.{turnouts}", f"P1.{plain}")
        assert found == pytest.approx(0.025695 + 0.005, abs=1e-6)


# --- A bus and its taps. ---

# 1.5 mm² copper has 0.0114943 ohm per metre of one wire.
BUS = HEAD + "[bus]\nmm2 = 1.5\ntaps = { far = 12.0, near = 3.0, shed = 7.5, yard = 7.5 }\n"
FROM_SUPPLY = {"near": 0.0344828, "shed": 0.0862069, "yard": 0.0862069, "far": 0.1379310}


@pytest.mark.parametrize("side", ["A", "B"])
@pytest.mark.parametrize("tap", FROM_SUPPLY)
def test_a_tap_is_as_far_from_the_supply_as_its_metres_along_the_bus(tap: str, side: str) -> None:
    """Its wire is counted once, however many taps stand before it, and in whatever order the file has them."""
    found = between(parse(BUS, KINDS, name="bus.toml"), f"bus.{side}", f"{tap}.{side}")
    assert found == pytest.approx(FROM_SUPPLY[tap], abs=1e-5)  # two taps at one place: a wire of no length


@pytest.mark.parametrize(
    ("one", "other", "ohms"),
    [
        ("near", "shed", 0.0517241),  # 4.5 m
        ("shed", "far", 0.0517241),  # 4.5 m
        ("near", "far", 0.1034483),  # 9 m
        ("shed", "yard", 0.0),
    ],
)
def test_between_two_taps_is_the_difference_of_their_metres(one: str, other: str, ohms: float) -> None:
    found = between(parse(BUS, KINDS, name="bus.toml"), f"{one}.A", f"{other}.A")
    assert found == pytest.approx(ohms, abs=1e-5)
