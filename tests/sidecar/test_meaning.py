"""When do two sidecars mean the same? Judged on RDF, not on text."""

from pathlib import Path

import pytest

from eyeline.errors import UnsafeSidecar
from eyeline.sidecar.meaning import Container, Document, Link, Structure, Text, canonical, parse
from eyeline.sidecar.rdf_text import plain_rdf, rdf_written_anew

FILE = Path("IMG_1.xmp")
V = "http://example.net/v/"


def xmp(properties: str = "", attributes: str = "", about: str = ' rdf:about=""') -> bytes:
    return (
        '<x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">'
        f'<rdf:Description{about} xmlns:v="{V}"{attributes}>{properties}</rdf:Description>'
        "</rdf:RDF></x:xmpmeta>"
    ).encode()


def listed(kind: str, *items: str) -> str:
    return f"<v:l><rdf:{kind}>{''.join(f'<rdf:li>{item}</rdf:li>' for item in items)}</rdf:{kind}></v:l>"


SAME = {
    "attribute or element": (xmp("<v:a>1</v:a>"), xmp("", ' v:a="1"')),
    "order of properties": (xmp("<v:a>1</v:a><v:b>2</v:b>"), xmp("<v:b>2</v:b><v:a>1</v:a>")),
    "order in a Bag": (xmp(listed("Bag", "a", "b")), xmp(listed("Bag", "b", "a"))),
    "prefix": (xmp("<v:a>1</v:a>"), xmp("<v:a>1</v:a>").replace(b"v:", b"w:").replace(b":v=", b":w=")),
    "one Description or two": (
        xmp("<v:a>1</v:a><v:b>2</v:b>"),
        xmp(f'<v:a>1</v:a></rdf:Description><rdf:Description rdf:about="" xmlns:v="{V}"><v:b>2</v:b>'),
    ),
    "structure by parseType or by Description": (
        xmp('<v:s rdf:parseType="Resource"><v:a>1</v:a></v:s>'),
        xmp("<v:s><rdf:Description><v:a>1</v:a></rdf:Description></v:s>"),
    ),
    "structure in attributes": (
        xmp('<v:s rdf:parseType="Resource"><v:a>1</v:a></v:s>'),
        xmp('<v:s v:a="1"/>'),
    ),
    # RDF 1.1 XML Syntax, 6.1.4: so were these written in its first years
    "about without prefix": (xmp("<v:a>1</v:a>"), xmp("<v:a>1</v:a>", about=' about=""')),
    "parseType without prefix": (
        xmp('<v:s rdf:parseType="Resource"><v:a>1</v:a></v:s>'),
        xmp('<v:s parseType="Resource"><v:a>1</v:a></v:s>'),
    ),
    "resource without prefix": (
        xmp('<v:a rdf:resource="http://e.net/"/>'),
        xmp('<v:a resource="http://e.net/"/>'),
    ),
    "language in capitals": (xmp('<v:a xml:lang="de-AT">1</v:a>'), xmp('<v:a xml:lang="DE-at">1</v:a>')),
    "no about": (xmp("<v:a>1</v:a>"), xmp("<v:a>1</v:a>", about="")),
    "comments": (xmp("<v:a>1</v:a>"), xmp("<!-- x --><v:a>1</v:a>")),
    "CDATA": (xmp("<v:a>&lt;b&gt;</v:a>"), xmp("<v:a><![CDATA[<b>]]></v:a>")),
    "character reference": (xmp("<v:a>\u00e9</v:a>"), xmp("<v:a>&#xe9;</v:a>")),
    "encoding": (xmp("<v:a>\u00e9</v:a>"), xmp("<v:a>\u00e9</v:a>").decode().encode("utf-16")),
    "packet wrapper": (
        xmp("<v:a>1</v:a>"),
        b"<?xpacket begin=''?>" + xmp("<v:a>1</v:a>") + b"<?xpacket end='w'?>",
    ),
}

DIFFERENT = {
    "value": (xmp("<v:a>1</v:a>"), xmp("<v:a>2</v:a>")),
    "form of a number": (xmp("<v:a>1.0</v:a>"), xmp("<v:a>1</v:a>")),
    "blanks": (xmp("<v:a> 1</v:a>"), xmp("<v:a>1</v:a>")),
    "gone": (xmp("<v:a>1</v:a><v:b/>"), xmp("<v:a>1</v:a>")),
    "name": (xmp("<v:a>1</v:a>"), xmp("<v:b>1</v:b>")),
    "namespace": (xmp("<v:a>1</v:a>"), xmp("<v:a>1</v:a>").replace(b"net/v/", b"net/w/")),
    "order in a Seq": (xmp(listed("Seq", "a", "b")), xmp(listed("Seq", "b", "a"))),
    "order in an Alt": (xmp(listed("Alt", "a", "b")), xmp(listed("Alt", "b", "a"))),
    "kind of list": (xmp(listed("Bag", "a", "b")), xmp(listed("Seq", "a", "b"))),
    "how often in a Bag": (xmp(listed("Bag", "a", "a")), xmp(listed("Bag", "a"))),
    "language": (xmp('<v:a xml:lang="de">1</v:a>'), xmp('<v:a xml:lang="fr">1</v:a>')),
    "language lost": (xmp('<v:a xml:lang="de">1</v:a>'), xmp("<v:a>1</v:a>")),
    "qualifier lost": (
        xmp('<v:a rdf:parseType="Resource"><rdf:value>1</rdf:value><v:q>2</v:q></v:a>'),
        xmp("<v:a>1</v:a>"),
    ),
    "link or text": (xmp('<v:a rdf:resource="http://e.net/"/>'), xmp("<v:a>http://e.net/</v:a>")),
    "field of a structure": (xmp('<v:s v:a="1" v:b="2"/>'), xmp('<v:s v:a="1"/>')),
    "type": (xmp("<v:s><v:T><v:a>1</v:a></v:T></v:s>"), xmp('<v:s v:a="1"/>')),
    "subject": (xmp("<v:a>1</v:a>"), xmp("<v:a>1</v:a>", about=' rdf:about="uuid:1"')),
}


@pytest.mark.parametrize("difference", SAME)
def test_same(difference: str) -> None:
    one, other = SAME[difference]
    assert parse(one, FILE) == parse(other, FILE)


@pytest.mark.parametrize("difference", DIFFERENT)
def test_different(difference: str) -> None:
    one, other = DIFFERENT[difference]
    assert parse(one, FILE) != parse(other, FILE)


UNEVEN = {
    "comment": xmp("<!-- x --><v:a>1</v:a>"),
    "CDATA": xmp("<v:a><![CDATA[<b>]]></v:a>"),
    "character reference": xmp("<v:a>&#xd;</v:a>"),
    "line ends": xmp("<v:a>1\r\n2</v:a>"),
    "line end in an attribute": xmp("", ' v:a="1\n2"'),
    "UTF-16": xmp("<v:a>1</v:a>").decode().encode("utf-16"),
    "another encoding": b'<?xml version="1.0" encoding="latin-1"?>' + xmp("<v:a>1</v:a>"),
    "XML as a value": xmp('<v:a rdf:parseType="Literal"><b/></v:a>'),
    "RDF without its prefix": xmp("<v:a>1</v:a>", about=' about=""'),
    "a prefix of the wrapper's": xmp("<w:a>1</w:a>").replace(b":meta/", b':meta/" xmlns:w="urn:w'),
    "a language of the wrapper's": xmp("<v:a>1</v:a>").replace(b":meta/", b':meta/" xml:lang="de'),
}
"""What readers of XML hand on differently (XML 1.0, 2.11, 2.12, 3.3.3; Namespaces in XML 1.0, 6.1)."""


@pytest.mark.parametrize("what", UNEVEN)
def test_what_readers_of_xml_hand_on_differently_is_written_anew_first(what: str) -> None:
    assert plain_rdf(UNEVEN[what], FILE) is None
    assert parse(UNEVEN[what], FILE).properties


def test_plain_rdf_stands_in_the_sidecar_as_it_is_read() -> None:
    content = b"<?xpacket begin=''?>" + xmp("<v:a>it&#39;s \u00e9 &amp; 1</v:a>" + listed("Bag", "b"))
    plain = plain_rdf(content, FILE)
    assert plain is not None and plain in content
    assert plain.startswith(b"<rdf:RDF") and plain.endswith(b"</rdf:RDF>")
    assert parse(plain, FILE) == parse(rdf_written_anew(content, FILE), FILE) == parse(content, FILE)


def test_the_tree_of_a_small_file() -> None:
    content = xmp(
        '<v:t xml:lang="de">x</v:t><v:u rdf:resource="http://e.net/"/><v:s v:a="1"/>'
        + listed("Seq", "b", "a")
    )
    assert parse(content, FILE) == Document(
        "",
        (
            (V + "l", Container("Seq", (Text("b"), Text("a")))),
            (V + "s", Structure(((V + "a", Text("1")),))),
            (V + "t", Text("x", "de")),
            (V + "u", Link("http://e.net/")),
        ),
    )


def test_eleven_members_keep_their_order() -> None:
    """By number, not by name: rdf:_10 comes after rdf:_2."""
    items = [chr(ord("a") + number) for number in range(11)]
    tree = parse(xmp(listed("Seq", *items)), FILE).get(V + "l")
    assert tree == Container("Seq", tuple(Text(item) for item in items))


def test_the_canonical_text_is_fixed() -> None:
    """It goes into records that later versions read: a change here would make every region of ours theirs."""
    value = Structure((("a", Container("Alt", (Text("x", "x-default"),))), ("b", Link("u"))))
    assert canonical(value) == '["structure",["a",["Alt",["text","x","x-default",null]]],["b",["link","u"]]]'


@pytest.mark.parametrize(
    "content",
    [
        *(b"", b"x", b"<a/>", b"<a>", b"\xff\xfe"),
        *(xmp("<v:a>&x;</v:a>"), xmp("<v:a")),
        *(xmp("<v:a>text<v:b/>more</v:a>"), xmp("stray"), xmp("<v:a>1</v:a>", ' odd="1"')),
        *(xmp("<v:a>1</v:a>", about=f' rdf:{name}="n"') for name in ("nodeID", "bagID", "aboutEach")),
    ],
)
def test_what_is_no_xmp_is_refused_by_name(content: bytes) -> None:
    with pytest.raises(UnsafeSidecar, match=r"IMG_1\.xmp"):
        parse(content, FILE)


def test_odd_addresses_and_languages_are_compared_as_they_stand() -> None:
    content = xmp('<v:a xml:lang="not_one!">1</v:a>').replace(V.encode(), b"http://e.net/\\&gt; %%/")
    assert parse(content, FILE).properties == (("http://e.net/\\> %%/a", Text("1", "not_one!")),)
