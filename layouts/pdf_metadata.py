"""What a PDF file says about itself, as an XMP packet (ISO 16684-1:2012)."""

from __future__ import annotations

from datetime import datetime
from typing import Final

from layouts.pdf_text import plain_text
from layouts.scene import Document
from layouts.xml_text import escaped

PROGRAM: Final = "pegfolio"

_NAMES: Final = " ".join(
    f'xmlns:{prefix}="{uri}"'
    for prefix, uri in (
        ("dc", "http://purl.org/dc/elements/1.1/"),
        ("xmp", "http://ns.adobe.com/xap/1.0/"),
        ("pdf", "http://ns.adobe.com/pdf/1.3/"),
        ("pdfaid", "http://www.aiim.org/pdfa/ns/id/"),
        ("pdfuaid", "http://www.aiim.org/pdfua/ns/id/"),
        ("pdfaExtension", "http://www.aiim.org/pdfa/ns/extension/"),
        ("pdfaSchema", "http://www.aiim.org/pdfa/ns/schema#"),
        ("pdfaProperty", "http://www.aiim.org/pdfa/ns/property#"),
    )
)

_PARTS: Final = """\
<pdfaid:part>2</pdfaid:part>
<pdfaid:conformance>A</pdfaid:conformance>
<pdfuaid:part>1</pdfuaid:part>
<pdfaExtension:schemas><rdf:Bag><rdf:li rdf:parseType="Resource">
<pdfaSchema:schema>PDF/UA identification</pdfaSchema:schema>
<pdfaSchema:namespaceURI>http://www.aiim.org/pdfua/ns/id/</pdfaSchema:namespaceURI>
<pdfaSchema:prefix>pdfuaid</pdfaSchema:prefix>
<pdfaSchema:property><rdf:Seq><rdf:li rdf:parseType="Resource">
<pdfaProperty:name>part</pdfaProperty:name>
<pdfaProperty:valueType>Integer</pdfaProperty:valueType>
<pdfaProperty:category>internal</pdfaProperty:category>
<pdfaProperty:description>Part of ISO 14289 that the file keeps</pdfaProperty:description>
</rdf:li></rdf:Seq></pdfaSchema:property>
</rdf:li></rdf:Bag></pdfaExtension:schemas>
"""
"""The standards: ISO 19005-2 level A and ISO 14289-1, whose own identifier ISO 19005-2 knows only
by a description (6.6.2.3)."""


def pdf_date(instant: datetime) -> str:
    """An instant of UTC as a PDF writes it (ISO 32000-1:2008, clause 7.9.4).

    >>> pdf_date(datetime(2026, 3, 1, 9, 30))
    "D:20260301093000+00'00'"
    """
    return f"D:{instant:%Y%m%d%H%M%S}+00'00'"


def _xmp_date(instant: datetime) -> str:
    """The same as XMP writes it (ISO 16684-1:2012, clause 8.2.1.2)."""
    return f"{instant:%Y-%m-%dT%H:%M:%S}Z"


def metadata_packet(document: Document, *, dated: datetime | None = None) -> bytes:
    """Title, author, subject, rights, keywords and language, and the standards that the file keeps.

    `dated` is an instant of UTC; without it no date is told, so that the same document gives the
    same bytes on any day.
    """
    fields = [
        "<dc:format>application/pdf</dc:format>",
        _field("dc:title", "Alt", document.title, ' xml:lang="x-default"'),
        _field("dc:creator", "Seq", document.author),
        _field("dc:description", "Alt", document.subject, ' xml:lang="x-default"'),
        _field("dc:rights", "Alt", document.rights, ' xml:lang="x-default"'),
        _field("dc:language", "Bag", document.language),
        f"<pdf:Producer>{PROGRAM}</pdf:Producer>",
        f"<xmp:CreatorTool>{PROGRAM}</xmp:CreatorTool>",
    ]
    if dated is not None:
        told = _xmp_date(dated)
        fields.append(f"<xmp:CreateDate>{told}</xmp:CreateDate>")
        fields.append(f"<xmp:ModifyDate>{told}</xmp:ModifyDate>")
    if document.keywords:
        fields.append(f"<pdf:Keywords>{_text(', '.join(document.keywords))}</pdf:Keywords>")
    written = "\n".join(filter(None, fields))
    packet = f"""\
<?xpacket begin="\ufeff" id="W5M0MpCehiHzreSzNTczkc9d"?>
<x:xmpmeta xmlns:x="adobe:ns:meta/">
<rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">
<rdf:Description rdf:about="" {_NAMES}>
{written}
{_PARTS}</rdf:Description>
</rdf:RDF>
</x:xmpmeta>
<?xpacket end="w"?>"""
    return packet.encode()


def _field(name: str, kind: str, text: str, language: str = "") -> str:
    if not text:
        return ""
    entry = f"<rdf:li{language}>{_text(text)}</rdf:li>"
    return f"<{name}><rdf:{kind}>{entry}</rdf:{kind}></{name}>"


def _text(text: str) -> str:
    return escaped(plain_text(text))
