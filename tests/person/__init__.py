"""A scripted person who plays a level through the real window, with mouse and keys."""
