"""Random circuits are the same in every run, and a slow machine is no fault of a circuit."""

from __future__ import annotations

from hypothesis import settings

settings.register_profile("steady", deadline=None, derandomize=True)
settings.load_profile("steady")
