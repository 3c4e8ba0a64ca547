"""Circuits: parts, solving, folding, a meter and a breaker. It knows nodes, parts and numbers, and nothing of track."""
