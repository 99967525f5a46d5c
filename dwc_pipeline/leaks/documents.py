"""Text in documents: plain text, XML, web pages, PDF. Nothing is interpreted."""

from __future__ import annotations

import re
from collections.abc import Iterator

from lxml import etree

from dwc_pipeline.core.safe_xml import NOT_IN_XML
from dwc_pipeline.leaks.pictures import inflated
from dwc_pipeline.leaks.piece import Piece, Unreadable, strings

_CELL_ADDRESS = re.compile(r"\$?[A-Z]{1,3}\$?\d{1,7}(:\$?[A-Z]{1,3}\$?\d{1,7})?")
_TAG, _QUOTED = re.compile(r"<[A-Za-z!/?][^<>]*>"), re.compile(r"[\"']([^\"']*)[\"']")
#: what stands before a text in the header of a page of a workbook
_HEADER_CODE = re.compile(r"&[A-Z]")
#: elements whose text may be cut into runs
_PARAGRAPHS = frozenset({"p", "si", "is", "text", "title", "para", "td", "th", "li", "a", "h", "comment"})
_MARKS = (
    (b"\xff\xfe\0\0", "utf-32"),
    (b"\0\0\xfe\xff", "utf-32"),
    (b"\xff\xfe", "utf-16"),
    (b"\xfe\xff", "utf-16"),
    (b"\xef\xbb\xbf", "utf-8-sig"),
)
_PDF_STREAM = re.compile(rb"stream\r?\n(.*?)\r?\n?endstream", re.DOTALL)
_PDF_TEXT = re.compile(rb"\(((?:\\.|[^\\()])*)\)|<([0-9A-Fa-f\s]{4,})>", re.DOTALL)
#: fonts and packings whose letters cannot be read back without drawing the page
_PDF_CLOSED = (
    b"/Identity-H", b"/ToUnicode", b"/Encrypt", b"/LZWDecode", b"/ASCII85Decode", b"/ASCIIHexDecode",
    b"/RunLengthDecode",
)  # fmt: skip


def decoded(content: bytes) -> str | None:
    """The bytes as text; None if they are none."""
    encoding = next((name for mark, name in _MARKS if content.startswith(mark)), "utf-8")
    try:
        text = content.decode(encoding)
    except UnicodeDecodeError:
        text = content.decode("cp1252", errors="replace")
    return None if "\0" in text else text


def pieces_of_text(text: str, content: bytes, where: str) -> Iterator[Piece | Unreadable]:
    """Lines, the text as a whole, and what is between and in its tags. content: the same as bytes."""
    start = text.lstrip("\ufeff \r\n\t")[:200].lower()
    is_page = start.startswith(("<!doctype html", "<html"))
    if start.startswith("<") and not is_page:
        read = list(_of_xml(content, where))
        yield from read
        if read and "<!doctype" not in start:
            return
    if _TAG.search(text):
        told = text.replace("<!--", " ").replace("-->", " ")
        yield Piece(where, _TAG.sub("", told), whole=True)
        text = _TAG.sub(lambda tag: f" {' '.join(_QUOTED.findall(tag.group()))} ", told)
    for number, line in enumerate(text.splitlines(), 1):
        if line.strip():
            yield Piece(f"{where}, line {number}", line)
    yield Piece(where, text, whole=True)


def _of_xml(content: bytes, where: str) -> Iterator[Piece | Unreadable]:
    """Text, attributes and comments of an XML document, and all of it joined; nothing if it is not well-formed."""
    parser = etree.XMLParser(resolve_entities=False, no_network=True, huge_tree=True, remove_comments=False)
    try:
        root = etree.fromstring(NOT_IN_XML.sub(" ", content.decode("utf-8-sig")).encode(), parser)
    except (etree.XMLSyntaxError, UnicodeDecodeError):
        return
    is_sheet = "/xl/" in where or "member xl/" in where
    found: list[str] = [str(one.text or "") for one in (*root.itersiblings(), *root.itersiblings(preceding=True))]
    row: list[str] = []
    for element in root.iter():
        name = etree.QName(element).localname if isinstance(element.tag, str) else ""
        if name == "row" and row:
            found.append(" | ".join(row))
            row = []
        if is_sheet and name in ("v", "t"):
            row.append(element.text or "")
        if name in _PARAGRAPHS and len(element):
            found.append("".join(str(part) for part in element.itertext()))
        found += [text for text in _texts_of(element, name, is_sheet) if text.strip()]
    found.append(" | ".join(row))
    for text in found:
        if text.strip():
            yield Piece(where, text)
    yield Piece(where, "\n".join(found), whole=True)


def _texts_of(element: etree._Element, name: str, is_sheet: bool) -> list[str]:
    values = [str(value) for value in element.attrib.values()] if name else []
    inside = element.text or ""
    if is_sheet:
        values = [value for value in values if not _CELL_ADDRESS.fullmatch(value)]
        if name.endswith(("Header", "Footer")):
            inside = _HEADER_CODE.sub(" ", inside)
    return [*values, inside, element.tail or ""]


def pieces_of_pdf(content: bytes, where: str) -> Iterator[Piece | Unreadable]:
    """Text of the pages and properties, also where its letters are placed one by one."""
    parts = [content, *(inflated(stream) for stream in _PDF_STREAM.findall(content))]
    if any(mark in part for part in parts for mark in _PDF_CLOSED):
        yield Unreadable(where, "a PDF whose letters cannot be read back")
    for part in parts:
        yield from strings(part, where)
        texts = [_pdf_text(*match) for match in _PDF_TEXT.findall(part)]
        for text in texts:
            yield Piece(where, text)
        yield Piece(where, "".join(texts), whole=True)
        yield Piece(where, " ".join(texts), whole=True)


def _pdf_text(literal: bytes, digits: bytes) -> str:
    plain = re.sub(rb"\\([0-7]{1,3})", lambda found: bytes([int(found[1], 8) % 256]), literal)
    plain = re.sub(rb"\\(.)", rb"\1", plain)
    if digits:
        packed = b"".join(digits.split())
        plain = bytes.fromhex(packed.decode() + "0" * (len(packed) % 2))
    encoding = "utf-16" if plain.startswith((b"\xfe\xff", b"\xff\xfe")) else "cp1252"
    return plain.decode(encoding, errors="replace")
