"""The core broken on purpose, one thing at a time: which check or test says so."""
