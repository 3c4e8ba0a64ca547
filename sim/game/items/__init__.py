"""What lies on the bench beside the track and its wiring: each thing in a module of its own.

A thing says where it is, how it looks, and what a click, a key or a hold on it comes to. Picture, pointing, gestures
and the page of keys go through one list of them, so a new thing is one module here and one line in `desk/every.py`.
"""
