"""XML from files that anybody may have made: no document type, no entities, no network, no huge trees."""

from __future__ import annotations

import re
from typing import Any

from lxml import etree

from dwc_pipeline.errors import UnreadableFile


def parse_xml(document: bytes, name: str) -> Any:
    """The root element of a document.

    name: what the person knows the document by. Raises UnreadableFile if it is not well-formed XML, or has a
    document type declaration, which nothing we read needs and through which a file can do harm.
    """
    parser = etree.XMLParser(
        resolve_entities=False, no_network=True, load_dtd=False, dtd_validation=False, huge_tree=False
    )
    try:
        root = etree.fromstring(document, parser)
    except etree.XMLSyntaxError as error:
        place = f"line {error.lineno}" if error.lineno else "the file"
        raise UnreadableFile(
            f"{name} is not well-formed XML: {place}: {error.msg}. Write it again with the program that made it."
        ) from None
    if root.getroottree().docinfo.doctype:
        raise UnreadableFile(
            f"{name} has a document type declaration (<!DOCTYPE ...>), which is refused because it can make a reader "
            f"open other files. Remove that line."
        )
    return root


def local_name(element: Any) -> str:
    """The name of an element without its namespace; "" for comments and the like."""
    return str(etree.QName(element).localname) if isinstance(element.tag, str) else ""


def package_id_of(description: bytes) -> str:
    """The packageId of an EML document; "" if there is none, or no document that can be read."""
    try:
        return str(parse_xml(description, "eml.xml").get("packageId", "")) if description else ""
    except UnreadableFile:
        return ""


#: what XML 1.0 cannot hold at all (production 2, Char)
NOT_IN_XML = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
