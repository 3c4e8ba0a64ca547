"""Frogbench: wire up turnout frogs on a simulated bench and test every route."""
