"""How pages name the work that something is taken from."""

from app.figures.sources import Source
from app.language import _


def source_words(source: Source) -> str:
    """Return the work with its mark, "Deerr, Cane Sugar, 1921 (from memory)"; else the mark."""
    mark = _(source.mark)
    return f"{_(source.work)} ({mark})" if source.work else mark
