"""The public copy: an archive with generalised places, and a README that says what was done to it."""

from __future__ import annotations

import textwrap
from pathlib import Path

from dwc_pipeline.core.public_copy import PublicCopy
from dwc_pipeline.terms.detection import DetectionWords
from dwc_pipeline.write.about_text import WIDTH, about_lines, heading
from dwc_pipeline.write.archive import write_archive
from dwc_pipeline.write.whole_file import whole_file

README = "README.txt"


def write_public_copy(copy: PublicCopy, folder: Path, words: DetectionWords) -> list[Path]:
    """Write archive and README into a folder that exists; the paths written.

    Raises OutputRefused if the archive cannot be made.
    """
    archive = write_archive(copy.tables, copy.metadata, folder / f"{copy.name}.zip", words)
    with whole_file(folder / README) as building:
        building.write_text(readme_text(copy), encoding="utf-8", newline="\n")
    return [archive, folder / README]


def readme_text(copy: PublicCopy) -> str:
    """The README: title, licence, files, and every statement about what was generalised or left out."""
    about = copy.metadata
    counts = [f"{len(copy.tables[name])} {name} rows" for name in ("event", "occurrence", "measurement", "humboldt")]
    parts = heading(about.title)
    if about.abstract:
        parts += [*textwrap.wrap(about.abstract, WIDTH), ""]
    parts += [
        *about_lines(about),
        "",
        f"{copy.name}.zip: Darwin Core archive, {', '.join(counts)}.",
        "",
        "What was generalised or left out",
        "--------------------------------",
    ]
    for statement in copy.statements:
        parts += textwrap.wrap(statement, WIDTH, initial_indent="* ", subsequent_indent="  ")
    return "\n".join(parts).rstrip() + "\n"
