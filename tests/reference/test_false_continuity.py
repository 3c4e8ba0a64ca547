"""What makes a meter lie: each cause as a bench, read with the cause there and with it taken away; volts over gaps."""

from __future__ import annotations

from functools import partial

from sim.electric.meter import Reading
from sim.session.acts import Dial, Plug, Probe
from sim.session.session import Session
from sim.train.motion import TrainMotion
from sim.train.standard import overhang_of, standard_set
from sim.wiring.probe import probe
from tests.proof.benches import LEGS, Desk, setting_for
from tests.proof.neighbours import plain, wires
from tests.reference.check import Check, Source, every
from tests.reference.page import verify
from tests.wiring.metering import FROG, LEFT, RIGHT

LIES = Source("C6, false continuity", "common practice")
FEEDERS = Source("C4, crossed-feeder check", "common practice")
# A page of a maker of decoders on measuring at an HO motor; found as an excerpt.
MOTORS = Source("decoder-support page on using a multimeter", "retrieved")

BANDS = ((10.0, "0 to a few ohm"), (400.0, "tens to a few hundred ohm"), (1e3, "hundreds of ohm"), (15e3, "kilohms"))


def _band(reading: Reading) -> str:
    """A reading in the table's words."""
    if reading.value is None:
        return "open"
    band = next((name for most, name in BANDS if reading.value < most), "above 15 kilohm")
    return band + (", beeps" if reading.beeps else ", no beep")


def _read(desk: Desk, a: str = LEFT, b: str = RIGHT) -> str:
    return _band(probe(desk.bench(), a, b))


UNPLUGGED = Desk().with_supply(plugged=False)
DC = Desk().with_supply(kind="dc", plugged=False)


def _with_train(desk: Desk, vehicle: str) -> Desk:
    return desk.beside(f'\n[[train]]\nid = "here"\nvehicles = ["{vehicle}"]\nat = {{ end = "T1.main", mm = 60 }}\n')


# --- An engine's motor. ---


def _motor(vehicle: str) -> Reading:
    """Rail to rail with an engine on the track, as the meter on the running bench shows it."""
    session = Session(_with_train(DC, vehicle).bench())
    meter = session.step(2 * Session.DT, [Plug(False), Dial("buzzer"), Probe(LEFT, RIGHT)]).meter
    return Reading(meter.value, meter.beeps)


ENGINES = {vehicle.name: vehicle.draws_amps for vehicle in standard_set("HO", "dc") if vehicle.draws_amps}
SHUNTER = next(iter(ENGINES))


def _engines() -> str:
    """The bands of all standard engines, once if they are the same, and with nothing on the track."""
    bands = dict.fromkeys(_band(_motor(engine)).partition(",")[0] for engine in ENGINES)
    return f"{' / '.join(bands)}; removed: {_read(DC)}"


def _motor_ohms(engine: str) -> float:
    return _motor(engine).value or 0.0


def _most_motor() -> float:
    return max(map(_motor_ohms, ENGINES))


def _winding() -> float:
    """Ohms of the shunter's winding as it moves: volts over amperes with the motor driven and the engine held."""
    motion = TrainMotion([standard_set("HO", "dc")[0]], "dc")
    for _ in range(600):
        room = max(0.0, overhang_of("HO") - motion.places_mm[0])
        motion.step(1, [12.0], throttle=1.0, direction=1, ahead_mm=room)
    return 12.0 / (motion.drive_watts[0] / 12.0)


NAMED = "50 to over 200 ohm are named"


# --- A decoder. ---

SETTLED = "the meter shows settled readings only: the decoder's capacitor is charged"


def _decoder(red: str, black: str, seconds: float) -> Reading:
    """A shunter with a decoder on the track, so long after the leads were put on."""
    session = Session(_with_train(UNPLUGGED, SHUNTER).bench())
    meter = session.step(seconds, [Plug(False), Dial("buzzer"), Probe(red, black)]).meter
    return Reading(meter.value, meter.beeps)


def _buzzer(reading: Reading) -> str:
    return "beeps" if reading.beeps else "no beep"


def _decoder_first() -> str:
    return _buzzer(_decoder(LEFT, RIGHT, Session.DT))


def _decoder_turned() -> str:
    one, other = (_decoder(*leads, 1.0).value or 0.0 for leads in ((LEFT, RIGHT), (RIGHT, LEFT)))
    return "the same reading" if abs(one - other) < 0.001 * max(one, other) else "another reading"


# --- What else lies across the rails. ---

# A carriage lamp of 12 V and 60 mA, soldered across the rails.
CARRIAGE = '\n[[lamp]]\nid = "L1"\nvolts = 12.0\nwatts = 0.72\n' + wires((LEFT, "L1.1"), ("L1.2", RIGHT))

# What a wheelset with a resistor is to a meter: 5 kilohm between its wheels, as a very small motor on DC.
DETECTION = """
[[vehicle]]
name = "detected wagon"
scale = "HO"
axles_mm = [0.0, 40.0]
wheel = "RP-25 code 110"
pickup = { left = [1], right = [1] }
draws_amps = 0.0024
works_from_volts = 3.0
grams = 60.0
"""


def _lie(there: Desk, away: Desk, a: str = LEFT, b: str = RIGHT) -> str:
    return f"{_read(there, a, b)}; removed: {_read(away, a, b)}"


def _lamp_ohms() -> float:
    return probe(UNPLUGGED.beside(CARRIAGE).bench(), LEFT, RIGHT).value or 0.0


def _four(desk: Desk) -> str:
    """The readings of the frog in both settings, those that are not open."""
    closed = [
        f"F-{rail.rpartition('.')[2][0].upper()} set {leg}"
        for leg in LEGS
        for rail in (LEFT, RIGHT)
        if probe(desk.built(set=setting_for(leg, desk.hand)).bench(), FROG, rail).value is not None
    ]
    return "closed: " + ", ".join(closed)


LIVE = Desk(frog="live").exits_cut().with_supply(plugged=False)
DEAD_CONTACT = LIVE.with_contact(condition="open")

FALSE = (
    Check(
        "C6: DC engines left on the track",
        LIES,
        "tens to a few hundred ohm; removed: open",
        _engines,
    ),
    *(
        Check(
            f"C6: ohms of the motor of the {engine}",
            MOTORS,
            50.0,
            partial(_motor_ohms, engine),
            unit="ohm",
            sense="at least",
            because=NAMED,
            differs=f"to the meter a motor is 12 V over what it takes running, here {amps:g} A" if amps > 0.24 else "",
        )
        for engine, amps in ENGINES.items()
    ),
    Check("C6: most ohms of these motors", MOTORS, 200.0, _most_motor, unit="ohm", sense="at most", because=NAMED),
    Check(
        "C6: ohms of the winding that moves the shunter",
        MOTORS,
        50.0,
        _winding,
        unit="ohm",
        sense="at least",
        differs="another figure than the meter's: 12 V over the 0.8 A of an engine held still, see above",
    ),
    Check(
        "C6: carriage lamp",
        LIES,
        "tens to a few hundred ohm, beeps; removed: open",
        partial(_lie, UNPLUGGED.beside(CARRIAGE), UNPLUGGED),
    ),
    Check("C6: ohms of a cold lamp, least", LIES, 10.0, _lamp_ohms, unit="ohm", sense="at least"),
    Check("C6: ohms of a cold lamp, most", LIES, 40.0, _lamp_ohms, unit="ohm", sense="at most"),
    Check("C6: decoder left on the track, at first", LIES, "beeps", _decoder_first, differs=SETTLED),
    Check(
        "C6: the same, once it has charged",
        LIES,
        "no beep; removed: open",
        lambda: f"{_buzzer(_decoder(LEFT, RIGHT, 1.0))}; removed: {_read(UNPLUGGED)}",
    ),
    Check(
        "C6: the same with the leads exchanged",
        LIES,
        "another reading",
        _decoder_turned,
        differs="a decoder is one resistance to the meter, not a rectifier before a capacitor",
    ),
    Check(
        "C6: detection wheelset of 5 kilohm",
        LIES,
        "kilohms, no beep; removed: open",
        partial(_lie, _with_train(DC.beside(DETECTION), "detected wagon"), DC),
    ),
    *(
        Check(
            f"C6: {name} still plugged in",
            LIES,
            "0 to a few ohm, beeps; removed: open",
            partial(_lie, Desk().with_supply(kind=kind), UNPLUGGED),
        )
        for kind, name in (("dcc", "booster"), ("dc", "controller"))
    ),
    Check(
        "C6: the four readings with the booster plugged in, wired right",
        LIES,
        "closed: F-L set left, F-R set left, F-L set right, F-R set right",
        partial(_four, Desk()),
    ),
    Check(
        "C6: the four readings unplugged, wired right",
        LIES,
        "closed: F-R set left, F-L set right",
        partial(_four, UNPLUGGED),
    ),
    Check(
        "C6: parallel feeder over a good gap",
        LIES,
        "0 to a few ohm, beeps; removed: open",
        partial(_lie, LIVE, LIVE.without("left exit feeder"), FROG, "T1.exit.left"),
    ),
    Check(
        "C6: blade at its stock rail hides an open contact",
        LIES,
        "0 to a few ohm, beeps; removed: open",
        partial(_lie, DEAD_CONTACT, DEAD_CONTACT.built(blade_contact="open"), FROG, RIGHT),
    ),
)

# --- C4: volts along one side over a gap, power on. ---


def _over_gap(left: str, right: str) -> float:
    section = plain("P1", "T1.main", joint="insulated") + wires((left, "P1.left"), (right, "P1.right"))
    desk = Desk().with_supply(on=True).beside(section)
    return abs(probe(desk.bench(), LEFT, "P1.left", "volts").value or 0.0)


PRINTED = "none or all of the track's volts"
VOLTS = (
    Check("C4: volts over a gap, in phase", FEEDERS, 0.0, partial(_over_gap, "bus.A", "bus.B"), "V", 0.01, PRINTED),
    Check("C4: volts over a gap, crossed", FEEDERS, 15.0, partial(_over_gap, "bus.B", "bus.A"), "V", 0.01, PRINTED),
)

CHECKS = (*FALSE, *VOLTS)


@every(CHECKS)
def test_false_continuity(check: Check) -> None:
    verify(check)
