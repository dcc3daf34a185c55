"""Text as XML can hold it."""

from __future__ import annotations

import re
from typing import Final
from xml.sax.saxutils import escape, quoteattr

_NOT_XML: Final = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
"""What may not stand in a document of XML 1.0 (fifth edition, production 2)."""


def escaped(text: str) -> str:
    """The text between two tags.

    >>> escaped("k < p")
    'k &lt; p'
    """
    return escape(_NOT_XML.sub("", text))


def quoted(text: str) -> str:
    """The text as the value of an attribute, in quotation marks."""
    return quoteattr(_NOT_XML.sub("", text))
