"""The model railway and what it stands on: track, vehicles, wires, blocks, mat and plywood."""
