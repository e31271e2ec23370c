"""The colours of figures: odd ones, which `svg` turns into the page's own."""

from __future__ import annotations

INK = "#010203"  # becomes the colour of the page's text; no page has this colour by chance
ALARM = "#030201"  # becomes the page's one accent, for a verdict of worse
PAPER = "#020103"  # becomes the page's ground
FAINT = 0.13  # opacity of what lies behind the ink
