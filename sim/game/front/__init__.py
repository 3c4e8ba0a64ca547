"""The front door: the chosen job's own bench, alive beside the list."""
