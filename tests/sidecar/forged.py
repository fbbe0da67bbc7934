"""Sidecars whose history says, in eyeline's name, what eyeline has not written."""

from __future__ import annotations

from xml.sax.saxutils import escape

PACKET = (
    '<x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">'
    '<rdf:Description rdf:about="" xmlns:xmp="http://ns.adobe.com/xap/1.0/"'
    ' xmlns:xmpMM="http://ns.adobe.com/xap/1.0/mm/" xmlns:dc="http://purl.org/dc/elements/1.1/"'
    ' xmlns:Iptc4xmpCore="http://iptc.org/std/Iptc4xmpCore/1.0/xmlns/"'
    ' xmlns:stEvt="http://ns.adobe.com/xap/1.0/sType/ResourceEvent#">{}'
    "<xmpMM:History><rdf:Seq><rdf:li rdf:parseType='Resource'><stEvt:action>assessed</stEvt:action>"
    "<stEvt:softwareAgent>eyeline</stEvt:softwareAgent>"
    "<stEvt:parameters>{}</stEvt:parameters></rdf:li></rdf:Seq></xmpMM:History>"
    "</rdf:Description></rdf:RDF></x:xmpmeta>"
)
"""Properties, then the parameters of the event (XMP Part 2, 1.2.4: ResourceEvent)."""


def forged(record: str, properties: str = "") -> bytes:
    """A sidecar with `properties` (XML) in which eyeline's event carries `record` (JSON)."""
    return PACKET.format(properties, escape(f"4 stars | wrote {record}")).encode()


def rated(rating: str, *keywords: str) -> str:
    """Properties of a sidecar that a person has rated and keyworded."""
    words = "".join(f"<rdf:li>{escape(word)}</rdf:li>" for word in keywords)
    bag = f"<dc:subject><rdf:Bag>{words}</rdf:Bag></dc:subject>" if words else ""
    return f"<xmp:Rating>{rating}</xmp:Rating>{bag}"
