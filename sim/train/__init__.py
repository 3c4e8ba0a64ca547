"""Vehicles and motion: which vehicles there are, how a train stands, and how it moves when it is given volts."""
