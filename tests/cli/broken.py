"""Broken bench files of every class, each with a word that its refusal must hold."""

from __future__ import annotations

from collections.abc import Mapping

from tests.bench.examples import BRANCH

__all__ = ["BROKEN", "GOOD"]

GOOD = f"""\
bench = 1
title = "A branch"

[supply]
kind = "dcc"

[bus]
taps = {{ near = 0.5 }}

{BRANCH}
[[lamp]]
id = "L1"

[[polarity]]
id = "Q1"

[[vehicle]]
name = "tank"
scale = "HO"
axles_mm = [0.0, 22.0, 45.0]
wheel = "RP-25 code 110"
pickup = {{ left = [1, 2], right = [1, 2] }}
draws_amps = 0.25
works_from_volts = 7.0
grams = 220

[[train]]
id = "one"
vehicles = ["tank"]
at = {{ end = "P1.b", mm = 50 }}

[test]
vehicles = ["tank"]

[level]
chapter = "first-frog"
brief = "Wire it."
goals = ["safe", "live"]
solution = [{{ wire = ["M1.k", "T1.frog"] }}]
"""
"""A good bench that has every table; each broken one below is this with one thing changed."""


def _changed(old: str, new: str) -> bytes:
    """The good bench with its one ``old`` replaced."""
    if GOOD.count(old) != 1:
        raise ValueError(f"{old!r} is not there exactly once")
    return GOOD.replace(old, new).encode()


def _added(text: str) -> bytes:
    return f"{GOOD}\n{text}\n".encode()


def _many(start: str, each: str, count: int) -> bytes:
    return (start + "".join(each.format(i=i) for i in range(count))).encode()


_START = 'bench = 1\n[supply]\nkind = "dcc"\n'

BROKEN: Mapping[str, tuple[bytes, str]] = {
    # not a bench at all
    "empty": (b"", "bench"),
    "zeros": (b"\0" * 1000, ""),
    "picture": (b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR", ""),
    "not-utf-8": (GOOD.encode().replace(b"A branch", b"A br\xe4nch"), "UTF-8"),
    "utf-16": (GOOD.encode("utf-16"), "UTF-8"),
    "prose": (b"Dear reader, this is my layout.\n", "line 1"),
    "half": (GOOD[: GOOD.index('hand = "right"') + 8].encode(), "a text that begins in line"),
    "key-twice": (_changed("number = 6", "number = 6\nnumber = 7"), "line"),
    "table-twice": (_added('[supply]\nkind = "dc"'), "line"),
    "json": (b'{"bench": 1}', "line 1"),
    # too big, too deep, too many
    "over-a-megabyte": (GOOD.encode() + b"# a long remark\n" * 70_000, "at most"),
    "deep-arrays": (_changed('title = "A branch"', "title = " + "[" * 17 + "]" * 17), "16"),
    "bottomless-arrays": (b"bench = 1\ntitle = " + b"[" * 400_000, ""),
    "bottomless-tables": (b"bench = 1\ntitle = " + b"{ a = " * 100_000, ""),
    "bottomless-keys": (b"bench = 1\n" + b"a." * 200_000 + b"a = 1\n", ""),
    "deep-keys": (b"bench = 1\n" + b"a." * 17 + b"a = 1\n", "16"),
    "too-many-pieces": (
        _many(_START, '[[track]]\nid = "P{i}"\nkind = "plain"\nlength_mm = 9\n', 1001),
        "1,000",
    ),
    "too-many-wires": (_many(_START, '[[wire]]\nends = ["bus.A", "bus.B"]\n', 10_001), "10,000"),
    "endless-number": (_changed("number = 6", "number = " + "9" * 5000), ""),
    "long-rail": (_changed("length_mm = 300", "length_mm = 1e12"), "length_mm"),
    # the head
    "no-version": (_changed("bench = 1\n", ""), "bench"),
    "other-version": (_changed("bench = 1\n", "bench = 2\n"), "bench"),
    "version-in-words": (_changed("bench = 1\n", 'bench = "1"\n'), "bench"),
    "version-true": (_changed("bench = 1\n", "bench = true\n"), "bench"),
    "title-a-date": (_changed('title = "A branch"', "title = 2024-01-01"), "title"),
    "unknown-table": (_added("[signals]\ncount = 1"), "signals"),
    "misspelt-table": (GOOD.replace("[[motor", "[[moter").encode(), "motor"),
    # supply and bus
    "no-supply": (_changed('[supply]\nkind = "dcc"\n', ""), "supply"),
    "supply-without-kind": (_changed('kind = "dcc"', "volts = 15.0"), "kind"),
    "supply-of-mains": (_changed('kind = "dcc"', 'kind = "ac"'), "kind"),
    "volts-in-words": (_changed('kind = "dcc"', 'kind = "dcc"\nvolts = "15"'), "volts"),
    "volts-no-number": (_changed('kind = "dcc"', 'kind = "dcc"\nvolts = nan'), "volts"),
    "volts-endless": (_changed('kind = "dcc"', 'kind = "dcc"\nvolts = inf'), "volts"),
    "volts-below-nothing": (_changed('kind = "dcc"', 'kind = "dcc"\nvolts = -15.0'), "volts"),
    "volts-true": (_changed('kind = "dcc"', 'kind = "dcc"\nvolts = true'), "volts"),
    "on-a-number": (_changed('kind = "dcc"', 'kind = "dcc"\non = 1'), "on"),
    "source-without-ohms": (_changed('kind = "dcc"', 'kind = "dcc"\nsource_ohms = 0.0'), "source_ohms"),
    "misspelt-key": (_changed('kind = "dcc"', 'kind = "dcc"\ntrip_amp = 3.0'), "trip_amps"),
    "tap-before-the-supply": (_changed("near = 0.5", "near = -0.5"), "near"),
    # track
    "piece-without-id": (_changed('id = "T1"\n', ""), "id"),
    "piece-without-kind": (_changed('kind = "plain"\n', ""), "kind"),
    "unknown-piece": (_changed('kind = "plain"', 'kind = "plane"'), "plain"),
    "same-id-twice": (_changed('id = "P1"', 'id = "T1"'), "T1"),
    "id-of-a-motor-twice": (_changed('id = "M1"', 'id = "T1"'), "T1"),
    "id-with-a-dot": (_changed('id = "P1"', 'id = "P.1"'), "id"),
    "id-with-a-line-end": (_changed('id = "P1"', 'id = "P\\n1"'), "id"),
    "no-scale": (_changed('scale = "HO"\nhand', "hand"), "scale"),
    "unknown-scale": (_changed('scale = "HO"\nhand', 'scale = "H0"\nhand'), "scale"),
    "no-hand": (_changed('hand = "right"\n', ""), "hand"),
    "third-hand": (_changed('hand = "right"', 'hand = "middle"'), "hand"),
    "wye-with-a-hand": (_changed('kind = "turnout"', 'kind = "wye"'), "hand"),
    "frog-number-3": (_changed("number = 6", "number = 3"), "number"),
    "frog-number-13": (_changed("number = 6", "number = 13"), "number"),
    "frog-number-in-words": (_changed("number = 6", 'number = "six"'), "number"),
    "unknown-gap": (_changed("number = 6", 'number = 6\ngaps = { "closure.middle" = "cut" }'), "closure"),
    "half-cut-gap": (_changed("number = 6", 'number = 6\ngaps = { "closure.left" = "half" }'), "closure.left"),
    "gap-wider-than-the-rail": (_changed("number = 6", "number = 6\ngap_mm = 1e6"), "gap_mm"),
    "blade-longer-than-the-turnout": (_changed("number = 6", "number = 6\nblade_mm = 1e5"), "blade_mm"),
    "rail-of-no-length": (_changed("length_mm = 300\n", ""), "length_mm"),
    "rail-backwards": (_changed("length_mm = 300", "length_mm = -300"), "length_mm"),
    "joins-nothing": (_changed('joins = { a = "T1.main" }', 'joins = { a = "T9.main" }'), "T9"),
    "joins-no-end": (_changed('joins = { a = "T1.main" }', 'joins = { a = "T1.heel" }'), "heel"),
    "joins-itself": (_changed('joins = { a = "T1.main" }', 'joins = { a = "P1.b" }'), "P1"),
    "end-joined-twice": (
        _added('[[track]]\nid = "P2"\nkind = "plain"\nlength_mm = 9\njoins = { a = "T1.main" }'),
        "T1.main",
    ),
    "joiner-of-butter": (
        _changed('joins = { a = "T1.main" }', 'joins = { a = "T1.main" }\njoint = { left = "butter" }'),
        "joint",
    ),
    "scales-that-differ": (_changed("length_mm = 300", 'length_mm = 300\nscale = "N"'), "scale"),
    # motor
    "drives-nothing": (_changed('drives = "T1"', 'drives = "T9"'), "drives"),
    "drives-plain-track": (_changed('drives = "T1"', 'drives = "P1"'), "drives"),
    "driven-twice": (_added('[[motor]]\nid = "M2"\ndrives = "T1"'), "T1"),
    "contact-without-common": (_changed('common = "k"\n', ""), "common"),
    "contact-of-one-letter": (_changed('normal = "m"', 'normal = "k"'), "k"),
    "travel-out-of-reach": (_changed('diverging = "p"', 'diverging = "p"\ntravel = [0.4, 1.4]'), "travel"),
    "travel-of-three": (_changed('diverging = "p"', 'diverging = "p"\ntravel = [0.4, 0.5, 0.6]'), "travel"),
    # wires and small parts
    "wire-with-one-end": (_changed('ends = ["bus.A", "T1.stock.left"]', 'ends = ["bus.A"]'), "ends"),
    "wire-to-itself": (_changed('ends = ["bus.A", "T1.stock.left"]', 'ends = ["bus.A", "bus.A"]'), "bus.A"),
    "wire-to-nowhere": (_changed('"T1.stock.left"', '"T1.stock.lefft"'), "T1.stock.left"),
    "wire-of-two-sizes": (_changed('ends = ["bus.A"', 'mm2 = 0.5\nawg = 22\nends = ["bus.A"'), "awg"),
    "wire-of-no-metal": (_changed('ends = ["bus.A"', 'mm2 = 0.0\nends = ["bus.A"'), "mm2"),
    "lamp-of-no-volts": (_changed('id = "L1"', 'id = "L1"\nvolts = 0.0'), "volts"),
    "unit-that-never-turns": (_changed('id = "Q1"', 'id = "Q1"\nturns_at_amps = "never"'), "turns_at_amps"),
    # vehicles, trains, test, level
    "vehicle-without-axles": (_changed("axles_mm = [0.0, 22.0, 45.0]\n", ""), "axles_mm"),
    "axles-out-of-order": (_changed("[0.0, 22.0, 45.0]", "[0.0, 45.0, 22.0]"), "axles_mm"),
    "pickup-of-no-axle": (_changed("left = [1, 2], right", "left = [1, 4], right"), "pickup"),
    "unknown-wheel": (_changed("RP-25 code 110", "RP-25 code 111"), "wheel"),
    "half-a-wheel": (_changed('wheel = "RP-25 code 110"', "wheel = { flange_mm = 0.7 }"), "wheel"),
    "train-of-strangers": (_changed('id = "one"\nvehicles = ["tank"]', 'id = "one"\nvehicles = ["tnak"]'), "tank"),
    "train-in-the-air": (_changed('at = { end = "P1.b"', 'at = { end = "P1.c"'), "end"),
    "train-at-a-lone-buffer-stop": (
        _added('[[track]]\nid = "E1"\nkind = "end"\n[[train]]\nid = "two"\nvehicles = ["tank"]\nat = { end = "E1.a" }'),
        "E1.a",
    ),
    "vehicle-of-another-scale": (_changed('name = "tank"\nscale = "HO"', 'name = "tank"\nscale = "N"'), "scale"),
    "tests-a-stranger": (_changed('[test]\nvehicles = ["tank"]', '[test]\nvehicles = ["rocket"]'), "rocket"),
    "unknown-goal": (_changed('goals = ["safe", "live"]', 'goals = ["safe", "quick"]'), "quick"),
    "step-of-no-kind": (_changed('{ wire = ["M1.k", "T1.frog"] }', '{ solder = "T1.frog" }'), "solution"),
    "step-to-nowhere": (_changed('{ wire = ["M1.k", "T1.frog"] }', '{ wire = ["M1.k", "T1.frg"] }'), "T1.frog"),
    # thirty faults in one file
    "many-faults": (_added("[[lamp]]\n" * 30), "id"),
}
