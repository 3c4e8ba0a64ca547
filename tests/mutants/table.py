"""What is broken, where, and how: each is one mistake that somebody could make in the core."""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["MUTANTS", "Mutant"]


@dataclass(frozen=True)
class Mutant:
    """A mistake: in words, and the text of a file under `sim` that stands once in it, as it is and as it is broken."""

    words: str
    file: str
    right: str
    wrong: str


MUTANTS: tuple[Mutant, ...] = (
    Mutant("a supply's sign", "electric/parts/source.py", "emf=self.volts, delivers", "emf=-self.volts, delivers"),
    Mutant(
        "a supply without its inner resistance",
        "wiring/build.py",
        "level, supply.source_ohms)",
        "level, 0.5 * supply.source_ohms)",
    ),
    Mutant("copper a twentieth too good", "electric/wire.py", "1.0 / 58.0", "1.0 / 61.0"),
    Mutant(
        "rail by its height, not its section", "electric/rail.py", "(100.0 / code(rail)) ** 2", "(100.0 / code(rail))"
    ),
    Mutant("the meter's leads forgotten", "electric/meter.py", "LEAD_OHMS = 0.2 ", "LEAD_OHMS = 0.0 "),
    Mutant("a filament as a plain resistor", "electric/parts/lamp.py", "** -0.25)", "** -0.0)"),
    Mutant("a leak taken for a cut", "electric/conditions.py", "leaking=2000.0", "leaking=math.inf"),
    Mutant("a breaker that waits no time", "electric/breaker.py", "dt - breaker.trip_seconds", "dt - 0.0"),
    Mutant(
        "wheels a tenth too narrow",
        "track/wheels.py",
        "self.back_to_back_mm / 2 + self.width_mm",
        "self.back_to_back_mm / 2 + 0.9 * self.width_mm",
    ),
    Mutant("a contact's tolerance four times as great", "track/contact.py", "GIVE_MM = 0.02", "GIVE_MM = 0.08"),
    Mutant("no play of a wheelset to the right", "proof/sweep.py", "(play, 0.0, -play) if", "(play, 0.0) if"),
    Mutant(
        "a shift to the wrong side", "track/contact.py", "(-root, -back)]) + shift_mm", "(-root, -back)]) - shift_mm"
    ),
    Mutant(
        "a missing bond",
        "track/formations/turnout.py",
        '_MADE_DEFAULT = {"isolated": "made"',
        '_MADE_DEFAULT = {"isolated": "open"',
    ),
    Mutant(
        "jumpers to the nearer blade",
        "track/formations/turnout.py",
        "for side, other in (_SIDES, _SIDES[::-1]):",
        "for side, other in zip(_SIDES, _SIDES, strict=True):",
    ),
    Mutant(
        "the frog angle of the other convention",
        "track/formations/turnout_legs.py",
        "return 2 * math.atan(1 / (2 * number))",
        "return math.atan(1 / number)",
    ),
    Mutant(
        "the lead of a turnout a hundredth too long",
        "track/formations/turnout_legs.py",
        "    return 2 * gauge_mm * number",
        "    return 2.02 * gauge_mm * number",
    ),
    Mutant(
        "a whole length of rail on each side of a joint",
        "wiring/build.py",
        "half_mm = layout.node_mm(piece) / 2",
        "half_mm = layout.node_mm(piece)",
    ),
    Mutant("the rail beyond a joint forgotten", "wiring/build.py", "for node in (one, other))", "for node in (one,))"),
    Mutant(
        "every tap of a bus measured from the supply, past the taps before it",
        "wiring/build.py",
        "wire_ohms(bench.bus.mm2, metres - reached)",
        "wire_ohms(bench.bus.mm2, metres)",
    ),
    Mutant("a motor turned round that changes nothing", "wiring/build.py", "    if motor.turned:", "    if False:"),
    Mutant(
        "a contact that changes over at the wrong end of the throw",
        "wiring/build.py",
        "made = (travel <= first, travel >= second)",
        "made = (travel < 1.0, travel >= 1.0)",
    ),
    Mutant(
        "pick-ups of the other side",
        "wiring/wheels.py",
        "branch[:, :, side, port] += collecting[:, side]",
        "branch[:, :, side, port] += collecting[:, 1 - side]",
    ),
    Mutant(
        "a store that empties half as quickly",
        "train/motor.py",
        "max(stored - watts * tick, 0.0)",
        "max(stored - 0.5 * watts * tick, 0.0)",
    ),
    Mutant(
        "a motor without back EMF",
        "train/motor.py",
        "amps = max(abs(volts) - emf, 0.0) / motor.ohms",
        "amps = abs(volts) / motor.ohms",
    ),
    Mutant(
        "a hand that is the other one",
        "track/formations/turnout_shape.py",
        'main = -1 if sizes.hand == "left" else 1',
        'main = 1 if sizes.hand == "left" else -1',
    ),
    Mutant(
        "straight points to the other hand",
        "track/formations/turnout_legs.py",
        '{"left": 1, "right": -1, "wye": 0}',
        '{"left": -1, "right": 1, "wye": 0}',
    ),
    Mutant("an insulated joiner that conducts", "electric/conditions.py", "insulated=math.inf", "insulated=0.005"),
    Mutant(
        "a tenth of a volt too few that is let pass",
        "proof/sighting.py",
        "(one.volts < works) & (one.level == 0)[:, None] for one",
        "(one.volts < works - 0.1) & (one.level == 0)[:, None] for one",
    ),
    Mutant(
        "a supply that gives more than it can",
        "proof/view.py",
        "given = np.minimum(amps, self._limits)",
        "given = amps + 0.0 * self._limits",
    ),
    Mutant("a coin of fifty times the ohms", "proof/coin.py", "COIN_OHMS = 0.01 ", "COIN_OHMS = 0.5 "),
    Mutant(
        "points under a run set the other way", "proof/meeting.py", "if need.against else", "if not need.against else"
    ),
)
