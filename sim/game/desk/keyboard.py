"""The lines of the page of keys that belong to no thing in particular."""

from __future__ import annotations

__all__ = ["KEY_WORDS"]

KEY_WORDS: tuple[tuple[str, tuple[tuple[str, str], ...]], ...] = (
    (
        "Getting about",
        (
            ("Tab", "to the next thing; with Shift, back"),
            ("Arrows", "to the nearest thing that way"),
            ("Enter", "act on it, as a click does"),
            ("Esc", "let go; close what lies on top; back to the jobs, all kept"),
            ("H", "a hint; again, and it says more"),
            ("A", "from the list of jobs: the test track"),
            ("X", "put the prompts away, or bring them back"),
            ("F1", "this page"),
            ("F3", "a turnout with the names of its parts"),
            ("V", "turn the board over, to see it from below"),
            ("S", "sound off, or on"),
            ("F2", "settings: light, size, motion, words; all cautions"),
            ("Ctrl N", "the test track, for a bench of your own"),
            ("Ctrl O", "open a bench file"),
            ("Ctrl S", "save the bench; Ctrl Shift S elsewhere"),
            ("Ctrl P", "the wiring sheet to print, into your documents"),
            ("F11", "full screen"),
            ("F12", "a picture of the window, into your pictures"),
            ("Ctrl Q", "leave the program"),
            ("Ctrl + / Ctrl -", "everything larger or smaller; Ctrl 0 as the window"),
        ),
    ),
    (
        "Wiring",
        (
            ("Enter, Enter", "a wire from one screw or tab to another"),
            ("Del", "take the wire off that is ringed, or whose slip is open"),
            ("Ctrl Z", "undo; Ctrl Shift Z redo"),
            ("J", "fold the job sheet away, or open it"),
        ),
    ),
    (
        "Meter",
        (
            ("R / B", "red or white tip on the ringed place"),
            ("Backspace", "both tips off"),
        ),
    ),
    ("Power and points", ()),
    ("Driving", ()),
    (
        "Result sheet",
        (
            ("Tab", "to each sentence and button"),
            ("PgUp / PgDn", "turn the list back, or on"),
            ("Home / End", "to its beginning, or its end"),
        ),
    ),
)
"""Heading and lines of the page of keys; the things on the bench add theirs."""
