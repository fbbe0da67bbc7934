"""Sidecars by other hands: what may be merged, what may be merged or refused, what has to be refused.

The constructs are those of the metadata contract, section 8.
"""

from __future__ import annotations

import re

HEAD = (
    '<x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">'
    '<rdf:Description rdf:about="" xmlns:v="http://example.net/v/" xmlns:dc="http://purl.org/dc/elements/1.1/"'
    ' xmlns:e="http://iptc.org/std/Iptc4xmpExt/2008-02-29/" xmlns:a="http://example.net/a#"'
)
TAIL = "</rdf:Description></rdf:RDF></x:xmpmeta>"


def within(properties: str, attributes: str = "") -> bytes:
    return f"{HEAD}{attributes}>{properties}{TAIL}".encode()


READ_ONLY = (
    b'<?xpacket begin="" id="W5M0MpCehiHzreSzNTczkc9d"?>'
    + within("<v:one>1</v:one>")
    + b"<?xpacket end='r'?>"
)
OTHER_NAMESPACE = within(
    "<MicrosoftPhoto:LensModel>50 mm</MicrosoftPhoto:LensModel>",
    ' xmlns:MicrosoftPhoto="http://ns.microsoft.com/photo/1.0/"',
)
"""ExifTool knows it without the slash and mends it with a minor warning; its author looks for this one."""

MERGED = {
    "simple": within("<v:one>1</v:one>"),
    "attribute form": within("", ' v:one="1"'),
    "nested structures": within(
        '<v:s rdf:parseType="Resource"><v:t rdf:parseType="Resource"><v:u>1</v:u></v:t></v:s>'
    ),
    "Seq": within("<v:l><rdf:Seq><rdf:li>b</rdf:li><rdf:li>a</rdf:li><rdf:li>b</rdf:li></rdf:Seq></v:l>"),
    "Bag": within("<v:l><rdf:Bag><rdf:li>b</rdf:li><rdf:li>a</rdf:li></rdf:Bag></v:l>"),
    "Alt": within("<v:l><rdf:Alt><rdf:li>b</rdf:li><rdf:li>a</rdf:li></rdf:Alt></v:l>"),
    "languages": within(
        '<dc:title><rdf:Alt><rdf:li xml:lang="x-default">b</rdf:li><rdf:li xml:lang="de-CH">a</rdf:li>'
        "</rdf:Alt></dc:title>"
    ),
    "rdf:resource": within('<v:u rdf:resource="http://example.net/thing?a=1&amp;b"/>'),
    "empty element": within("<v:empty/><v:none></v:none>"),
    "xml:lang qualifier": within('<v:l xml:lang="fr">bonjour</v:l>'),
    "structure in attributes": within('<v:s v:a="1" a:b="2"/>'),
    "structure in a Description": within(
        '<v:s><rdf:Description v:a="1"><a:b>2</a:b></rdf:Description></v:s>'
    ),
    "blanks at the ends": within("<v:one>  a  b\n c </v:one>"),
    "character references": within("<v:one>&#x263a; &#65; &quot;&apos;&lt;&amp;</v:one>"),
    "field in a foreign region": within(
        '<e:ImageRegion><rdf:Bag><rdf:li rdf:parseType="Resource"><e:rId>their</e:rId><v:x>1</v:x></rdf:li>'
        "</rdf:Bag></e:ImageRegion>"
    ),
    "comments and instructions": within("<!-- c --><v:one>1</v:one><?pi x?>"),
    "toolkit": within("<v:one>1</v:one>").replace(b'meta/"', b'meta/" x:xmptk="Another Hand"', 1),
    "packet wrapper": b'<?xpacket begin="\xef\xbb\xbf" id="W5M0MpCehiHzreSzNTczkc9d"?>'
    + within("<v:one>1</v:one>")
    + b'<?xpacket end="w"?>',
    # XMP Specification (September 2005), packet wrapper, trailer: r forbids an update in place to
    # applications that do not understand the format of the file around it.
    "read-only packet": READ_ONLY,
    "a namespace with a slash too many": OTHER_NAMESPACE,
    "byte order mark": b"\xef\xbb\xbf<?xml version='1.0' encoding='UTF-8'?>"
    + within("<v:one>\u00e9</v:one>"),
    "UTF-16": ("<?xml version='1.0' encoding='UTF-16'?>" + within("<v:one>\u00e9</v:one>").decode()).encode(
        "utf-16"
    ),
    "a subject by another name": within("<v:one>1</v:one>").replace(b'about=""', b'about="uuid:1234"'),
}
"""Constructs that must be merged: every property of theirs kept, every field of ours there."""

EITHER = {
    "an empty list of keywords": within("<dc:subject><rdf:Bag></rdf:Bag></dc:subject>"),
    "UTF-16 without declaration": within("<v:one>\u00e9</v:one>").decode().encode("utf-16"),
    "same prefix twice": within("<v:one>1</v:one>").replace(
        b"</rdf:RDF>",
        b'<rdf:Description rdf:about="" xmlns:v="http://example.net/second/" v:two="2"/></rdf:RDF>',
    ),
    "unknown attribute on xmpmeta": within("<v:one>1</v:one>").replace(b'meta/"', b'meta/" x:own="1"', 1),
    "qualifiers, parseType": within(
        '<v:q rdf:parseType="Resource"><rdf:value>1</rdf:value><v:unit>mm</v:unit></v:q>'
    ),
    "qualifiers, Description": within(
        "<v:q><rdf:Description><rdf:value>1</rdf:value><v:unit>mm</v:unit></rdf:Description></v:q>"
    ),
    "qualifiers in a bag": within(
        '<dc:subject><rdf:Bag><rdf:li rdf:parseType="Resource"><rdf:value>word</rdf:value><v:by>me</v:by>'
        "</rdf:li></rdf:Bag></dc:subject>"
    ),
    "value as attribute": within('<v:q rdf:value="1" v:unit="mm"/>'),
    "CDATA with markup": within("<v:c><![CDATA[<b>raw & cdata</b>]]></v:c>"),
    "CDATA plain": within("<v:c><![CDATA[plain]]></v:c>"),
    "parseType Literal": within('<v:x rdf:parseType="Literal"><b>bold</b></v:x>'),
    "typed node": within("<v:t><v:Thing><v:a>1</v:a></v:Thing></v:t>"),
    "nodeID": within('<v:t rdf:nodeID="n1"/>').replace(
        b"</rdf:RDF>",
        b'<rdf:Description rdf:nodeID="n1" xmlns:v="http://example.net/v/"><v:a>1</v:a></rdf:Description></rdf:RDF>',
    ),
    "one node twice": within('<v:t rdf:nodeID="n1"/><v:u rdf:nodeID="n1"/>').replace(
        b"</rdf:RDF>",
        b'<rdf:Description rdf:nodeID="n1" xmlns:v="http://example.net/v/"><v:a>1</v:a></rdf:Description></rdf:RDF>',
    ),
    "a circle": within('<v:t rdf:nodeID="n1"/>').replace(
        b"</rdf:RDF>",
        b'<rdf:Description rdf:nodeID="n2" xmlns:v="http://example.net/v/"><v:a rdf:nodeID="n2"/>'
        b"</rdf:Description></rdf:RDF>",
    ),
    "empty lists": within("<v:b><rdf:Bag/></v:b><v:s><rdf:Seq/></v:s>"),
    "subject as Seq": within("<dc:subject><rdf:Seq><rdf:li>word</rdf:li></rdf:Seq></dc:subject>"),
    "subject as text": within("<dc:subject>word</dc:subject>"),
    "a property twice": within("<v:one>1</v:one><v:one>2</v:one>"),
    "two subjects": within("<v:one>1</v:one>").replace(
        b"</rdf:RDF>",
        b'<rdf:Description rdf:about="uuid:2" xmlns:v="http://example.net/v/" v:two="2"/></rdf:RDF>',
    ),
    "datatype": within('<v:d rdf:datatype="http://www.w3.org/2001/XMLSchema#integer">01</v:d>'),
    "inherited language": within("<v:l>bonjour</v:l>", ' xml:lang="fr"'),
    "rdf:ID": within('<v:one rdf:ID="x">1</v:one>'),
    "bare RDF": re.sub(rb"</?x:xmpmeta[^>]*>", b"", within("<v:one>1</v:one>")),
    "no about": within("<v:one>1</v:one>").replace(b' rdf:about=""', b""),
    "history as Bag": within(
        '<m:History xmlns:m="http://ns.adobe.com/xap/1.0/mm/"><rdf:Bag><rdf:li rdf:parseType="Resource">'
        "<v:a>1</v:a></rdf:li></rdf:Bag></m:History>"
    ),
}
"""Constructs that may be merged or refused; lost or broken never."""

REFUSED = {
    "truncated": within("<v:one>1</v:one>")[:-30],
    "no XMP": b"<html><body>hello</body></html>",
    "no XML": b"Exif\0\0II*\0",
    "empty": b"",
    "blank": b"\n",
    "two packets": b"<x:xmpmeta xmlns:x='adobe:ns:meta/'>"
    + 2 * b"<r:RDF xmlns:r='http://www.w3.org/1999/02/22-rdf-syntax-ns#'/>"
    + b"</x:xmpmeta>",
    "doctype": b'<!DOCTYPE x [<!ENTITY a "aaaa">]>' + within("<v:one>&a;</v:one>"),
    "entities in entities": b'<!DOCTYPE x [<!ENTITY a "aaaa"><!ENTITY b "&a;&a;&a;">]>'
    + within("<v:one>&b;</v:one>"),
    "outside entity": b'<!DOCTYPE x [<!ENTITY a SYSTEM "file:///etc/passwd">]>'
    + within("<v:one>&a;</v:one>"),
    "too deep": within("<v:s><rdf:Description>" * 200 + "</rdf:Description></v:s>" * 200),
    "too large": within("<v:one>" + "x" * (8 * 1024 * 1024) + "</v:one>"),
    "unknown encoding": b"<?xml version='1.0' encoding='x-no-such'?>" + within("<v:one>1</v:one>"),
    "nul bytes": b"\0" * 4096,
}
