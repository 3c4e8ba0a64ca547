"""The test of every route: findings, their explanation, the marks of a level."""

from sim.electric.circuit import TooMuch
from sim.proof.prove import prove
from sim.proof.report import to_json, to_text
from sim.proof.verdict import Finding, Verdict

__all__ = ["Finding", "TooMuch", "Verdict", "prove", "to_json", "to_text"]
