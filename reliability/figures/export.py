"""A figure as text for a page: its inks, its ids and its words become the page's own."""

from __future__ import annotations

import html
import io
import re
import warnings
from typing import TYPE_CHECKING

import matplotlib as mpl

from reliability.figures.inks import ALARM, INK, PAPER

if TYPE_CHECKING:
    from matplotlib.figure import Figure


def svg(figure: Figure, name: str, *, title: str, description: str) -> str:
    """Give the figure as text to set into a page: no address, no ink of its own, no id of another figure.

    name    letters, digits and hyphens, unique in the page; all ids start with it
    """
    out = io.StringIO()
    silence = {"Date": None, "Creator": None, "Format": None, "Type": None}
    with mpl.rc_context({"svg.hashsalt": name, "svg.fonttype": "none"}), warnings.catch_warnings():
        # text stays text, so the reader's own fonts have the letters that ours lacks
        warnings.filterwarnings("ignore", message="Glyph .* missing from", category=UserWarning)
        figure.savefig(out, format="svg", transparent=True, metadata=silence)
    drawing = out.getvalue()
    inner = drawing[drawing.index(">", drawing.index("<svg")) + 1 : drawing.rindex("</svg>")]
    inner = re.sub(
        r"<style type=\"text/css\">.*?</style>", "", inner, flags=re.DOTALL
    )  # it would style the page
    inner = inner.replace("xlink:href", "href")
    inner = re.sub(r'(\bid="|\burl\(#|\bhref="#)', rf"\g<1>{name}-", inner)
    for ours, theirs in ((INK, "currentColor"), (ALARM, "var(--worse)"), (PAPER, "var(--paper)")):
        inner = inner.replace(ours, theirs)
    width, height = (f"{72 * inches:g}" for inches in figure.get_size_inches())
    return (
        f'<svg role="img" aria-labelledby="{name}-title {name}-description" '
        f'width="{width}pt" height="{height}pt" viewBox="0 0 {width} {height}">'
        f'<title id="{name}-title">{html.escape(title)}</title>'
        f'<desc id="{name}-description">{html.escape(description)}</desc>{inner}</svg>'
    )
