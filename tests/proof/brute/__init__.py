"""The test of every route done the slow way: each vehicle put down at every place, each lever in every combination.

Every situation is a whole circuit, made anew and solved alone. Nothing of `sim.proof` is used.
"""

from __future__ import annotations

from tests.proof.brute.judge import Brute, Outcome, RunId

__all__ = ["Brute", "Outcome", "RunId"]
