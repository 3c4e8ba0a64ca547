"""How the window looks, sounds and speaks: theme, type, sounds, settings, words of its own."""
