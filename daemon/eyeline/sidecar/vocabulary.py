"""Names of the open standards: namespaces, IPTC image region roles and types, IPTC scene codes.

Sources: XMP Specification Parts 1 and 2 (ISO 16684-1), IPTC Photo Metadata Standard (Extension: Image
Region), IPTC NewsCodes `imageregionrole`, `imageregiontype`, `scene` (labels as published there).
"""

from __future__ import annotations

RDF = "http://www.w3.org/1999/02/22-rdf-syntax-ns#"
XMP = "http://ns.adobe.com/xap/1.0/"
XMP_MM = "http://ns.adobe.com/xap/1.0/mm/"
RESOURCE_EVENT = "http://ns.adobe.com/xap/1.0/sType/ResourceEvent#"
DC = "http://purl.org/dc/elements/1.1/"
IPTC_CORE = "http://iptc.org/std/Iptc4xmpCore/1.0/xmlns/"
IPTC_EXT = "http://iptc.org/std/Iptc4xmpExt/2008-02-29/"

RATING = XMP + "Rating"
METADATA_DATE = XMP + "MetadataDate"
SUBJECT = DC + "subject"
SCENE = IPTC_CORE + "Scene"
IMAGE_REGION = IPTC_EXT + "ImageRegion"
HISTORY = XMP_MM + "History"

SOFTWARE_AGENT = "eyeline"
"""stEvt:softwareAgent of our one history event: constant, since it is how the event is found again."""

ACTION = "assessed"
"""stEvt:action of our event; XMP Part 2 1.2.4 leaves the choice open and asks for a past-tense verb."""

ROLE_BASE = "http://cv.iptc.org/newscodes/imageregionrole/"
ROLES = {
    "recomCropping": "recommended cropping",
    "landscapeCropping": "landscape format cropping",
    "portraitCropping": "portrait format cropping",
    "squareCropping": "square format cropping",
    "mainSubjectArea": "main subject area",
    "areaOfInterest": "area of interest",
}
"""Identifier and label of the region roles that eyeline uses."""

TYPE_BASE = "http://cv.iptc.org/newscodes/imageregiontype/"
TYPES = {"human": "human"}
"""Identifier and label of the region types that eyeline uses."""

SCENE_CODES = {
    "010100": "headshot",
    "010200": "half-length",
    "010300": "full-length",
    "010400": "profile",
    "010500": "rear view",
    "010600": "single",
    "010700": "couple",
    "010800": "two",
    "010900": "group",
    "011000": "general view",
    "011100": "panoramic view",
    "011200": "aerial view",
    "011300": "under-water",
    "011400": "night scene",
    "011500": "satellite",
    "011600": "exterior view",
    "011700": "interior view",
    "011800": "close-up",
    "011900": "action",
    "012000": "performing",
    "012100": "posing",
    "012200": "symbolic",
    "012300": "off-beat",
    "012400": "movie scene",
}
"""The IPTC scene vocabulary; a code outside it is a mistake."""
