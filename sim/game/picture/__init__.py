"""The picture of a running bench as sprites: board, instruments, trains, current, the moment of a short."""
