"""Teaching: the goals and marks of a job, prompts, hints, cautions, and what the readings of a frog mean."""
