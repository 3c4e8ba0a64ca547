"""The rail on both sides of a joint: each half by its own section, whichever side writes the joint."""

from __future__ import annotations

import pytest

from sim.bench.reading import parse
from sim.electric.conditions import JOINT_OHMS
from sim.electric.rail import ohms_per_metre
from sim.track.formations import KINDS
from sim.track.layout import Layout
from sim.wiring.probe import probe
from sim.wiring.switched import circuit

_HEAD = 'bench = 1\n[supply]\nkind = "dcc"\nplugged = false\n'
_LIGHT = '[[track]]\nid = "P1"\nkind = "plain"\nlength_mm = 200\nrail = "code 55"\n'
_HEAVY = '[[track]]\nid = "P2"\nkind = "plain"\nlength_mm = 280\nrail = "code 100"\n'
_BY_LIGHT = _HEAD + _LIGHT + 'joins = { b = "P2.a" }\n' + _HEAVY
_BY_HEAVY = _HEAD + _LIGHT + _HEAVY + 'joins = { a = "P1.b" }\n'


@pytest.mark.parametrize("text", [_BY_LIGHT, _BY_HEAVY])
def test_each_half_of_a_joint_is_rail_of_its_own_piece(text: str) -> None:
    bench = parse(text, KINDS, name="bench")
    parts = circuit(bench, Layout(bench), {}).parts
    joints = [1.0 / part.stamp().siemens for part in parts if part.ref.kind == "joint"]
    half = ohms_per_metre("code 55") * 0.1 + ohms_per_metre("code 100") * 0.14
    assert joints == pytest.approx([JOINT_OHMS["metal"] + half] * 2, rel=1e-12)


def test_the_meter_reads_the_same_whichever_side_writes_the_joint() -> None:
    one, other = (probe(parse(text, KINDS, name="bench"), "P1.left", "P2.left") for text in (_BY_LIGHT, _BY_HEAVY))
    assert one == other
