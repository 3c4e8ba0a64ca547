"""Slips, lists and sheets that lie over the board while they are open, and the drawer."""
