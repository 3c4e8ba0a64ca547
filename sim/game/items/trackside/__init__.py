"""What lies on the board: mat, track, wiring, vehicles."""
