"""What a bench file says is what the bench has."""

from __future__ import annotations

import math
from dataclasses import fields, is_dataclass
from pathlib import Path
from typing import Any

import pytest

from sim.bench import prompt
from sim.bench.faults import BenchFaults
from sim.bench.fields import declarations
from sim.bench.level import (
    STEPS,
    Allow,
    Level,
    PlaceStep,
    PlugStep,
    PowerStep,
    ProbeStep,
    ThrowStep,
    TurnStep,
    UnwireStep,
    WireStep,
)
from sim.bench.model import (
    Bench,
    Bus,
    Changeover,
    Lamp,
    Motor,
    Polarity,
    Supply,
    Train,
    Vehicle,
    WheelSize,
    Wire,
    awg_mm2,
)
from sim.bench.reading import load, parse
from sim.bench.table import Table
from sim.track.formations import KINDS, End, Plain, Turnout
from tests.bench.examples import CONTRACT, SMALL, bench_of, small

HEAD = 'bench = 1\n[supply]\nkind = "dcc"\n'
TURNOUT = '[[track]]\nid = "T1"\nkind = "turnout"\nscale = "HO"\nhand = "right"\nnumber = 6\n'


def test_every_key_of_the_contract_is_read() -> None:
    assert bench_of(CONTRACT) == Bench(
        title="Branch to the goods shed",
        supplies=(
            Supply(
                id="bus",
                kind="dcc",
                volts=16.5,
                source_ohms=0.2,
                trip_amps=4.0,
                trip_seconds=0.05,
                limit_amps=5.0,
                retry_seconds=5.0,
                on=True,
                plugged=False,
            ),
        ),
        bus=Bus(mm2=1.5, taps=Table(near=0.5, far=6.0)),
        tracks=(
            Turnout(
                id="T1",
                kind="turnout",
                scale="HO",
                rail="code 100",
                hand="left",
                number=8.0,
                branch="arc",
                frog="live",
                set="diverging",
                gaps=Table({"closure.left": "cut", "exit.right": "leaking"}),
                bonds=Table(left="made"),
                jumpers=Table(right="made"),
                gap_at_mm=Table(closure=14.5, exit=26.0),
                gap_mm=0.5,
                blade_mm=100.0,
                blade_opening_mm=2.7,
                blade_touch=0.2,
                blade_contact="worn",
                toe_mm=85.0,
                leg_mm=95.0,
            ),
            Plain(
                id="P1",
                kind="plain",
                length_mm=300.0,
                radius_mm=600.0,
                turns="left",
                joins=Table(a="T1.main", b="E1.a"),
                joint=Table(left="metal", right="insulated"),
                joints=Table(b=Table(left="bad")),
            ),
            End(id="E1", kind="end"),
            Turnout(id="T2", kind="turnout", scale="N", hand="right", number=6.0, branch="straight-points"),
        ),
        motors=(
            Motor(
                id="M1",
                drives=("T1",),
                seconds=2.5,
                turned=True,
                by_hand=True,
                changeovers=(Changeover("k", "m", "p", (0.3, 0.6), "oxidised", 2.0, True, "diverging"),),
            ),
            Motor("S1", by_hand=True, set="diverging"),
        ),
        wires=(
            Wire(("M1.k", "T1.frog"), 0.75, None, 0.4, "green", "W7", "under the signal box"),
            Wire(("far.A", "Q1.a"), awg=22),
        ),
        polarities=(Polarity("Q1", 1.2, 0.01, 2),),
        lamps=(Lamp("L1", 24.0, 5.0),),
        vehicles=(
            Vehicle(
                name="six-coupled tank",
                scale="HO",
                axles_mm=(0.0, 22.0, 45.0),
                wheel="RP-25 code 110",
                pickup_left=(1, 2, 3),
                pickup_right=(1, 2),
                draws_amps=0.25,
                works_from_volts=7.0,
                stored_joules=0.5,
                grams=220.0,
            ),
            Vehicle(
                name="old wagon",
                scale="HO",
                axles_mm=(0.0, 40.0),
                wheel=WheelSize(14.4, 0.7, 2.9, 5.25),
                draws_amps=0.0,
                works_from_volts=0.0,
                grams=60.0,
            ),
        ),
        trains=(Train("shunter", ("four-wheel shunter", "old wagon"), "T1.toe", 40.0, 0.25),),
        test=("four-wheel shunter", "six-coupled tank"),
        level=Level(
            chapter="gaps",
            rank=3,
            minutes=7,
            line="It stops on the frog.",
            task="Find out why.",
            brief="Make both routes live.",
            goals=("safe", "tidy"),
            predict=("T1",),
            readings=4,
            allow=Allow(
                wires=False,
                gaps=("T1.gap.closure.left",),
                bonds=("T1.bond.left", "T1.jumper.right"),
                motor=True,
                wire_limit=6,
            ),
            hints=("Look at the blades.", "Measure."),
            teaches="The frog follows the closed blade.",
            seen="below",
            sides="proved",
            prompts=(
                prompt.Prompt("It creeps on.", "shunter", prompt.Stalled("shunter")),
                prompt.Prompt("Nudge it.", "throttle", prompt.Runs("shunter")),
                prompt.Prompt("Drive over.", "lever", prompt.Over("T1", "diverging")),
                prompt.Prompt("Wire it.", "M1.k", prompt.Joined(("M1.k", "T1.frog"), "T1.stock.left")),
                prompt.Prompt("Pull the plug.", "plug", prompt.Unplugged(True)),
                prompt.Prompt("Switch on.", "rocker", prompt.Live(True)),
                prompt.Prompt("Measure.", "meter", prompt.Read(2)),
                prompt.Prompt("See the short.", "T1.frog", prompt.Shorted(True)),
                prompt.Prompt("Put it right.", "T1.frog", prompt.AsSolved(True)),
                prompt.Prompt("Test.", "test", prompt.Passed(True)),
            ),
            solution=(
                ThrowStep("T1"),
                ThrowStep("T1", "normal"),
                ProbeStep(("T1.frog", "T1.stock.right")),
                WireStep(("M1.k", "T1.frog")),
                UnwireStep(("M1.k", "T1.frog")),
                PlaceStep("T1.gap.closure.left", "closed"),
                TurnStep("M1"),
                ThrowStep("S1"),
                PlugStep(True),
                PowerStep(False),
            ),
        ),
    )


def test_the_example_leaves_no_declared_key_at_its_default() -> None:
    """So that the test above sees every key: one that is not read would show."""
    seen: set[tuple[type, str]] = set()

    def look(thing: Any) -> None:
        if isinstance(thing, tuple):
            for item in thing:
                look(item)
        elif is_dataclass(thing) and not isinstance(thing, type):
            for field in declarations(thing):
                value = getattr(thing, field.name)
                if value is not None and (field.required or value != field.default_for(getattr(thing, "kind", None))):
                    seen.add((type(thing), field.name))
            for one in fields(thing):
                look(getattr(thing, one.name))

    look(bench_of(CONTRACT))
    tables: list[Any] = [
        Bench,
        Bus,
        Supply,
        Turnout,
        Plain,
        Motor,
        Changeover,
        Wire,
        Polarity,
        Lamp,
        Vehicle,
        WheelSize,
    ]
    tables += [Train, Level, Allow, prompt.Prompt, *STEPS.values(), *prompt.CONDITIONS.values()]
    expected = {(cls, field.name) for cls in tables for field in declarations(cls)}
    # In a joint-less turnout and a single supply there is nothing to say in these.
    expected -= {(Turnout, "joins"), (Turnout, "joint"), (Turnout, "joints"), (Plain, "scale"), (Plain, "rail")}
    assert expected - seen == set()


def test_what_is_left_out_has_the_value_of_the_contract() -> None:
    bench = bench_of(
        f'{HEAD}[bus]\n{TURNOUT}[[track]]\nid = "P1"\nkind = "plain"\nlength_mm = 300\njoins = {{ a = "T1.main" }}\n'
        '[[motor]]\nid = "M1"\ndrives = "T1"\n[[motor.changeover]]\ncommon = "k"\nnormal = "m"\ndiverging = "p"\n'
        '[[motor]]\nid = "M2"\ndrives = "T2"\n[[track]]\nid = "T2"\nkind = "wye"\nscale = "N"\nnumber = 4.5\n'
        '[[wire]]\nends = ["M1.k", "T1.frog"]\n[[polarity]]\nid = "Q1"\n[[lamp]]\nid = "L1"\n[[train]]\nid = "x"\n'
        "[test]\n[level]\n"
    )
    assert bench.title == ""
    assert (bench.supplies[0].retry_seconds, bench.supplies[0].on, bench.supplies[0].plugged) == (0.0, False, True)
    assert bench.bus == Bus(2.5, Table())
    turnout, plain, wye = bench.tracks
    assert isinstance(turnout, Turnout)
    assert isinstance(plain, Plain)
    assert isinstance(wye, Turnout)
    assert (turnout.branch, turnout.frog, turnout.set) == ("arc", "isolated", "normal")
    assert [len(t) for t in (turnout.gaps, turnout.bonds, turnout.jumpers, turnout.gap_at_mm)] == [0, 0, 0, 0]
    assert (turnout.gap_mm, turnout.blade_touch, turnout.blade_contact) == (0.6, 0.1, "good")
    assert (turnout.toe_mm, turnout.leg_mm) == (80.0, 90.0)
    assert (plain.scale, plain.rail, plain.radius_mm, plain.turns) == (None, None, None, None)
    assert plain.joint_states("a") == ("metal", "metal")
    assert (wye.kind, wye.hand, wye.number) == ("wye", None, 4.5)
    motor, bare = bench.motors
    assert (motor.seconds, motor.turned) == (1.5, False)
    assert bare.changeovers == ()
    contact = motor.changeovers[0]
    assert (contact.travel, contact.condition, contact.rating_amps, contact.marked) == (
        (0.45, 0.55),
        "good",
        1.0,
        False,
    )
    wire = bench.wires[0]
    assert (wire.mm2, wire.awg, wire.metres, wire.colour, wire.number, wire.note) == (0.5, None, 0.3, None, None, None)
    assert bench.polarities == (Polarity("Q1", 1.5, 0.005),)
    assert bench.lamps == (Lamp("L1", 12.0, 21.0),)
    assert bench.trains == (Train("x", ("four-wheel shunter",), "T1.toe", 0.0),)
    assert bench.test is None
    assert bench.level == Level(goals=("safe", "live", "checked"), readings=6, chapter="first-frog")


@pytest.mark.parametrize(
    ("kind", "values"),
    # model.md section 4: DCC 15 V, 0.1 ohm, 3 A, 0.03 s; DC 12 V, 0.5 ohm, 1 A, 2 s
    [("dcc", (15.0, 0.1, 3.0, 0.03)), ("dc", (12.0, 0.5, 1.0, 2.0))],
)
def test_a_supply_goes_by_its_kind(kind: str, values: tuple[float, ...]) -> None:
    for supply in (Supply("bus", kind), *bench_of(f'bench = 1\nsupply = {{ kind = "{kind}" }}').supplies):
        assert (supply.volts, supply.source_ohms, supply.trip_amps, supply.trip_seconds) == values
    (one,) = bench_of(f'bench = 1\nsupply = {{ kind = "{kind}", trip_amps = 5 }}').supplies
    assert (one.volts, one.trip_amps) == (values[0], 5.0)


def test_several_supplies_have_ids() -> None:
    bench = bench_of('bench = 1\n[[supply]]\nid = "main"\nkind = "dcc"\n[[supply]]\nid = "yard"\nkind = "dc"\n')
    assert [(supply.a, supply.b) for supply in bench.supplies] == [("main.A", "main.B"), ("yard.A", "yard.B")]
    assert [supply.kind for supply in bench.supplies] == ["dcc", "dc"]


def test_a_single_supply_is_named_bus() -> None:
    (supply,) = small().supplies
    assert (supply.id, supply.a, supply.b) == ("bus", "bus.A", "bus.B")


@pytest.mark.parametrize(
    ("awg", "mm2"),
    # IEC 60228 and ASTM B258 as tabulated in wire handbooks: 22 AWG 0.326, 18 AWG 0.823, 14 AWG 2.08, 0 AWG 53.5 mm2
    [(22, 0.326), (18, 0.823), (14, 2.08), (0, 53.5)],
)
def test_a_gauge_number_gives_the_cross_section(awg: int, mm2: float) -> None:
    wire = Wire(("a.1", "b.1"), awg=awg)
    assert wire.area_mm2 == pytest.approx(mm2, rel=2e-3)
    assert wire.mm2 == wire.area_mm2 == awg_mm2(awg)


def test_a_wire_made_in_code_cannot_have_two_sizes() -> None:
    with pytest.raises(ValueError, match=r"mm2 = 1.0 or by awg = 22"):
        Wire(("a.1", "b.1"), mm2=1.0, awg=22)


def test_the_joint_told_of_is_that_at_the_first_end_written() -> None:
    text = SMALL.replace(
        'joins = { a = "T1.main" }', 'joins = { b = "T1.main" }\njoint = { left = "bad", right = "insulated" }'
    )
    piece = bench_of(text).piece("P1")
    assert piece.joint_end == "b"
    assert piece.joint_states("b") == ("bad", "insulated")
    assert piece.joint_states("a") == ("metal", "metal")
    assert bench_of(CONTRACT).piece("P1").joint_states("a") == ("metal", "insulated")


def test_a_train_without_a_place_stands_at_the_first_end() -> None:
    text = f'{HEAD}[[track]]\nid = "P1"\nkind = "plain"\nlength_mm = 90\n[[train]]\nid = "x"\nat = {{ mm = 30 }}\n'
    (train,) = bench_of(text).trains
    assert (train.end, train.mm) == ("P1.a", 30.0)


def test_places_may_be_allowed_by_their_short_or_full_names() -> None:
    texts = [
        f'{SMALL}[level]\nallow = {{ gaps = ["{gap}"], bonds = ["{bond}"] }}\n'
        for gap, bond in [("T1.exit.left", "T1.right"), ("T1.gap.exit.left", "T1.bond.right")]
    ]
    one, two = (bench_of(text).level for text in texts)
    assert one == two
    assert one is not None
    assert one.allow.place("T1.gap.exit.left")
    assert one.allow.place("T1.bond.right")
    assert not one.allow.place("T1.gap.exit.right")
    assert not one.allow.place("T1.jumper.right")
    free = Allow(gaps=True, bonds=False)
    assert free.place("T1.gap.exit.right")
    assert not free.place("T1.bond.left")


def test_whole_numbers_do_for_any_number_and_no_others_do_for_whole_ones() -> None:
    bench = bench_of(SMALL.replace("length_mm = 300", "length_mm = 300.5"))
    assert isinstance(bench.piece("P1"), Plain)
    wire = bench_of(SMALL + "metres = 2\n").wires[-1]
    assert wire.metres == 2.0
    assert isinstance(wire.metres, float)
    with pytest.raises(BenchFaults, match=r"wire\[2\]\.awg: found 22\.0"):
        bench_of(SMALL + "awg = 22.0\n")


def test_minus_nought_is_nought() -> None:
    wire = bench_of(SMALL + "metres = -0.0\n").wires[-1]
    assert math.copysign(1, wire.metres) == 1


def test_tables_may_be_written_in_any_way_that_toml_has() -> None:
    bench = bench_of(
        'bench = 1\nsupply.kind = "dcc"\n'
        'track = [{ id = "T1", kind = "turnout", scale = "HO", hand = "left", number = 5 }]\n'
        'motor = [{ id = "M1", drives = "T1", changeover = [{ common = "k", normal = "m", diverging = "p" }] }]\n'
        'train = [{ id = "x", at.end = "T1.main", at.mm = 3 }]\n'
    )
    assert bench.motors[0].terminals == ("M1.k", "M1.m", "M1.p")
    assert bench.trains[0].end == "T1.main"


def test_a_file_is_read_as_its_text(tmp_path: Path) -> None:
    file = tmp_path / "branch.toml"
    for text in (SMALL, SMALL.replace("\n", "\r\n"), "\ufeff" + SMALL):
        file.write_bytes(text.encode())
        assert load(file, KINDS) == load(str(file), KINDS) == small()


def test_reading_asks_for_the_kinds_it_is_given() -> None:
    with pytest.raises(BenchFaults) as caught:
        parse(SMALL, {"plain": Plain}, name="x")
    assert [fault.path for fault in caught.value.faults] == ["track[1].kind"]
    assert caught.value.faults[0].expected == 'one of "plain"'
