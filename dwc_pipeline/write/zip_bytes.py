"""Zip files that depend on nothing but their content.

The format stores a time and the maker's system for every member; both are fixed here. The compressed bytes
come from the zlib of the Python that runs: with the same zlib they are the same on every machine and day.
"""

from __future__ import annotations

import zipfile
from collections.abc import Iterable, Mapping
from pathlib import Path

from dwc_pipeline.errors import OutputRefused
from dwc_pipeline.write.whole_file import whole_file

#: earliest time that the format knows
FIXED_TIME = (1980, 1, 1, 0, 0, 0)
#: an ordinary file that everybody may read (rw-r--r--), in the upper half as Unix has it
FILE_MODE = 0o100644 << 16
UNIX = 3
#: [bytes]
LARGEST_MEMBER = 2**31 - 1


def write_zip(path: Path, members: Mapping[str, Iterable[bytes]]) -> Path:
    """Write a zip file; the content of each member may come in pieces. Members are sorted by name.

    Raises OutputRefused for a member of more than 2 GiB: many readers know only the older form of the format.
    """
    with whole_file(path) as building, zipfile.ZipFile(building, "w") as archive:
        for name in sorted(members):
            size = 0
            with archive.open(_member(name), "w") as out:
                for piece in members[name]:
                    size += len(piece)
                    if size > LARGEST_MEMBER:
                        raise OutputRefused(f"{path.name}: {name} would be larger than 2 GiB. Write fewer seasons.")
                    out.write(piece)
    return path


def _member(name: str) -> zipfile.ZipInfo:
    member = zipfile.ZipInfo(name, date_time=FIXED_TIME)
    member.compress_type = zipfile.ZIP_DEFLATED
    member.external_attr = FILE_MODE
    member.create_system = UNIX
    return member
