"""What the meter reads between two terminals of a bench as filed, its trains and its supply included."""

from __future__ import annotations

from typing import Literal

from sim.bench.levers import filed_settings
from sim.bench.model import Bench
from sim.electric.meter import Reading, read
from sim.electric.parts import PartRef
from sim.track.layout import Layout
from sim.wiring.names import tab
from sim.wiring.standing import filed_standing
from sim.wiring.switched import circuit

__all__ = ["alternating", "probe", "supply_volts"]


def supply_volts(bench: Bench) -> dict[str, float | None]:
    """Volts of each supply as filed: 0.0 when off but plugged in, None when unplugged."""
    return {supply.id: None if not supply.plugged else supply.volts if supply.on else 0.0 for supply in bench.supplies}


def alternating(bench: Bench) -> frozenset[PartRef]:
    """Parts whose polarity turns thousands of times a second: the digital supplies."""
    return frozenset(PartRef("supply", supply.id) for supply in bench.supplies if supply.kind == "dcc")


def probe(bench: Bench, red: str, black: str, mode: Literal["ohms", "volts"] = "ohms") -> Reading:
    """The reading with points, trains and supply as filed."""
    layout = Layout(bench)
    travel = {
        name: 0.0 if setting == "normal" else 1.0 for name, setting in filed_settings(bench).items()
    }
    net = circuit(bench, layout, travel, volts=supply_volts(bench), standing=filed_standing(bench, layout, travel))
    return read(net, tab(bench, red), tab(bench, black), mode, alternating=alternating(bench))
