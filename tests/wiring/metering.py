"""A meter on a bench for tests: what it reads with the supply unplugged and nothing on the track."""

from __future__ import annotations

from sim.bench.model import Bench
from sim.electric.meter import Reading, read
from sim.session.frogs import OPEN_OHMS
from sim.track.layout import Layout
from sim.wiring.names import tab
from sim.wiring.switched import circuit
from tests.proof.benches import LEGS, Desk, setting_for

__all__ = ["AT", "FROG", "LEFT", "RIGHT", "Four", "Meter", "four", "left_to_right"]

AT = {"normal": 0.0, "diverging": 1.0}
FROG, LEFT, RIGHT = "T1.frog", "T1.stock.left", "T1.stock.right"

Four = tuple[tuple[str, str], tuple[str, str]]


class Meter:
    """A meter on a bench whose supply is unplugged, nothing on the track."""

    def __init__(self, bench: Bench) -> None:
        self.bench = bench
        self.layout = Layout(bench)

    def reading(self, a: str, b: str, travel: float) -> Reading:
        """Between two terminals, with the blades so far on their way."""
        unplugged = dict.fromkeys((supply.id for supply in self.bench.supplies), None)
        net = circuit(self.bench, self.layout, {"T1": travel}, volts=unplugged)
        return read(net, tab(self.bench, a), tab(self.bench, b), "ohms")

    def says(self, a: str, b: str, travel: float) -> str:
        """ "closed" when it beeps, "open" above 10 kilohm (C3), else the number."""
        reading = self.reading(a, b, travel)
        if reading.beeps:
            return "closed"
        return "open" if reading.value is None or reading.value > OPEN_OHMS else f"{reading.value:.0f}"


def four(desk: Desk) -> Four:
    """Frog to left and frog to right, with the points set for the left exit and for the right one."""
    meter = Meter(desk.bench())
    rows = []
    for leg in LEGS:
        travel = AT[setting_for(leg, desk.hand)]
        rows.append((meter.says(FROG, LEFT, travel), meter.says(FROG, RIGHT, travel)))
    return rows[0], rows[1]


def left_to_right(desk: Desk) -> tuple[str, str]:
    """Left rail to right rail, in both settings."""
    meter = Meter(desk.bench())
    left, right = (meter.says(LEFT, RIGHT, AT[setting_for(leg, desk.hand)]) for leg in LEGS)
    return left, right
