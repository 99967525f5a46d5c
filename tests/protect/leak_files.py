"""Files of every kind with a given text hidden somewhere in them."""

from __future__ import annotations

import gzip
import io
import json
import struct
import tarfile
import zipfile
import zlib
from collections.abc import Callable
from html import escape
from pathlib import Path

import openpyxl
import xlsxwriter
from openpyxl.comments import Comment

Plant = Callable[[str, Path], None]


def _write(name: str, content: Callable[[str], str], encoding: str = "utf-8") -> Plant:
    return lambda text, folder: (folder / name).write_bytes(content(text).encode(encoding)) and None


def _quoted(text: str) -> str:
    return '"' + text.replace('"', '""') + '"'


def _chunk(kind: bytes, part: bytes) -> bytes:
    return struct.pack(">I", len(part)) + kind + part + struct.pack(">I", zlib.crc32(kind + part))


def _png(text: str, kind: bytes) -> bytes:
    body = text.encode("utf-8")
    part = {
        b"tEXt": b"Comment\0" + body,
        b"zTXt": b"Comment\0\0" + zlib.compress(body),
        b"iTXt": b"Comment\0\1\0\0\0" + zlib.compress(body),
    }[kind]
    head = struct.pack(">IIBBBBB", 1, 1, 8, 0, 0, 0, 0)
    parts = ((b"IHDR", head), (kind, part), (b"IDAT", zlib.compress(b"\0\0")), (b"IEND", b""))
    return b"\x89PNG\r\n\x1a\n" + b"".join(_chunk(*one) for one in parts)


def _zip(folder: Path, members: dict[str, bytes], comment: bytes = b"", member_comment: bytes = b"") -> None:
    with zipfile.ZipFile(folder / "extra.zip", "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in members.items():
            member = zipfile.ZipInfo(name)
            member.comment = member_comment
            archive.writestr(member, content)
        archive.comment = comment


def _tar(text: str, folder: Path) -> None:
    content = text.encode()
    with tarfile.open(folder / "extra.tar.gz", "w:gz") as archive:
        member = tarfile.TarInfo("notes.txt")
        member.size = len(content)
        archive.addfile(member, io.BytesIO(content))


def _inner_zip(text: str) -> bytes:
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w") as archive:
        archive.writestr("notes.txt", text)
    return buffer.getvalue()


def _workbook(where: str) -> Plant:
    def plant(text: str, folder: Path) -> None:
        book = openpyxl.Workbook()
        sheet = book.active
        sheet["B2"] = "effort"
        if where == "cell":
            sheet["C3"] = text
        elif where == "hidden sheet":
            hidden = book.create_sheet("more")
            hidden["A1"] = text
            hidden.sheet_state = "veryHidden"
        elif where == "comment":
            sheet["A1"].comment = Comment(text, "x")
        elif where == "property":
            book.properties.description = text
        elif where == "header":
            sheet.oddHeader.center.text = text.replace("&", "+")
        elif where == "link":
            sheet["A1"].hyperlink = "https://example.org/?p=" + text.replace(" ", "%20")
        book.save(folder / "extra.xlsx")

    return plant


def _in_line(text: str, folder: Path) -> None:
    with xlsxwriter.Workbook(str(folder / "extra.xlsx"), {"constant_memory": True}) as book:
        book.add_worksheet().write_string(2, 2, text)


#: kind of file -> how a text is hidden in it
FILES: dict[str, Plant] = {
    "csv cell": _write("extra.csv", lambda text: f"a,b\n1,{_quoted(text)}\n"),
    "tab text": _write("extra.tsv", lambda text: f"a\tb\n1\t{text}\n"),
    "text": _write("NOTES.txt", lambda text: f"Some words.\nThe animal was {text} that night.\n"),
    "utf-16 text": _write("extra.txt", lambda text: f"\ufeffnotes: {text}\n", "utf-16-le"),
    "windows text": _write(
        "win.txt", lambda text: f"caf\xe9: {text.encode('cp1252', 'ignore').decode('cp1252')}\n", "cp1252"
    ),
    "json": _write("extra.json", lambda text: json.dumps({"a": [1, {"note": text}]})),
    "html": _write("page.html", lambda text: f"<!DOCTYPE html><html><body><p>{escape(text)}</p></body></html>"),
    "html attribute": _write(
        "page.html", lambda text: f'<!DOCTYPE html><html><body><i title="{escape(text)}">x</i></body></html>'
    ),
    "html comment": _write("page.html", lambda text: f"<!DOCTYPE html><html><!-- {text} --><body></body></html>"),
    "xml text": _write("extra.xml", lambda text: f'<?xml version="1.0"?><a><b>{escape(text)}</b></a>'),
    "xml attribute": _write("extra.xml", lambda text: f'<?xml version="1.0"?><a b="{escape(text)}"/>'),
    "xml comment": _write(
        "extra.xml", lambda text: f'<?xml version="1.0"?><a><!-- {text.replace("--", "-")} --></a>'
    ),
    "svg": _write(
        "map.svg", lambda text: f'<svg xmlns="http://www.w3.org/2000/svg"><text>{escape(text)}</text></svg>'
    ),
    "zip member": lambda text, folder: _zip(folder, {"event.txt": text.encode()}),
    "zip comment": lambda text, folder: _zip(folder, {"a.txt": b"x"}, comment=text.encode()),
    "zip member comment": lambda text, folder: _zip(folder, {"a.txt": b"x"}, member_comment=text.encode()),
    "zip in a zip": lambda text, folder: _zip(folder, {"inner.zip": _inner_zip(text)}),
    "gzip": lambda text, folder: (folder / "extra.csv.gz").write_bytes(gzip.compress(text.encode())) and None,
    "tar": _tar,
    "png text": lambda text, folder: (folder / "map.png").write_bytes(_png(text, b"tEXt")) and None,
    "png packed text": lambda text, folder: (folder / "map.png").write_bytes(_png(text, b"zTXt")) and None,
    "png foreign text": lambda text, folder: (folder / "map.png").write_bytes(_png(text, b"iTXt")) and None,
    "unknown bytes": lambda text, folder: (
        (folder / "extra.bin").write_bytes(b"\0\1\2\0" + text.encode() + b"\0\3") and None
    ),
    "workbook cell": _workbook("cell"),
    "workbook cell in line": _in_line,
    "workbook hidden sheet": _workbook("hidden sheet"),
    "workbook comment": _workbook("comment"),
    "workbook property": _workbook("property"),
    "workbook page header": _workbook("header"),
    "workbook link": _workbook("link"),
}
