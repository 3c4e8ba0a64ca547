"""The drawing of every part of the picture, each a function from plain values to a premultiplied sprite."""
