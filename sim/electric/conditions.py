"""Ohms of every contact and joint by its condition.

Values are the model's (its section 4); each lies in the trade's range for it (trade.md E3) where there is one.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from types import MappingProxyType

__all__ = [
    "BLADE_OHMS",
    "BOND_OHMS",
    "CONTACT_OHMS",
    "GAP_OHMS",
    "JOINT_OHMS",
    "PICKUP_OHMS",
    "UNIT_OHMS",
    "WHEEL_OHMS",
]


def _table(**ohms: float) -> Mapping[str, float]:
    return MappingProxyType(ohms)


# trade.md E3: new 0.02 to 0.05, worn 0.1 to 1, oxidised 5 to 100 ohm and more.
CONTACT_OHMS = _table(good=0.03, worn=0.5, oxidised=5.0, open=math.inf)
# A blade on its stock rail: common practice, no source.
BLADE_OHMS = _table(good=0.1, worn=0.5, oxidised=5.0, open=math.inf)
# trade.md E3: rail joiner good 0.002 to 0.02, bad 0.2 ohm to open.
JOINT_OHMS = _table(metal=0.005, bad=0.5, insulated=math.inf)
# Bonds and jumpers, soldered: common practice, no source.
BOND_OHMS = _table(made=0.002, open=math.inf)
# Leaking: whiskers, swarf, damp; our choice within trade.md C6, where 10 kilohm and more are fingers and damp ballast.
GAP_OHMS = _table(cut=math.inf, leaking=2000.0, closed=0.002)
# trade.md E3: a clean wheel on the rail, 0.1 to 1 ohm.
WHEEL_OHMS = 0.1
# A wheel to the rail of its vehicle's pick-ups: our choice.
PICKUP_OHMS = 0.001
# The contact of an automatic polarity unit: as a good changeover contact.
UNIT_OHMS = CONTACT_OHMS["good"]
