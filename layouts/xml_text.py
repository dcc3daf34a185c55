"""Text as XML can hold it."""

from __future__ import annotations

import re
from typing import Final

_NOT_XML: Final = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
"""What may not stand in a document of XML 1.0 (fifth edition, production 2)."""


def xml_text(text: str) -> str:
    """Without the characters that XML cannot hold."""
    return _NOT_XML.sub("", text)


def escaped(text: str) -> str:
    """The text between two tags.

    >>> escaped("k < p & s")
    'k &lt; p &amp; s'
    """
    # xml.sax.saxutils would load the libraries of the network for it.
    kept = xml_text(text)
    return kept.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
