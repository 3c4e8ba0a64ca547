"""The running bench: one object that owns the clock, fed with acts and seen through snapshots."""
