"""Benches that the tests of this folder share."""

from __future__ import annotations

from sim.bench.model import Bench
from sim.bench.reading import parse
from sim.track.formations import KINDS
from tests.bench.tables import CONTACT, motor, turnout

__all__ = ["BRANCH", "CONTRACT", "SMALL", "bench_of", "small"]

BRANCH = f"""\
{turnout()}
[[track]]
id = "P1"
kind = "plain"
length_mm = 300
joins = {{ a = "T1.main" }}

{motor()}
{CONTACT}
[[wire]]
ends = ["bus.A", "T1.stock.left"]
"""
"""A turnout with its motor, plain track and a wire."""

SMALL = f"""\
bench = 1

[supply]
kind = "dcc"

{BRANCH}
[[wire]]
ends = ["M1.k", "T1.frog"]
"""
"""The least that has a turnout, plain track, a motor and wires."""

CONTRACT = """\
bench = 1                              # format version
title = "Branch to the goods shed"

[supply]
kind = "dcc"
volts = 16.5
source_ohms = 0.2
trip_amps = 4.0
trip_seconds = 0.05
limit_amps = 5.0
retry_seconds = 5.0
on = true
plugged = false

[bus]
mm2 = 1.5
taps = { near = 0.5, far = 6.0 }

[[track]]
id = "T1"
kind = "turnout"
scale = "HO"
rail = "code 100"
hand = "left"
number = 8
branch = "arc"
frog = "live"
set = "diverging"
gaps = { "closure.left" = "cut", "exit.right" = "leaking" }
bonds = { left = "made" }
jumpers = { right = "made" }
gap_at_mm = { closure = 14.5, exit = 26.0 }
gap_mm = 0.5
blade_mm = 100.0
blade_opening_mm = 2.7
blade_touch = 0.2
blade_contact = "worn"
toe_mm = 85.0
leg_mm = 95.0

[[track]]
id = "P1"
kind = "plain"
length_mm = 300
radius_mm = 600
turns = "left"
joins = { a = "T1.main", b = "E1.a" }
joint = { left = "metal", right = "insulated" }
joints = { b = { left = "bad" } }

[[track]]
id = "E1"
kind = "end"

[[track]]
id = "T2"
kind = "turnout"
scale = "N"
hand = "right"
number = 6
branch = "straight-points"

[[motor]]
id = "M1"
drives = "T1"
seconds = 2.5
turned = true
by_hand = true
[[motor.changeover]]
common = "k"
normal = "m"
diverging = "p"
travel = [0.3, 0.6]
condition = "oxidised"
rating_amps = 2.0
marked = true
stuck = "diverging"

[[motor]]
id = "S1"
by_hand = true
set = "diverging"

[[wire]]
ends = ["M1.k", "T1.frog"]
mm2 = 0.75
metres = 0.4
colour = "green"
number = "W7"
note = "under the signal box"

[[wire]]
ends = ["far.A", "Q1.a"]
awg = 22

[[polarity]]
id = "Q1"
turns_at_amps = 1.2
turn_seconds = 0.01
poles = 2

[[lamp]]
id = "L1"
volts = 24.0
watts = 5.0

[[vehicle]]
name = "six-coupled tank"
scale = "HO"
axles_mm = [0.0, 22.0, 45.0]
wheel = "RP-25 code 110"
pickup = { left = [1, 2, 3], right = [1, 2] }
draws_amps = 0.25
works_from_volts = 7.0
stored_joules = 0.5
grams = 220

[[vehicle]]
name = "old wagon"
scale = "HO"
axles_mm = [0.0, 40.0]
wheel = { back_to_back_mm = 14.4, flange_mm = 0.7, width_mm = 2.9, radius_mm = 5.25 }
pickup = { left = [], right = [] }
draws_amps = 0
works_from_volts = 0
grams = 60

[[train]]
id = "shunter"
vehicles = ["four-wheel shunter", "old wagon"]
at = { end = "T1.toe", mm = 40 }
throttle = 0.25

[test]
vehicles = ["four-wheel shunter", "six-coupled tank"]

[level]
chapter = "gaps"
rank = 3
minutes = 7
line = "It stops on the frog."
task = "Find out why."
brief = "Make both routes live."
goals = ["safe", "tidy"]
predict = ["T1"]
readings = 4
hints = ["Look at the blades.", "Measure."]
teaches = "The frog follows the closed blade."
seen = "below"
sides = "proved"
prompts = [
  { say = "It creeps on.", at = "shunter", until = { stalled = "shunter" } },
  { say = "Nudge it.", at = "throttle", until = { runs = "shunter" } },
  { say = "Drive over.", at = "lever", until = { over = "T1", setting = "diverging" } },
  { say = "Wire it.", at = "M1.k", until = { wired = ["M1.k", "T1.frog"], off = "T1.stock.left" } },
  { say = "Pull the plug.", at = "plug", until = { unplugged = true } },
  { say = "Switch on.", at = "rocker", until = { live = true } },
  { say = "Measure.", at = "meter", until = { read = 2 } },
  { say = "See the short.", at = "T1.frog", until = { short = true } },
  { say = "Put it right.", at = "T1.frog", until = { solved = true } },
  { say = "Test.", at = "test", until = { passed = true } },
]
solution = [
  { throw = "T1" }, { throw = "T1", setting = "normal" }, { probe = ["T1.frog", "T1.stock.right"] },
  { wire = ["M1.k", "T1.frog"] }, { unwire = ["M1.k", "T1.frog"] }, { place = "T1.gap.closure.left", to = "closed" },
  { turn = "M1" }, { throw = "S1" }, { plug = true }, { power = false },
]

[level.allow]
wires = false
gaps = ["T1.closure.left"]
bonds = ["T1.left", "T1.jumper.right"]
motor = true
wire_limit = 6
"""
"""Every key that a bench file can have, each with a value that is not its default."""


def bench_of(text: str) -> Bench:
    return parse(text, KINDS, name="bench")


def small() -> Bench:
    return bench_of(SMALL)
