"""The track as on paper: its plan and rails in millimetres, and the way from these to the screen."""
