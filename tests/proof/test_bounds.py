"""Every file within the limits is judged in bounded time and memory, or refused with its name (bench-file.md)."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from sim.bench.reading import parse
from sim.proof import TooMuch, prove
from sim.track.formations import KINDS

_HEAD = 'bench = 1\n[supply]\nkind = "dcc"\n'
_TURNOUT = '[[track]]\nid = "T1"\nkind = "turnout"\nscale = "HO"\nhand = "right"\nnumber = 6\n'
_LONG = ", ".join(str(10 * k) for k in range(40))
_VEHICLE = (
    '[[vehicle]]\nname = "{name}"\nscale = "HO"\naxles_mm = [' + _LONG + ']\nwheel = "RP-25 code 110"\n'
    "pickup = {{ left = [1], right = [1] }}\ndraws_amps = 0.2\nworks_from_volts = 7.0\ngrams = 100\n"
)


def wire(one: str, other: str) -> str:
    return f'[[wire]]\nends = ["{one}", "{other}"]\n'


FED = _HEAD + _TURNOUT + wire("bus.A", "T1.stock.left") + wire("bus.B", "T1.stock.right")


def unwired_units(count: int) -> str:
    return FED + "".join(f'[[polarity]]\nid = "Q{k}"\n' for k in range(count))


def units_on_one_frog(count: int) -> str:
    return FED + "".join(
        f'[[polarity]]\nid = "Q{k}"\n'
        + wire(f"Q{k}.a", "bus.A") + wire(f"Q{k}.b", "bus.B") + wire(f"Q{k}.out", "T1.frog")
        for k in range(count)
    )  # fmt: skip


def unwired_contacts(count: int) -> str:
    contacts = (
        f'[[motor.changeover]]\ncommon = "a{k}"\nnormal = "b{k}"\ndiverging = "c{k}"\n' for k in range(count)
    )
    return FED + '[[motor]]\nid = "M1"\ndrives = "T1"\n' + "".join(contacts)


def lamps_on_one_frog(count: int) -> str:
    return FED + "".join(
        f'[[lamp]]\nid = "L{k}"\n' + wire(f"L{k}.1", "bus.A") + wire(f"L{k}.2", "T1.frog") for k in range(count)
    )


def switches_on_one_frog(count: int) -> str:
    return FED + "".join(
        f'[[motor]]\nid = "S{k}"\nby_hand = true\n[[motor.changeover]]\ncommon = "a"\nnormal = "b"\ndiverging = "c"\n'
        + wire(f"S{k}.a", "T1.frog") + wire(f"S{k}.b", "bus.A") + wire(f"S{k}.c", "bus.B")
        for k in range(count)
    )  # fmt: skip


def many_vehicles(count: int) -> str:
    return FED + "".join(_VEHICLE.format(name=f"V{k}") for k in range(count))


def long_train(count: int) -> str:
    names = ", ".join(['"V"'] * count)
    train = f'[[train]]\nid = "long"\nvehicles = [{names}]\nat = {{ end = "T1.toe", mm = 10 }}\n'
    return FED + _VEHICLE.format(name="V") + train


@pytest.mark.parametrize(
    "text", [unwired_units(1000), units_on_one_frog(50), unwired_contacts(16), lamps_on_one_frog(40)],
    ids=["1,000 units", "50 units on a frog", "16 contacts", "40 lamps on a frog"],
)  # fmt: skip
def test_what_grew_without_bound_is_judged(text: str) -> None:
    verdict = prove(parse(text, KINDS, name="hostile"))
    assert verdict.findings


@pytest.mark.parametrize(
    ("text", "what"),
    [
        (lamps_on_one_frog(1000), "1000 lamps that glow at once"),
        (switches_on_one_frog(1000), "1000 levers that feed one and the same rails"),
        (long_train(50), "2000 axles over"),
    ],
)
def test_what_is_too_much_is_refused_and_says_what_of_it(text: str, what: str) -> None:
    bench = parse(text, KINDS, name="hostile")
    with pytest.raises(TooMuch, match=what):
        prove(bench)


@pytest.mark.slow
def test_a_thousand_vehicles_of_forty_axles_are_refused() -> None:
    with pytest.raises(TooMuch, match="40 axles"):
        prove(parse(many_vehicles(1000), KINDS, name="hostile"))


def test_the_command_line_names_the_file(tmp_path: Path) -> None:
    path = tmp_path / "long.toml"
    path.write_text(long_train(50), encoding="utf-8")
    done = subprocess.run(
        [sys.executable, "-m", "sim", "check", str(path)], capture_output=True, text=True, check=False,
        cwd=Path(__file__).resolve().parents[2],
    )  # fmt: skip
    assert done.returncode == 2
    assert done.stderr.startswith(f"{path}: found ")
    assert "too much to test" in done.stderr
    assert done.stderr.count("\n") == 1
