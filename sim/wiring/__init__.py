"""Bench and track made into one circuit, and what that circuit says in words."""
