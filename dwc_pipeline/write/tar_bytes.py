"""Tar files packed with gzip that depend on nothing but their content: no clock, no user, members in order.

The compressed bytes come from the zlib of the Python that runs, as those of zip files do.
Source: POSIX ustar form of the tar file; RFC 1952 for gzip, whose time and name stay empty.
"""

from __future__ import annotations

import gzip
import io
import tarfile
from collections.abc import Mapping
from pathlib import Path

from dwc_pipeline.write.whole_file import whole_file

#: 1980-01-01 in UTC, as in our zip files [s since 1970]
FIXED_TIME = 315_532_800
FILE_MODE = 0o644


def write_tar_gz(path: Path, members: Mapping[str, bytes]) -> Path:
    """Write the file, whole or not at all; members are sorted by name and lie at the root."""
    with (
        whole_file(path) as building,
        building.open("wb") as out,
        gzip.GzipFile(filename="", mode="wb", fileobj=out, mtime=0) as packed,
        tarfile.open(fileobj=packed, mode="w", format=tarfile.USTAR_FORMAT) as tar,
    ):
        for name in sorted(members):
            member = tarfile.TarInfo(name)
            member.size, member.mtime, member.mode = len(members[name]), FIXED_TIME, FILE_MODE
            tar.addfile(member, io.BytesIO(members[name]))
    return path
