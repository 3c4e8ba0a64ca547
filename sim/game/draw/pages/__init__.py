"""Pages on paper that take the window or the mat: what they show as plain values, where it lies, how it is drawn."""
