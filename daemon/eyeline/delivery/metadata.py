"""The XMP that a delivered file carries: whose it is and how to reach them, and nothing of how it was chosen.

Properties by the IPTC Photo Metadata Standard (Creator, Copyright Notice, Creator's Contact Info,
Description) and XMP Specification Part 1, 8.6, and Part 2, 1.2.3, for a file derived from another: an id of
its own, an id of this version, and a reference to what it was made from. No working words, ratings, history,
regions, places or capture data: those are not copied, so there is nothing to take out.
"""

from __future__ import annotations

import re
from uuid import NAMESPACE_URL, uuid5
from xml.sax.saxutils import escape

_HEAD = """<?xpacket begin="\ufeff" id="W5M0MpCehiHzreSzNTczkc9d"?>
<x:xmpmeta xmlns:x="adobe:ns:meta/">
<rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">
<rdf:Description rdf:about=""
 xmlns:dc="http://purl.org/dc/elements/1.1/"
 xmlns:xmpMM="http://ns.adobe.com/xap/1.0/mm/"
 xmlns:stRef="http://ns.adobe.com/xap/1.0/sType/ResourceRef#"
 xmlns:xmpRights="http://ns.adobe.com/xap/1.0/rights/"
 xmlns:Iptc4xmpCore="http://iptc.org/std/Iptc4xmpCore/1.0/xmlns/">
"""
_TAIL = """</rdf:Description>
</rdf:RDF>
</x:xmpmeta>
<?xpacket end="r"?>"""

_MAIL = re.compile(r"\S+@\S+\.\S+")
_PHONE = re.compile(r"\+?[\d][\d ()/.-]{5,}")
_IDS = "https://eyeline.invalid/delivered/"
"""Namespace of the ids, which are made from what was delivered (RFC 4122, version 5): the same file made
again has the same id, and none tells anything of a person or machine."""


def packet(
    creator: str, rights: str, contact: str, caption: str, document: str, version: str, source: str
) -> str:
    """The packet as text. `contact`: mail address, web address, telephone, parted by commas or semicolons.

    `document`, `version`, `source`: texts from which the ids of the file, of this version of it and of what
    it was derived from are made.
    """
    properties = [
        *_text("dc:creator", creator, "Seq"),
        *_text("dc:rights", rights, "Alt"),
        *(["<xmpRights:Marked>True</xmpRights:Marked>"] if rights.strip() else []),
        *_text("dc:description", caption, "Alt"),
        *_contact(contact),
        f"<xmpMM:DocumentID>{_id('did', document)}</xmpMM:DocumentID>",
        f"<xmpMM:InstanceID>{_id('iid', version)}</xmpMM:InstanceID>",
        '<xmpMM:DerivedFrom rdf:parseType="Resource">'
        f"<stRef:documentID>{_id('did', source)}</stRef:documentID></xmpMM:DerivedFrom>",
    ]
    return _HEAD + "\n".join(properties) + "\n" + _TAIL


def _id(kind: str, text: str) -> str:
    return f"xmp.{kind}:{uuid5(NAMESPACE_URL, _IDS + kind + '/' + text)}"


def _text(name: str, text: str, container: str) -> list[str]:
    text = _sound(text)
    if not text:
        return []
    language = ' xml:lang="x-default"' if container == "Alt" else ""
    return [f"<{name}><rdf:{container}><rdf:li{language}>{text}</rdf:li></rdf:{container}></{name}>"]


def _contact(contact: str) -> list[str]:
    """Creator's Contact Info: each part in the field that it looks like."""
    fields: dict[str, list[str]] = {}
    for part in re.split(r"[;,\n]", contact):
        part = part.strip()
        if _MAIL.fullmatch(part):
            fields.setdefault("CiEmailWork", []).append(part)
        elif re.match(r"(?:https?://|www\.)\S+$", part):
            fields.setdefault("CiUrlWork", []).append(part)
        elif _PHONE.fullmatch(part):
            fields.setdefault("CiTelWork", []).append(part)
        elif part:
            fields.setdefault("CiAdrExtadr", []).append(part)
    if not fields:
        return []
    inner = "".join(
        f"<Iptc4xmpCore:{name}>{_sound(', '.join(values))}</Iptc4xmpCore:{name}>"
        for name, values in fields.items()
    )
    name = "Iptc4xmpCore:CreatorContactInfo"
    return [f'<{name} rdf:parseType="Resource">{inner}</{name}>']


def _sound(text: str) -> str:
    """`text` as XML may hold it: no control characters, no lone surrogates."""
    text = text.encode("utf-8", "replace").decode("utf-8")
    kept = "".join(sign for sign in text if sign.isprintable() or sign == "\n")
    return escape(kept.strip())
