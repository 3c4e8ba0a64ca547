"""What lies on the desktop's clipboard, as text. Where there is none, nothing lies there."""

from __future__ import annotations

import warnings

import pygame

__all__ = ["clipboard_text"]

_KINDS = ("text/plain;charset=utf-8", "UTF8_STRING", "text/plain")
_ENCODINGS = ("utf-8", "latin-1")


def clipboard_text() -> str:
    """The first line of the text on the clipboard; empty where there is no clipboard, no window or no text."""
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # one of the libraries calls its own way of asking old
            found = _text()
    except (pygame.error, NotImplementedError, AttributeError, TypeError, ValueError, OSError):
        return ""
    return next(iter(found.strip("\0").strip().splitlines()), "").strip()


def _text() -> str:
    asked = getattr(pygame.scrap, "get_text", None)
    if asked is not None:  # pygame-ce, which needs no opening of the clipboard
        return str(asked())
    if not pygame.scrap.get_init():
        pygame.scrap.init()
    found = next((data for kind in _KINDS if (data := pygame.scrap.get(kind))), b"")
    for encoding in _ENCODINGS:
        try:
            return bytes(found).decode(encoding)
        except UnicodeDecodeError:
            continue
    return ""
