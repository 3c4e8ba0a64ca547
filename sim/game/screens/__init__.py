"""The pages of the window: the list of jobs, the bench, the keys."""
