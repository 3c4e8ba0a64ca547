"""What every thing on the bench is, and what it can ask of the bench and of the window."""
