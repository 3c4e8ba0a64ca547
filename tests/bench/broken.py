"""Broken bench files: what is done to a good one, and where the fault must be found."""

from __future__ import annotations

from tests.bench.examples import SMALL

__all__ = ["BROKEN", "NOT_TOML", "changed"]


def changed(old: str, new: str) -> str:
    """The small bench with its one ``old`` exchanged for ``new``."""
    if SMALL.count(old) != 1:
        raise ValueError(f"{old!r} stands {SMALL.count(old)} times in the small bench")
    return SMALL.replace(old, new)


def added(text: str) -> str:
    return SMALL + text + "\n"


_SUPPLY = 'kind = "dcc"'
_NUMBER = "number = 6"
_LENGTH = "length_mm = 300"
_JOINS = 'joins = { a = "T1.main" }'
_CONTACT = 'diverging = "p"'
_FROG_WIRE = 'ends = ["M1.k", "T1.frog"]'
_PLAIN = '[[track]]\nid = "P2"\nkind = "plain"\nlength_mm = 100\n'


_SECOND = '[[track]]\nid = "T2"\nkind = "wye"\nscale = "HO"\nnumber = 6\n'
"""Another piece with points."""


def _turnout(line: str) -> str:
    return changed(_NUMBER, f"{_NUMBER}\n{line}")


def _contact(line: str) -> str:
    return changed(_CONTACT, f"{_CONTACT}\n{line}")


def _wire(line: str) -> str:
    return changed(_FROG_WIRE, f"{_FROG_WIRE}\n{line}")


def _supply(line: str) -> str:
    return changed(_SUPPLY, f"{_SUPPLY}\n{line}")


def _step(step: str) -> str:
    return added(f"[level]\nsolution = [{step}]")


def _prompt(item: str) -> str:
    """A prompt in which one key is wrong."""
    good = {"say": 'say = "Look."', "at": 'at = "plug"', "until": "until = { live = true }"}
    good[item.split(" ")[0]] = item
    return added(f"[level]\nprompts = [{{ {', '.join(good.values())} }}]")


def _allow(item: str) -> str:
    return added(f"[level]\nallow = {{ {item} }}")


_VEHICLE = """\
[[vehicle]]
name = "tank"
scale = "HO"
axles_mm = [0.0, 22.0]
wheel = "RP-25 code 110"
pickup = { left = [1], right = [1] }
draws_amps = 0.25
works_from_volts = 7.0
grams = 220
"""


def _vehicle(old: str, new: str) -> str:
    if _VEHICLE.count(old) != 1:
        raise ValueError(old)
    return SMALL + _VEHICLE.replace(old, new)


BROKEN: dict[str, tuple[str, list[str]]] = {
    # the top
    "empty": ("", ["bench", "supply"]),
    "only a remark": ("# nothing\n", ["bench", "supply"]),
    "no version": (changed("bench = 1\n", ""), ["bench"]),
    "version 2": (changed("bench = 1", "bench = 2"), ["bench"]),
    "version in words": (changed("bench = 1", 'bench = "1"'), ["bench"]),
    "version 1.0": (changed("bench = 1", "bench = 1.0"), ["bench"]),
    "version true": (changed("bench = 1", "bench = true"), ["bench"]),
    "title a number": ("title = 3\n" + SMALL, ["title"]),
    "title a date": ("title = 2024-01-01\n" + SMALL, ["title"]),
    "title without end": (f'title = "{"x" * 201}"\n' + SMALL, ["title"]),
    "unknown key": ("colour = 3\n" + SMALL, ["colour"]),
    "unknown table": (added("[signal]\nlamps = 2"), ["signal"]),
    "unknown key of many letters": (f"{'x' * 5000} = 3\n" + SMALL, [f'"{"x" * 43}..."']),
    "unknown key with a line end": ('"a\\nb" = 3\n' + SMALL, ['"a\\nb"']),
    # supply and bus
    "no supply": (changed('[supply]\nkind = "dcc"\n', ""), ["supply", "wire[1].ends[1]"]),
    "supply without kind": (changed(_SUPPLY, "on = true"), ["supply.kind"]),
    "supply of another kind": (changed(_SUPPLY, 'kind = "ac"'), ["supply.kind"]),
    "supply a number": (changed("[supply]\n" + _SUPPLY, "supply = 15"), ["supply"]),
    "supply of negative volts": (_supply("volts = -1"), ["supply.volts"]),
    "supply of no volts": (_supply("volts = 0"), ["supply.volts"]),
    "supply of lethal volts": (_supply("volts = 230"), ["supply.volts"]),
    "supply of nan volts": (_supply("volts = nan"), ["supply.volts"]),
    "supply of infinite ohms": (_supply("source_ohms = inf"), ["supply.source_ohms"]),
    "supply of minus infinite seconds": (_supply("trip_seconds = -inf"), ["supply.trip_seconds"]),
    "supply of overflowing amps": (_supply("trip_amps = 1e999"), ["supply.trip_amps"]),
    "supply on by number": (_supply("on = 1"), ["supply.on"]),
    "supply plugged in words": (_supply('plugged = "yes"'), ["supply.plugged"]),
    "volts true": (_supply("volts = true"), ["supply.volts"]),
    "single supply with an id": (_supply('id = "bus"'), ["supply.id"]),
    "several supplies, one without id": (
        changed("[supply]\n" + _SUPPLY, '[[supply]]\nid = "bus"\nkind = "dc"\n[[supply]]\nkind = "dc"'),
        ["supply[2].id"],
    ),
    "bus beside several supplies": (
        changed(
            "[supply]\n" + _SUPPLY, '[bus]\n[[supply]]\nid = "one"\nkind = "dc"\n[[supply]]\nid = "two"\nkind = "dc"'
        ),
        ["bus", "wire[1].ends[1]"],
    ),
    "bus beside one of several supplies": (
        changed("[supply]\n" + _SUPPLY, '[bus]\n[[supply]]\nid = "bus"\nkind = "dc"'),
        ["bus"],
    ),
    "list of no supplies": (changed("[supply]\n" + _SUPPLY, "supply = []"), ["supply", "wire[1].ends[1]"]),
    "two buses": (added("[[bus]]\nmm2 = 1"), ["bus"]),
    "bus of no copper": (added("[bus]\nmm2 = 0"), ["bus.mm2"]),
    "tap before the supply": (added("[bus]\ntaps = { near = -1 }"), ["bus.taps.near"]),
    "tap in the next county": (added("[bus]\ntaps = { near = 1001 }"), ["bus.taps.near"]),
    "tap with a dot": (added('[bus]\ntaps = { "a.b" = 1 }'), ['bus.taps."a.b"']),
    "tap named like a turnout": (added("[bus]\ntaps = { T1 = 1 }"), ["track[1].id"]),
    "tap named bus": (added("[bus]\ntaps = { bus = 1 }"), ["bus.taps.bus"]),
    "taps a list": (added("[bus]\ntaps = [1]"), ["bus.taps"]),
    # track
    "track not in rows": (
        changed('[[track]]\nid = "P1"', '[[lamp]]\nid = "L1"\n[[track]]\nid = "P1"')
        .replace('[[track]]\nid = "T1"', '[track]\nid = "T1"')
        .replace('[[track]]\nid = "P1"', '[other]\nid = "P1"'),
        ["other", "track", "motor[1].drives", "wire[1].ends[2]", "wire[2].ends[2]"],
    ),
    "row of track a number": (changed("[supply]", "track = [1]\n[supply]").split("[[track]]")[0], ["track[1]"]),
    "piece without id": (changed('id = "P1"\n', ""), ["track[2].id"]),
    "piece with a number for id": (changed('id = "P1"', "id = 1"), ["track[2].id"]),
    "piece with an empty id": (changed('id = "P1"', 'id = ""'), ["track[2].id"]),
    "piece with a blank before its id": (changed('id = "P1"', 'id = " P1"'), ["track[2].id"]),
    "piece with a dot in its id": (changed('id = "P1"', 'id = "P.1"'), ["track[2].id"]),
    "piece with a slash in its id": (changed('id = "P1"', 'id = "P/1"'), ["track[2].id"]),
    "piece with a long id": (changed('id = "P1"', f'id = "{"P" * 61}"'), ["track[2].id"]),
    "piece without kind": (changed('kind = "plain"\n', ""), ["track[2].kind"]),
    "piece of a kind to come": (changed('kind = "plain"', 'kind = "double-slip"'), ["track[2].kind"]),
    "piece of kind 7": (changed('kind = "plain"', "kind = 7"), ["track[2].kind"]),
    "same id twice": (changed('id = "P1"', 'id = "T1"'), ["track[2].id"]),
    "id of a motor again": (changed('id = "P1"', 'id = "M1"'), ["motor[1].id"]),
    "id of the supply": (changed('id = "P1"', 'id = "bus"'), ["track[2].id"]),
    "key of a turnout on plain track": (changed(_LENGTH, _LENGTH + "\nnumber = 6"), ["track[2].number"]),
    "misspelt key": (changed(_LENGTH, "lenght_mm = 300"), ["track[2].lenght_mm", "track[2].length_mm"]),
    "turnout without scale": (changed('scale = "HO"\n', ""), ["track[1].scale"]),
    "turnout of an unknown scale": (changed('scale = "HO"', 'scale = "H0"'), ["track[1].scale"]),
    "turnout without hand": (changed('hand = "right"\n', ""), ["track[1].hand"]),
    "turnout of no hand": (changed('hand = "right"', 'hand = "middle"'), ["track[1].hand"]),
    "hand on a wye": (changed('kind = "turnout"', 'kind = "wye"'), ["track[1].hand"]),
    "hand on a wye, wrong besides": (
        changed('kind = "turnout"', 'kind = "wye"').replace('hand = "right"', "hand = 1"),
        ["track[1].hand"],
    ),
    "set on a wye to neither side": (
        changed('kind = "turnout"', 'kind = "wye"').replace('hand = "right"', 'set = "left"'),
        ["track[1].set"],
    ),
    "no frog number": (changed(_NUMBER + "\n", ""), ["track[1].number"]),
    "frog number 0": (changed(_NUMBER, "number = 0"), ["track[1].number"]),
    "frog number 3.9": (changed(_NUMBER, "number = 3.9"), ["track[1].number"]),
    "frog number 12.1": (changed(_NUMBER, "number = 12.1"), ["track[1].number"]),
    "frog number 1e9": (changed(_NUMBER, "number = 1e9"), ["track[1].number"]),
    "frog number -6": (changed(_NUMBER, "number = -6"), ["track[1].number"]),
    "frog number nan": (changed(_NUMBER, "number = nan"), ["track[1].number"]),
    "frog number of 4000 digits": (changed(_NUMBER, f"number = {'9' * 4000}"), ["track[1].number"]),
    "frog number in hex without end": (changed(_NUMBER, f"number = 0x{'f' * 9000}"), ["track[1].number"]),
    "frog number in words": (changed(_NUMBER, 'number = "six"'), ["track[1].number"]),
    "frog number a list": (changed(_NUMBER, "number = [6]"), ["track[1].number"]),
    "rail of no section": (_turnout('rail = "code 84"'), ["track[1].rail"]),
    "frog of wood": (_turnout('frog = "wood"'), ["track[1].frog"]),
    "gap that is not there": (
        _turnout('gaps = { "closure.middle" = "cut" }'),
        ['track[1].gaps."closure.middle"'],
    ),
    "gap named in full": (
        _turnout('gaps = { "gap.closure.left" = "cut" }'),
        ['track[1].gaps."gap.closure.left"'],
    ),
    "gap without quotation marks": (_turnout('gaps.closure.left = "cut"'), ["track[1].gaps.closure"]),
    "gap half cut": (
        _turnout('gaps = { "closure.left" = "half" }'),
        ['track[1].gaps."closure.left"'],
    ),
    "gap made": (_turnout('gaps = { "exit.left" = "made" }'), ['track[1].gaps."exit.left"']),
    "bond cut": (_turnout('bonds = { left = "cut" }'), ["track[1].bonds.left"]),
    "bonds a word": (_turnout('bonds = "made"'), ["track[1].bonds"]),
    "jumper in the middle": (_turnout('jumpers = { middle = "open" }'), ["track[1].jumpers.middle"]),
    "blade without opening": (_turnout("blade_opening_mm = 0"), ["track[1].blade_opening_mm"]),
    "blade longer than the turnout": (_turnout("blade_mm = 900"), ["track[1].blade_mm"]),
    "blade of a contact unknown": (_turnout('blade_contact = "dirty"'), ["track[1].blade_contact"]),
    "leg of negative length": (_turnout("leg_mm = -90"), ["track[1].leg_mm"]),
    "plain track without length": (changed(_LENGTH + "\n", ""), ["track[2].length_mm"]),
    "plain track of negative length": (changed(_LENGTH, "length_mm = -300"), ["track[2].length_mm"]),
    "plain track of no length": (changed(_LENGTH, "length_mm = 0"), ["track[2].length_mm"]),
    "plain track round the world": (changed(_LENGTH, "length_mm = 4e10"), ["track[2].length_mm"]),
    "curve that turns nowhere": (
        changed(_LENGTH, _LENGTH + '\nradius_mm = 600\nturns = "up"'),
        ["track[2].turns"],
    ),
    "curve without radius": (changed(_LENGTH, _LENGTH + '\nturns = "left"'), ["track[2].turns"]),
    # joints
    "joins something unknown": (changed(_JOINS, 'joins = { a = "T9.main" }'), ["track[2].joins.a"]),
    "joins an unknown end": (changed(_JOINS, 'joins = { a = "T1.heel" }'), ["track[2].joins.a"]),
    "joins a section": (changed(_JOINS, 'joins = { a = "T1.stock.left" }'), ["track[2].joins.a"]),
    "joins from an unknown end": (changed(_JOINS, 'joins = { c = "T1.main" }'), ["track[2].joins.c"]),
    "joins itself": (changed(_JOINS, 'joins = { a = "P1.a" }'), ["track[2].joins.a"]),
    "joins its own other end": (changed(_JOINS, 'joins = { a = "P1.b" }'), ["track[2].joins.a"]),
    "joins by number": (changed(_JOINS, "joins = { a = 1 }"), ["track[2].joins.a"]),
    "joins a list": (changed(_JOINS, 'joins = ["T1.main"]'), ["track[2].joins"]),
    "joins written from both sides": (
        _turnout('joins = { main = "P1.a" }'),
        ["track[2].joins.a"],
    ),
    "two pieces at one end": (added(_PLAIN + 'joins = { b = "T1.main" }'), ["track[3].joins.b"]),
    "one end to two pieces": (
        added(_PLAIN + 'joins = { a = "T1.toe", b = "T1.toe" }'),
        ["track[3].joins.b"],
    ),
    "joint of butter": (changed(_JOINS, _JOINS + '\njoint = { left = "butter" }'), ["track[2].joint.left"]),
    "joint of a third rail": (changed(_JOINS, _JOINS + '\njoint = { middle = "metal" }'), ["track[2].joint.middle"]),
    "joints at a bare end": (
        changed(_JOINS, _JOINS + '\njoints = { b = { left = "bad" } }'), ["track[2].joints.b"]
    ),
    "joints at the first end": (
        changed(_JOINS, _JOINS + '\njoints = { a = { left = "bad" } }'), ["track[2].joints.a"]
    ),
    "joints of butter": (
        changed(_JOINS, 'joins = { a = "T1.main", b = "T1.diverging" }\njoints = { b = { left = "butter" } }'),
        ["track[2].joints.b.left"],
    ),
    "joint of nothing": (changed(_JOINS, 'joint = { left = "metal" }'), ["track[2].joint"]),
    "scales that differ across a joint": (changed(_LENGTH, _LENGTH + '\nscale = "N"'), ["track[2].joins.a"]),
    "scales that differ beyond a piece of none": (
        added(_PLAIN.replace("P2", "P3") + 'scale = "S"\njoins = { a = "P1.b" }'),
        ["track[3].joins.a"],
    ),
    "scales that differ once the last joint is made": (
        added(_PLAIN + 'scale = "S"\njoins = { a = "P3.a" }\n' + _PLAIN.replace("P2", "P3") + 'joins = { b = "P1.b" }'),
        ["track[4].joins.b"],
    ),
    # motors
    "motor without id": (changed('id = "M1"\n', ""), ["motor[1].id", "wire[2].ends[1]"]),
    "motor that drives nothing": (changed('drives = "T1"\n', ""), ["motor[1].drives"]),
    "motor that drives something unknown": (changed('drives = "T1"', 'drives = "T9"'), ["motor[1].drives"]),
    "motor that drives plain track": (changed('drives = "T1"', 'drives = "P1"'), ["motor[1].drives"]),
    "motor that drives itself": (changed('drives = "T1"', 'drives = "M1"'), ["motor[1].drives"]),
    "two motors on one turnout": (added('[[motor]]\nid = "M2"\ndrives = "T1"'), ["motor[2].drives"]),
    "two motors with one turnout in common": (
        added(f'[[motor]]\nid = "M2"\ndrives = ["T2", "T1"]\n{_SECOND}'),
        ["motor[2].drives[2]"],
    ),
    "motor that drives an empty list": (changed('drives = "T1"', "drives = []"), ["motor[1].drives"]),
    "motor that drives a number": (changed('drives = "T1"', "drives = 1"), ["motor[1].drives"]),
    "motor that drives one turnout twice": (changed('drives = "T1"', 'drives = ["T1", "T1"]'), ["motor[1].drives[2]"]),
    "motor that drives one turnout and plain track": (
        changed('drives = "T1"', 'drives = ["T1", "P1"]'),
        ["motor[1].drives[2]"],
    ),
    "motor on turnouts set unlike": (
        changed('drives = "T1"', 'drives = ["T1", "T2"]') + _SECOND + 'set = "diverging"\n',
        ["motor[1].drives"],
    ),
    "motor with a setting of its own": (changed('drives = "T1"', 'drives = "T1"\nset = "normal"'), ["motor[1].set"]),
    "lever with a setting of its own": (
        changed('drives = "T1"', 'drives = "T1"\nby_hand = true\nset = "diverging"'),
        ["motor[1].set"],
    ),
    "switch set half": (added('[[motor]]\nid = "S1"\nby_hand = true\nset = "half"'), ["motor[2].set"]),
    "motor without time": (changed('drives = "T1"', 'drives = "T1"\nseconds = 0'), ["motor[1].seconds"]),
    "motor turned in words": (changed('drives = "T1"', 'drives = "T1"\nturned = "no"'), ["motor[1].turned"]),
    "single contact in single brackets": (
        changed("[[motor.changeover]]", "[motor.changeover]"),
        ["motor[1].changeover"],
    ),
    "contact without common": (changed('common = "k"\n', ""), ["motor[1].changeover[1].common"]),
    "contact with one letter twice": (changed(_CONTACT, 'diverging = "m"'), ["motor[1].changeover[1].diverging"]),
    "two contacts with one letter": (
        _contact('[[motor.changeover]]\ncommon = "a"\nnormal = "k"\ndiverging = "c"'),
        ["motor[1].changeover[2].normal"],
    ),
    "letter with a dot": (changed(_CONTACT, 'diverging = "p.1"'), ["motor[1].changeover[1].diverging"]),
    "contact beyond its travel": (_contact("travel = [0.5, 1.5]"), ["motor[1].changeover[1].travel[2]"]),
    "contact of one travel": (_contact("travel = [0.5]"), ["motor[1].changeover[1].travel"]),
    "contact of a travel in words": (
        _contact('travel = ["a", 0.5]'),
        ["motor[1].changeover[1].travel[1]"],
    ),
    "contact of gold": (_contact('condition = "gold"'), ["motor[1].changeover[1].condition"]),
    "contact for no current": (_contact("rating_amps = 0"), ["motor[1].changeover[1].rating_amps"]),
    # wires
    "wire without ends": (changed(_FROG_WIRE, "metres = 1"), ["wire[2].ends"]),
    "wire with one end": (changed(_FROG_WIRE, 'ends = ["M1.k"]'), ["wire[2].ends"]),
    "wire with three ends": (changed(_FROG_WIRE, 'ends = ["M1.k", "T1.frog", "bus.A"]'), ["wire[2].ends"]),
    "wire with ends in one word": (changed(_FROG_WIRE, 'ends = "M1.k, T1.frog"'), ["wire[2].ends"]),
    "wire to itself": (changed(_FROG_WIRE, 'ends = ["M1.k", "M1.k"]'), ["wire[2].ends"]),
    "wire to an unknown thing": (changed(_FROG_WIRE, 'ends = ["M2.k", "T1.frog"]'), ["wire[2].ends[1]"]),
    "wire to an unknown screw": (changed(_FROG_WIRE, 'ends = ["M1.q", "T1.frog"]'), ["wire[2].ends[1]"]),
    "wire to a whole turnout": (changed(_FROG_WIRE, 'ends = ["M1.k", "T1"]'), ["wire[2].ends[2]"]),
    "wire to an end of track": (changed(_FROG_WIRE, 'ends = ["M1.k", "T1.toe"]'), ["wire[2].ends[2]"]),
    "wire to a tap that is not there": (changed(_FROG_WIRE, 'ends = ["near.A", "T1.frog"]'), ["wire[2].ends[1]"]),
    "wire to a third side of the supply": (changed(_FROG_WIRE, 'ends = ["bus.C", "T1.frog"]'), ["wire[2].ends[1]"]),
    "wire to a length of a long rail": (
        changed(_FROG_WIRE, 'ends = ["M1.k", "P1.left/0"]').replace(_LENGTH, "length_mm = 900"),
        ["wire[2].ends[2]"],
    ),
    "wire to a buffer stop": (
        added('[[track]]\nid = "E1"\nkind = "end"\n[[wire]]\nends = ["bus.A", "E1.left"]'),
        ["wire[3].ends[2]"],
    ),
    "wire to a dead frog": (_turnout('frog = "dead"'), ["wire[2].ends[2]"]),
    "wire to nothing": (changed(_FROG_WIRE, 'ends = ["", "T1.frog"]'), ["wire[2].ends[1]"]),
    "wire of two sizes": (_wire("mm2 = 0.5\nawg = 22"), ["wire[2].mm2"]),
    "wire of two sizes, one wrong": (
        _wire("mm2 = 0\nawg = 22"),
        ["wire[2].mm2", "wire[2].mm2"],
    ),
    "wire of half a gauge number": (_wire("awg = 22.5"), ["wire[2].awg"]),
    "wire of gauge 41": (_wire("awg = 41"), ["wire[2].awg"]),
    "wire of no copper": (_wire("mm2 = 0"), ["wire[2].mm2"]),
    "wire of negative length": (_wire("metres = -0.3"), ["wire[2].metres"]),
    "wire round the town": (_wire("metres = 1000.5"), ["wire[2].metres"]),
    "wire of colour 3": (_wire("colour = 3"), ["wire[2].colour"]),
    "row of wires a word": (f'wire = ["x"]\n{SMALL.split("[[wire]]")[0]}', ["wire[1]"]),
    # polarity units, lamps
    "unit that needs nothing to turn": (
        added('[[polarity]]\nid = "Q1"\nturns_at_amps = 0'),
        ["polarity[1].turns_at_amps"],
    ),
    "unit that takes a day": (added('[[polarity]]\nid = "Q1"\nturn_seconds = 86400'), ["polarity[1].turn_seconds"]),
    "unit in single brackets": (added('[polarity]\nid = "Q1"'), ["polarity"]),
    "lamp of no watts": (added('[[lamp]]\nid = "L1"\nwatts = 0.0'), ["lamp[1].watts"]),
    "lamp of infinite volts": (added('[[lamp]]\nid = "L1"\nvolts = inf'), ["lamp[1].volts"]),
    "two lamps of one id": (added('[[lamp]]\nid = "L1"\n[[lamp]]\nid = "L1"'), ["lamp[2].id"]),
    # vehicles, trains, test
    "vehicle without name": (_vehicle('name = "tank"\n', ""), ["vehicle[1].name"]),
    "vehicle of a name that is taken": (_vehicle('"tank"', '"bogie diesel"'), ["vehicle[1].name"]),
    "two vehicles of one name": (SMALL + _VEHICLE + _VEHICLE, ["vehicle[2].name"]),
    "vehicle without scale": (_vehicle('scale = "HO"\n', ""), ["vehicle[1].scale"]),
    "vehicle without axles": (_vehicle("axles_mm = [0.0, 22.0]", "axles_mm = []"), ["vehicle[1].axles_mm"]),
    "vehicle whose first axle is not the first": (_vehicle("[0.0, 22.0]", "[1.0, 22.0]"), ["vehicle[1].axles_mm[1]"]),
    "vehicle with two axles in one place": (_vehicle("[0.0, 22.0]", "[0.0, 0.0]"), ["vehicle[1].axles_mm[2]"]),
    "vehicle with an axle nowhere": (_vehicle("[0.0, 22.0]", "[0.0, nan]"), ["vehicle[1].axles_mm[2]"]),
    "vehicle with a wheel of no row": (_vehicle("code 110", "code 111"), ["vehicle[1].wheel"]),
    "vehicle with half a wheel": (
        _vehicle('"RP-25 code 110"', "{ flange_mm = 0.7, width_mm = 2.9 }"),
        ["vehicle[1].wheel.back_to_back_mm", "vehicle[1].wheel.radius_mm"],
    ),
    "vehicle with a wheel all flange": (
        _vehicle('"RP-25 code 110"', "{ back_to_back_mm = 14, flange_mm = 2.9, width_mm = 2.9, radius_mm = 5 }"),
        ["vehicle[1].wheel.width_mm"],
    ),
    "vehicle with wheels by number": (_vehicle('"RP-25 code 110"', "110"), ["vehicle[1].wheel"]),
    "vehicle without pick-ups": (_vehicle("pickup = { left = [1], right = [1] }\n", ""), ["vehicle[1].pickup"]),
    "vehicle with pick-ups in a list": (_vehicle("{ left = [1], right = [1] }", "[1]"), ["vehicle[1].pickup"]),
    "vehicle with a third side": (_vehicle("right = [1]", "top = [1]"), ["vehicle[1].pickup.top"]),
    "vehicle that collects from an axle it has not": (
        _vehicle("right = [1]", "right = [3]"),
        ["vehicle[1].pickup.right[1]"],
    ),
    "vehicle that collects twice from one axle": (
        _vehicle("right = [1]", "right = [1, 1]"),
        ["vehicle[1].pickup.right[2]"],
    ),
    "vehicle that collects from axle 0": (_vehicle("left = [1]", "left = [0]"), ["vehicle[1].pickup.left[1]"]),
    "vehicle with a key in quotation marks": (
        _vehicle("pickup = { left = [1], right = [1] }", '"pickup.left" = [1]'),
        ["vehicle[1].pickup", 'vehicle[1]."pickup.left"'],
    ),
    "vehicle that gives current": (_vehicle("draws_amps = 0.25", "draws_amps = -0.25"), ["vehicle[1].draws_amps"]),
    "vehicle without mass": (_vehicle("grams = 220", "grams = 0"), ["vehicle[1].grams"]),
    "train of nothing": (added('[[train]]\nid = "x"\nvehicles = []'), ["train[1].vehicles"]),
    "train of strangers": (added('[[train]]\nid = "x"\nvehicles = ["rocket"]'), ["train[1].vehicles[1]"]),
    "train at no end": (added('[[train]]\nid = "x"\nat = { end = "T1.heel" }'), ["train[1].at.end"]),
    "train on nothing": (added('[[train]]\nid = "x"\nat = { end = "T9.toe" }'), ["train[1].at.end"]),
    "train without track": (
        'bench = 1\n[supply]\nkind = "dcc"\n[[train]]\nid = "x"\n',
        ["train[1].at"],
    ),
    "train before the end": (added('[[train]]\nid = "x"\nat = { end = "T1.toe", mm = -1 }'), ["train[1].at.mm"]),
    "train between two buffer stops": (
        added(
            '[[track]]\nid = "E1"\nkind = "end"\njoins = { a = "E2.a" }\n[[track]]\nid = "E2"\nkind = "end"\n'
            '[[train]]\nid = "x"\nat = { end = "E2.a" }'
        ),
        ["train[1].at.end"],
    ),
    "train at a word": (added('[[train]]\nid = "x"\nat = "T1.toe"'), ["train[1].at"]),
    "test with a stranger": (added('[test]\nvehicles = ["rocket"]'), ["test.vehicles[1]"]),
    "test with nothing": (added("[test]\nvehicles = []"), ["test.vehicles"]),
    "test of scales": (added('[test]\nscales = ["HO"]'), ["test.scales"]),
    # level
    "level in rows": (added('[[level]]\nchapter = "x"'), ["level"]),
    "level of a goal unknown": (added('[level]\ngoals = ["safe", "quick"]'), ["level.goals[2]"]),
    "level of a goal twice": (added('[level]\ngoals = ["safe", "safe"]'), ["level.goals[2]"]),
    "level that predicts plain track": (added('[level]\npredict = ["P1"]'), ["level.predict[1]"]),
    "level of half a reading": (added("[level]\nreadings = 1.5"), ["level.readings"]),
    "level that allows a gap unknown": (_allow('gaps = ["T1.closure.up"]'), ["level.allow.gaps[1]"]),
    "level that allows a bond as a gap": (_allow('gaps = ["T1.bond.left"]'), ["level.allow.gaps[1]"]),
    "level that allows gaps of nothing": (_allow('gaps = ["T9.closure.left"]'), ["level.allow.gaps[1]"]),
    "level that allows a word": (_allow('gaps = "all"'), ["level.allow.gaps"]),
    "level that allows signals": (_allow("signals = true"), ["level.allow.signals"]),
    "level that allows -1 wires": (_allow("wire_limit = -1"), ["level.allow.wire_limit"]),
    "level with an empty hint": (added('[level]\nhints = ["a", ""]'), ["level.hints[2]"]),
    "level of a chapter that is a number": (added("[level]\nchapter = 3"), ["level.chapter"]),
    "level of no rank": (added("[level]\nrank = 0"), ["level.rank"]),
    "level of rank 1001": (added("[level]\nrank = 1001"), ["level.rank"]),
    "level of a rank in words": (added('[level]\nrank = "first"'), ["level.rank"]),
    "level of half a rank": (added("[level]\nrank = 1.5"), ["level.rank"]),
    "level of no minutes": (added("[level]\nminutes = 0"), ["level.minutes"]),
    "level of 601 minutes": (added("[level]\nminutes = 601"), ["level.minutes"]),
    "level of minutes in words": (added('[level]\nminutes = "six"'), ["level.minutes"]),
    "level with a line that is a list": (added('[level]\nline = ["a"]'), ["level.line"]),
    "level with a line of 101 letters": (added(f'[level]\nline = "{"a" * 101}"'), ["level.line"]),
    "level with a task that is a number": (added("[level]\ntask = 1"), ["level.task"]),
    "level with a task of 301 letters": (added(f'[level]\ntask = "{"a" * 301}"'), ["level.task"]),
    "level with a word too many": (added('[level]\nranks = 1'), ["level.ranks"]),
    "level whose sides are neither": (added('[level]\nsides = "hidden"'), ["level.sides"]),
    "prompt that wants a wire off nothing": (
        added('[level]\nprompts = [{ say = "x", at = "plug", until = { wired = ["M1.k", "T1.frog"], off = "T1.x" } }]'),
        ["level.prompts[1].until.off"],
    ),
    "level seen from aside": (added('[level]\nseen = "aside"'), ["level.seen"]),
    "step of no sort": (_step('{ solder = "x" }'), ["level.solution[1]"]),
    "step of two sorts": (_step('{ throw = "T1", turn = "M1" }'), ["level.solution[1]"]),
    "step that is a word": (_step('"throw T1"'), ["level.solution[1]"]),
    "step that throws plain track": (_step('{ throw = "P1" }'), ["level.solution[1].throw"]),
    "step that throws too far": (
        _step('{ throw = "T1", setting = "both" }'),
        ["level.solution[1].setting"],
    ),
    "prompt beside nothing": (_prompt('at = "plogg"'), ["level.prompts[1].at"]),
    "prompt beside no screw": (_prompt('at = "M1.zz"'), ["level.prompts[1].at"]),
    "prompt until no train": (_prompt('until = { stalled = "x" }'), ["level.prompts[1].until.stalled"]),
    "prompt until plain track is driven over": (_prompt('until = { over = "P1" }'), ["level.prompts[1].until.over"]),
    "prompt until a wire to nothing": (
        _prompt('until = { wired = ["M1.k", "x.y"] }'),
        ["level.prompts[1].until.wired[2]"],
    ),
    "prompt until nothing known": (_prompt('until = { tired = true }'), ["level.prompts[1].until"]),
    "step that probes nothing": (_step('{ probe = ["T1.frog", "x.y"] }'), ["level.solution[1].probe[2]"]),
    "step that wires a screw to itself": (_step('{ wire = ["M1.k", "M1.k"] }'), ["level.solution[1].wire"]),
    "step that unwires nothing": (_step('{ unwire = ["M1.k", "M1.z"] }'), ["level.solution[1].unwire[2]"]),
    "step to a place by its short name": (
        _step('{ place = "T1.closure.left", to = "cut" }'),
        ["level.solution[1].place"],
    ),
    "step to a place on nothing": (
        _step('{ place = "T9.gap.closure.left", to = "cut" }'),
        ["level.solution[1].place"],
    ),
    "step to a gap that is made": (
        _step('{ place = "T1.gap.closure.left", to = "made" }'),
        ["level.solution[1].to"],
    ),
    "step to a place for nothing": (_step('{ place = "T1.bond.left" }'), ["level.solution[1].to"]),
    "step to a gap of a dead frog": (
        _step('{ place = "T1.gap.closure.left", to = "cut" }').replace(_NUMBER, _NUMBER + '\nfrog = "dead"'),
        ["wire[2].ends[2]", "level.solution[1].place"],
    ),
    "step that turns a turnout": (_step('{ turn = "T1" }'), ["level.solution[1].turn"]),
    "step of half a power": (_step("{ power = 0.5 }"), ["level.solution[1].power"]),
}
"""Name -> text and the key paths of all its faults, in order."""

NOT_TOML: dict[str, tuple[str, str]] = {
    "prose": ("Dear reader, this is my layout.\n", "line 1, column 6"),
    "json": ('{"bench": 1}', "line 1, column 1"),
    "noughts": ("\0" * 1000, "line 1, column 1"),
    "half a text": ('bench = 1\ntitle = "half', "line 2, the last"),
    "half a list": ("bench = 1\ntitle = [1,", "line 2, the last"),
    "half a table": ("bench = 1\ntitle = { a = 1", "line 2, the last"),
    "half a line": ("bench =", "line 1, the last"),
    "half a header": ("bench = 1\n[[track]", "line 2, column 8"),
    "key twice": (changed("number = 6", "number = 6\nnumber = 6"), "line 12, column 11"),
    "table twice": (added('[supply]\nkind = "dc"'), "line 33, column 8"),
    "row after a single table": (added("[[supply]]"), "line 33, column 9"),
    "two values in a line": ("bench = 1 title = 2\n", "line 1, column 11"),
    "a number like no other": ("bench = 0b2\n", "line 1, column 10"),
    "a date like no other": ("bench = 2024-13-41\n", "line 1, column 13"),
    "a strange escape": ('bench = "\\q"\n', "line 1, column 12"),
}
"""Name -> text that is no TOML, and the place named."""
