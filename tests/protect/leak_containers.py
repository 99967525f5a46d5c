# ruff: noqa: E501 - secrets and files are as long as they are
"""Files of every kind that hold a text somewhere: each maker takes a text, returns the name and bytes of a file."""

from __future__ import annotations

import bz2
import gzip
import html
import io
import json
import lzma
import struct
import tarfile
import zipfile
import zlib
from collections.abc import Callable, Iterator
from email.message import EmailMessage
from urllib.parse import quote

import openpyxl
import xlsxwriter
from odf.opendocument import OpenDocumentSpreadsheet
from odf.table import Table, TableCell, TableRow
from odf.text import P
from openpyxl.comments import Comment
from openpyxl.packaging.custom import StringProperty
from openpyxl.workbook.defined_name import DefinedName
from openpyxl.worksheet.datavalidation import DataValidation

Maker = Callable[[str], tuple[str, bytes]]


def saved(book: openpyxl.Workbook) -> bytes:
    stream = io.BytesIO()
    book.save(stream)
    return stream.getvalue()


def workbook(change: Callable[[openpyxl.Workbook, str], None]) -> Maker:
    def made(text: str) -> tuple[str, bytes]:
        book = openpyxl.Workbook()
        book.active.append(["species", "n"])
        change(book, text)
        return "table.xlsx", saved(book)

    return made


def _cell(book: openpyxl.Workbook, text: str) -> None:
    book.active["H90"] = text


def _hidden(book: openpyxl.Workbook, text: str) -> None:
    sheet = book.create_sheet("more")
    sheet.sheet_state = "veryHidden"
    sheet["B2"] = text


def _hidden_row(book: openpyxl.Workbook, text: str) -> None:
    book.active["A5"] = text
    book.active.row_dimensions[5].hidden = True
    book.active.column_dimensions["A"].hidden = True


def _comment(book: openpyxl.Workbook, text: str) -> None:
    book.active["A1"].comment = Comment(text, "x")


def _comment_author(book: openpyxl.Workbook, text: str) -> None:
    book.active["A1"].comment = Comment("x", text)


def _name(book: openpyxl.Workbook, text: str) -> None:
    book.defined_names["a"] = DefinedName("a", attr_text=json.dumps(text, ensure_ascii=False))


def _name_comment(book: openpyxl.Workbook, text: str) -> None:
    book.defined_names["a"] = DefinedName("a", attr_text="Sheet!$A$1", comment=text)


def _property(field: str) -> Callable[[openpyxl.Workbook, str], None]:
    def change(book: openpyxl.Workbook, text: str) -> None:
        setattr(book.properties, field, text)

    return change


def _custom(book: openpyxl.Workbook, text: str) -> None:
    book.custom_doc_props.append(StringProperty(name="Origin", value=text))


def _header(book: openpyxl.Workbook, text: str) -> None:
    book.active.oddHeader.center.text = text


def _footer(book: openpyxl.Workbook, text: str) -> None:
    book.active.evenFooter.left.text = text


def _validation(book: openpyxl.Workbook, text: str) -> None:
    rule = DataValidation(type="list", formula1='"a,b"', prompt=text[:250], showInputMessage=True)
    rule.add("A1")
    book.active.add_data_validation(rule)


def _link(book: openpyxl.Workbook, text: str) -> None:
    book.active["A1"].hyperlink = f"https://example.org/?x={quote(text)}"


def _tooltip(book: openpyxl.Workbook, text: str) -> None:
    book.active["A1"].hyperlink = "https://example.org/"
    book.active["A1"].hyperlink.tooltip = text


def _formula(book: openpyxl.Workbook, text: str) -> None:
    book.active["A1"] = f'=LEN("{text.replace(chr(34), chr(34) * 2)}")'


def _format(book: openpyxl.Workbook, text: str) -> None:
    book.active["A1"].number_format = f'0 "{text.replace(chr(34), "")}"'


def _style(book: openpyxl.Workbook, text: str) -> None:
    style = openpyxl.styles.NamedStyle(name=text[:200])
    book.add_named_style(style)
    book.active["A1"].style = style


def drawn(kind: str) -> Maker:
    def made(text: str) -> tuple[str, bytes]:
        stream = io.BytesIO()
        book = xlsxwriter.Workbook(stream)
        sheet = book.add_worksheet()
        if kind == "box":
            sheet.insert_textbox("B2", text)
        elif kind == "description":
            sheet.insert_textbox("B2", "x", {"description": text})
        elif kind == "rich":
            half = len(text) // 2
            sheet.write_rich_string("A1", text[:half], book.add_format({"bold": True}), text[half:], "!")
        elif kind == "table":
            sheet.add_table("A1:B3", {"columns": [{"header": text}, {"header": "n"}]})
        else:
            chart = book.add_chart({"type": "line"})
            chart.add_series({"values": "=Sheet1!$A$1:$A$3"})
            chart.set_title({"name": text})
            sheet.insert_chart("B2", chart)
        book.close()
        return "drawn.xlsx", stream.getvalue()

    return made


def sheet_name(text: str) -> tuple[str, bytes]:
    book = openpyxl.Workbook()
    book.active.title = "".join(sign for sign in text if sign not in "[]:*?/\\'")[:31]
    return "names.xlsx", saved(book)


def spreadsheet(text: str) -> tuple[str, bytes]:
    document = OpenDocumentSpreadsheet()
    table, row, cell = Table(name="data"), TableRow(), TableCell()
    cell.addElement(P(text=text))
    row.addElement(cell)
    table.addElement(row)
    document.spreadsheet.addElement(table)
    stream = io.BytesIO()
    document.write(stream)
    return "table.ods", stream.getvalue()


def letter(text: str) -> tuple[str, bytes]:
    """A text document in which the words are cut into runs."""
    third = max(1, len(text) // 3)
    runs = [text[at : at + third] for at in range(0, len(text), third)]
    body = "".join(f'<w:r><w:t xml:space="preserve">{html.escape(run)}</w:t></w:r>' for run in runs)
    xml = (
        '<?xml version="1.0" encoding="UTF-8"?><w:document xmlns:w="http://example.org/w"><w:body><w:p>'
        f"{body}</w:p></w:body></w:document>"
    )
    return "letter.docx", zipped({"word/document.xml": xml.encode()})


def zipped(members: dict[str, bytes], comment: bytes = b"") -> bytes:
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in members.items():
            archive.writestr(name, content)
        archive.comment = comment
    return stream.getvalue()


def as_name(text: str) -> str:
    """The text as the name of a file."""
    return "".join("_" if sign in '/\\:*?"<>|\n\t\0' else sign for sign in text)[:180]


def tarred(name: str, content: bytes, mode: str = "w", **fields: str) -> bytes:
    stream = io.BytesIO()
    with tarfile.open(fileobj=stream, mode=mode) as archive:  # type: ignore[call-overload]
        member = tarfile.TarInfo(name)
        member.size = len(content)
        for field, value in fields.items():
            setattr(member, field, value)
        archive.addfile(member, io.BytesIO(content))
    return stream.getvalue()


def zip_member_comment(text: str) -> tuple[str, bytes]:
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w") as archive:
        member = zipfile.ZipInfo("a.txt")
        member.comment = text.encode()
        archive.writestr(member, b"nothing")
    return "pack.zip", stream.getvalue()


def zip_extra(text: str) -> tuple[str, bytes]:
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w") as archive:
        member = zipfile.ZipInfo("a.txt")
        member.extra = struct.pack("<HH", 0x6375, len(text.encode())) + text.encode()
        archive.writestr(member, b"nothing")
    return "pack.zip", stream.getvalue()


def png(kind: bytes, part: bytes) -> bytes:
    def chunk(name: bytes, body: bytes) -> bytes:
        return struct.pack(">I", len(body)) + name + body + struct.pack(">I", zlib.crc32(name + body))

    head = chunk(b"IHDR", struct.pack(">IIBBBBB", 1, 1, 8, 0, 0, 0, 0))
    return (
        b"\x89PNG\r\n\x1a\n" + head + chunk(kind, part) + chunk(b"IDAT", zlib.compress(b"\0\0")) + chunk(b"IEND", b"")
    )


def gps_exif(order: str = "<") -> bytes:
    """Exif data that point to a position directory."""
    mark = b"II*\0" if order == "<" else b"MM\0*"
    return mark + struct.pack(order + "IHHHII", 8, 1, 0x8825, 4, 1, 26) + bytes(20)


def described_exif(text: str) -> bytes:
    body = text.encode() + b"\0"
    return b"II*\0" + struct.pack("<IHHHIII", 8, 1, 0x010E, 2, len(body), 26, 0) + body


def jpeg(marker: int, part: bytes, after: bytes = b"") -> bytes:
    segment = struct.pack(">BBH", 0xFF, marker, len(part) + 2) + part
    return b"\xff\xd8" + segment + b"\xff\xda\x00\x02" + bytes(9) + b"\xff\xd9" + after


def webp(chunk: bytes, part: bytes) -> bytes:
    body = b"WEBP" + chunk + struct.pack("<I", len(part)) + part + b"\0" * (len(part) % 2)
    return b"RIFF" + struct.pack("<I", len(body)) + body


def gif(text: str) -> tuple[str, bytes]:
    comment = text.encode()[:255]
    return "a.gif", b"GIF89a\x01\0\x01\0\0\0\0!\xfe" + bytes([len(comment)]) + comment + b"\0;"


def pdf(content: bytes, info: bytes = b"") -> bytes:
    packed = zlib.compress(content)
    return (
        b"%PDF-1.4\n1 0 obj << /Length " + str(len(packed)).encode() + b" /Filter /FlateDecode >>\nstream\n" + packed
        + b"\nendstream\nendobj\n2 0 obj << " + info + b" >> endobj\n%%EOF"
    )  # fmt: skip


def pdf_pieces(text: str) -> tuple[str, bytes]:
    """A page whose letters are placed in pieces."""
    third = max(1, len(text) // 3)
    safe = text.replace("\\", "\\\\").replace("(", "\\(").replace(")", "\\)").encode("cp1252", "replace")
    parts = b" -12 ".join(b"(" + safe[at : at + third] + b")" for at in range(0, len(safe), third))
    return "page.pdf", pdf(b"BT [" + parts + b"] TJ ET")


def message(kind: str) -> Maker:
    def made(text: str) -> tuple[str, bytes]:
        mail = EmailMessage()
        mail["Subject"] = " ".join(text.split()) if kind == "subject" else "season"
        mail["From"] = "a@post.invalid"
        if kind == "attachment":
            mail.set_content("see the table")
            mail.add_attachment(text.encode(), maintype="application", subtype="octet-stream", filename="a.bin")
        else:
            encoding = "base64" if kind == "base64" else "quoted-printable"
            mail.set_content(text + "\nä" if kind != "subject" else "x", cte=encoding)
        return "mail.eml", mail.as_bytes()

    return made


def web_page(body: str) -> Maker:
    def made(text: str) -> tuple[str, bytes]:
        escaped = html.escape(text)
        filled = body.replace("%ATTR%", escaped).replace("%JS%", json.dumps(text)).replace("%TEXT%", escaped)
        if "%SPLIT%" in filled:
            half = len(text) // 2
            filled = filled.replace("%SPLIT%", f"{html.escape(text[:half])}<b>{html.escape(text[half:])}</b>")
        return "page.html", f"<!DOCTYPE html><html><head><title>x</title></head><body>{filled}</body></html>".encode()

    return made


def xml(template: str, name: str = "a.xml") -> Maker:
    def made(text: str) -> tuple[str, bytes]:
        escaped = html.escape(text).replace("\n", "&#10;")
        return name, f"<?xml version='1.0' encoding='UTF-8'?>\n{template.replace('%', escaped)}".encode()

    return made


def plain(name: str, template: str = "%", encoding: str = "utf-8") -> Maker:
    return lambda text: (name, template.replace("%", text).encode(encoding, "replace"))


MAKERS: dict[str, Maker] = {
    "text": plain("a.txt"),
    "text with a mark": plain("a.txt", encoding="utf-8-sig"),
    "text of two bytes": plain("a.txt", encoding="utf-16"),
    "text of two bytes without a mark": plain("a.txt", "remarks: %, and the rest", "utf-16-le"),
    "text of two bytes, high first": plain("a.txt", "remarks: %, and the rest", "utf-16-be"),
    "text of four bytes": plain("a.txt", encoding="utf-32"),
    "old text": plain("a.txt", "é %", "cp1252"),
    "text with a zero byte": plain("a.txt", "x\0y %"),
    "markdown": plain("README.md", "# Data\n\n| a | b |\n|---|---|\n| 1 | % |\n"),
    "cell of a csv": lambda text: ("a.csv", f'id,remarks,n\n1,"{text.replace(chr(34), chr(34) * 2)}",3\n'.encode()),
    "heading of a csv": lambda text: ("a.csv", f'id,"{text.replace(chr(34), chr(34) * 2)}",n\n1,x,3\n'.encode()),
    "json": lambda text: ("a.json", json.dumps({"a": [1, {"note": text}]}, ensure_ascii=False).encode()),
    "json in escapes": lambda text: ("a.json", json.dumps({"note": text}).encode()),
    "key of json": lambda text: ("a.json", json.dumps({text: 1}).encode()),
    "toml": plain("a.toml", '# %\na = "b"\n'),
    "xml text": xml("<a><b>%</b></a>"),
    "xml attribute": xml('<a b="%"/>'),
    "xml comment": lambda text: ("a.xml", f"<?xml version='1.0'?><a><!-- {text.replace('--', '- -')} --></a>".encode()),
    "xml instruction": lambda text: ("a.xml", f"<?xml version='1.0'?><a><?note {text.replace('?>', '')}?></a>".encode()),
    "cdata": lambda text: ("a.xml", f"<?xml version='1.0'?><a><![CDATA[{text}]]></a>".encode()),
    "eml": xml('<eml:eml xmlns:eml="https://eml.ecoinformatics.org/eml-2.2.0"><dataset><para>%</para></dataset></eml:eml>', "eml.xml"),
    "meta": xml('<archive xmlns="http://rs.tdwg.org/dwc/text/"><core><field default="%"/></core></archive>', "meta.xml"),
    "gpx": xml('<gpx xmlns="http://www.topografix.com/GPX/1/1"><wpt lat="1" lon="2"><name>%</name></wpt></gpx>', "a.gpx"),
    "kml": xml('<kml xmlns="http://www.opengis.net/kml/2.2"><Placemark><description>%</description></Placemark></kml>', "a.kml"),
    "svg": xml('<svg xmlns="http://www.w3.org/2000/svg"><title>%</title></svg>', "a.svg"),
    "svg letters": xml('<svg xmlns="http://www.w3.org/2000/svg"><text><tspan>%</tspan></text></svg>', "a.svg"),
    "bare markup": plain("a.xml", "<a><b>%</b></a>"),
    "web text": web_page("<p>%TEXT%</p>"),
    "web text, cut": web_page("<p>at %SPLIT% we went</p>"),
    "web attribute": web_page('<img alt="%ATTR%">'),
    "web data": web_page('<div data-note="%ATTR%"></div>'),
    "web comment": web_page("<!-- %TEXT% -->"),
    "web script": web_page("<script>const place = %JS%;</script>"),
    "web style": web_page("<style>a::after{content:%JS%}</style>"),
    "web field": web_page('<input type="hidden" value="%ATTR%">'),
    "web svg": web_page('<svg><text x="1">%TEXT%</text></svg>'),
    "part of a web page": plain("part.html", "<div><p>%</p></div>"),
    "workbook cell": workbook(_cell),
    "hidden sheet": workbook(_hidden),
    "hidden row": workbook(_hidden_row),
    "workbook comment": workbook(_comment),
    "author of a comment": workbook(_comment_author),
    "defined name": workbook(_name),
    "remark of a defined name": workbook(_name_comment),
    **{f"workbook {field}": workbook(_property(field)) for field in ("title", "creator", "keywords", "description", "lastModifiedBy", "subject", "category")},
    "custom property": workbook(_custom),
    "page header": workbook(_header),
    "page footer": workbook(_footer),
    "prompt of a cell": workbook(_validation),
    "link": workbook(_link),
    "words of a link": workbook(_tooltip),
    "formula": workbook(_formula),
    "number format": workbook(_format),
    "name of a style": workbook(_style),
    "sheet name": sheet_name,
    **{f"workbook {kind}": drawn(kind) for kind in ("box", "description", "rich", "table", "chart")},
    "open spreadsheet": spreadsheet,
    "text document": letter,
    "zip": lambda text: ("a.zip", zipped({"a.txt": text.encode()})),
    "zip in zip": lambda text: ("a.zip", zipped({"b.zip": zipped({"a.csv": text.encode()})})),
    "zip comment": lambda text: ("a.zip", zipped({"a.txt": b"x"}, text.encode())),
    "zip folder": lambda text: ("a.zip", zipped({f"{as_name(text)}/": b""})),
    "zip member": lambda text: ("a.zip", zipped({f"{as_name(text)}.txt": b"x"})),
    "zip member comment": zip_member_comment,
    "zip extra": zip_extra,
    "before a zip": lambda text: ("a.zip", text.encode() + b"\n" + zipped({"a.txt": b"x"})),
    "file name": lambda text: (f"{as_name(text)}.txt", b"x"),
    "folder name": lambda text: (f"{as_name(text)}/a.txt", b"x"),
    "gzip": lambda text: ("a.gz", gzip.compress(text.encode())),
    "bzip2": lambda text: ("a.bz2", bz2.compress(text.encode())),
    "xz": lambda text: ("a.xz", lzma.compress(text.encode())),
    "zlib": lambda text: ("a.z", zlib.compress(text.encode())),
    "tar": lambda text: ("a.tar", tarred("a.txt", text.encode())),
    "tar.gz": lambda text: ("a.tar.gz", tarred("a.txt", text.encode(), "w:gz")),
    "tar.xz": lambda text: ("a.tar.xz", tarred("a.txt", text.encode(), "w:xz")),
    "tar member": lambda text: ("a.tar.gz", tarred(f"{as_name(text)}.txt", b"x", "w:gz")),
    "two gzips": lambda text: ("a.gz", gzip.compress(b"nothing\n") + gzip.compress(text.encode())),
    "png text": lambda text: ("a.png", png(b"tEXt", b"Comment\0" + text.encode())),
    "png packed text": lambda text: ("a.png", png(b"zTXt", b"Comment\0\0" + zlib.compress(text.encode()))),
    "png unicode text": lambda text: ("a.png", png(b"iTXt", b"C\0\1\0\0\0" + zlib.compress(text.encode()))),
    "png exif": lambda text: ("a.png", png(b"eXIf", described_exif(text))),
    "after a png": lambda text: ("a.png", png(b"tEXt", b"a\0b") + text.encode()),
    "jpeg comment": lambda text: ("a.jpg", jpeg(0xFE, text.encode())),
    "jpeg exif": lambda text: ("a.jpg", jpeg(0xE1, b"Exif\0\0" + described_exif(text))),
    "jpeg xmp": lambda text: ("a.jpg", jpeg(0xE1, b"http://ns.adobe.com/xap/1.0/\0<x:a>" + html.escape(text).encode() + b"</x:a>")),
    "jpeg iptc": lambda text: ("a.jpg", jpeg(0xED, b"Photoshop 3.0\0" + text.encode())),
    "after a jpeg": lambda text: ("a.jpg", jpeg(0xFE, b"x", text.encode())),
    "gif": gif,
    "webp": lambda text: ("a.webp", webp(b"XMP ", text.encode())),
    "pdf": lambda text: ("a.pdf", pdf(b"BT (" + text.replace("(", "").replace(")", "").encode("cp1252", "replace") + b") Tj ET")),
    "pdf pieces": pdf_pieces,
    "pdf hex": lambda text: ("a.pdf", pdf(b"BT <" + text.encode("cp1252", "replace").hex().encode() + b"> Tj ET")),
    "pdf title": lambda text: ("a.pdf", pdf(b"", b"/Title <FEFF" + text.encode("utf-16-be").hex().upper().encode() + b">")),
    "mail subject": message("subject"),
    "mail body": message("quoted-printable"),
    "packed mail body": message("base64"),
    "attachment": message("attachment"),
    "unknown bytes": lambda text: ("a.dat", bytes(range(256)) + text.encode() + b"\0\1"),
}  # fmt: skip
#: what no text can be planted in: position data of pictures, and files that cannot be looked into
LEAKS_IN_THEMSELVES: dict[str, tuple[str, bytes]] = {
    "place of a png": ("a.png", png(b"eXIf", gps_exif())),
    "place of a jpeg": ("a.jpg", jpeg(0xE1, b"Exif\0\0" + gps_exif())),
    "place of a jpeg, high first": ("a.jpg", jpeg(0xE1, b"Exif\0\0" + gps_exif(">"))),
    "place of a webp": ("a.webp", webp(b"EXIF", gps_exif())),
    "place of a tiff": ("a.tif", gps_exif()),
    "database": ("a.db", b"SQLite format 3\0" + bytes(84) + struct.pack(">dd", 36.7512345, -99.6348765)),
    "old workbook": ("a.xls", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(600)),
    "shapes": ("a.shp", struct.pack(">I", 9994) + bytes(96) + struct.pack("<dd", -99.6348765, 36.7512345)),
    "seven-zip": ("a.7z", b"7z\xbc\xaf\x27\x1c" + bytes(60)),
    "damaged zip": ("a.zip", zipped({"a.txt": b"nothing"})[:-30]),
}  # fmt: skip


def planted(text: str) -> Iterator[tuple[str, str, bytes]]:
    """Every kind of file with the text in it."""
    for kind, make in MAKERS.items():
        yield (kind, *make(text))
