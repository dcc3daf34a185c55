"""Text as PDF and its metadata can hold it."""

from __future__ import annotations

import unicodedata


def plain_text(text: str) -> str:
    """Without control characters and lone surrogates, which no PDF string may hold."""
    kept = "".join(char for char in text if unicodedata.category(char) != "Cc")
    return kept.encode("utf-16-le", "surrogatepass").decode("utf-16-le", "replace")
