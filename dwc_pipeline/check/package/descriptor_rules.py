"""How a data package is packed, and what its descriptor says of the whole.

Source: Darwin Core Data Package guide (2026-05-26), sections 3 and 3.1 (normative).
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import datetime

from dwc_pipeline.check.archive_fault import Check, Fault, flags
from dwc_pipeline.core.package_contents import DESCRIPTOR, EML_FILE, PackageContents
from dwc_pipeline.core.rule import Rule, Severity

GUIDE = "Darwin Core Data Package guide (2026-05-26)"
PROFILE = re.compile(r"https?://rs\.tdwg\.org/dwc-dp/(\d+(\.\d+)*\w*)/[\w.-]*profile[\w.-]*\.json")


@flags(
    Rule(
        id="package-is-packed-otherwise",
        severity=Severity.ERROR,
        what="A whole data package is packed as a zip file.",
        why="A package may be packed with gzip only; a zip is taken for an archive with a metafile.",
        remedy="Pack the folder as a tar file with gzip, under a name that ends in .gz, or leave it as a folder.",
        source=f"{GUIDE} 3 (compressed with gzip only)",
    )
)
def packing_check(package: PackageContents) -> Iterator[Fault]:
    """Packages are packed with gzip."""
    if package.container == "zip":
        yield Fault("the package is a zip file.", "")


@flags(
    Rule(
        id="package-descriptor-is-not-at-the-root",
        severity=Severity.ERROR,
        what="After unpacking, datapackage.json does not lie at the root, or it or eml.xml is packed on its own.",
        why="Readers look for both at the root.",
        remedy="Pack the files without the folder round them, and neither description on its own.",
        source=f"{GUIDE} 3 (MUST lie at the root and not be compressed)",
    )
)
def root_check(package: PackageContents) -> Iterator[Fault]:
    """Descriptions lie at the root, unpacked."""
    if package.inner:
        yield Fault(f"{DESCRIPTOR} lies in the folder {package.inner}.", DESCRIPTOR, value=package.inner)
    for file in package.files:
        if file in (f"{DESCRIPTOR}.gz", f"{EML_FILE}.gz"):
            yield Fault(f"{file} is packed on its own.", file)


@flags(
    Rule(
        id="package-profile-is-not-published",
        severity=Severity.ERROR,
        what="The profile of the package is missing, or no address of a profile on rs.tdwg.org with its version.",
        why="Readers take the package for some other kind of data package.",
        remedy="Write http://rs.tdwg.org/dwc-dp/1.0/dwc-dp-profile.json, with the version that you wrote for.",
        source=f"{GUIDE} 3.1 (MUST)",
    )
)
def profile_check(package: PackageContents) -> Iterator[Fault]:
    """The profile is a published one."""
    profile = package.descriptor.get("profile")
    if package.descriptor and not (isinstance(profile, str) and PROFILE.fullmatch(profile)):
        yield Fault(f"profile is {profile!r}.", DESCRIPTOR, value=str(profile or ""), field="profile")


@flags(
    Rule(
        id="package-lacks-an-identity",
        severity=Severity.NOTE,
        what="The package has no id, no created or no version.",
        why="Two copies of one data set cannot be told apart, nor the newer from the older.",
        remedy="Give an id, by preference a DOI, the time of creation and the version of the data set.",
        source=f"{GUIDE} 3.1 (SHOULD)",
    )
)
def identity_check(package: PackageContents) -> Iterator[Fault]:
    """The package says what it is."""
    missing = [name for name in ("id", "created", "version") if not package.descriptor.get(name)]
    if package.descriptor and missing:
        yield Fault(f"there is no {', '.join(missing)}.", DESCRIPTOR, field=missing[0])


@flags(
    Rule(
        id="package-identity-is-malformed",
        severity=Severity.ERROR,
        what="id or version is no text, or created is no time such as 2025-09-08T09:52:03-03:00.",
        why="Programs that sort data sets by it fail.",
        remedy="Correct it by the Data Package specification.",
        source=f"{GUIDE} 3.1 (if there, MUST be by the specification); times: RFC 3339",
    )
)
def identity_form_check(package: PackageContents) -> Iterator[Fault]:
    """What the package says of itself has the form."""
    for name in ("id", "version"):
        value = package.descriptor.get(name)
        if value is not None and not isinstance(value, str):
            yield Fault(f"{name} is {value!r}, which is no text.", DESCRIPTOR, value=str(value), field=name)
    created = package.descriptor.get("created")
    if created is not None and not _is_time(created):
        yield Fault(f"created is {created!r}, which is no time.", DESCRIPTOR, value=str(created), field="created")


def _is_time(value: object) -> bool:
    if not isinstance(value, str) or "T" not in value.upper():
        return False
    try:
        return datetime.fromisoformat(value).tzinfo is not None
    except ValueError:
        return False


@flags(
    Rule(
        id="package-has-no-table",
        severity=Severity.ERROR,
        what="No resource of the package is one of the tables of the Darwin Core Data Package.",
        why="There is no data in it that a reader knows.",
        remedy="Name at least one resource as one of the reserved tables, such as event or occurrence.",
        source=f"{GUIDE} 3 no. 3 and 3.1 (MUST)",
    )
)
def table_check(package: PackageContents) -> Iterator[Fault]:
    """There is a table."""
    if package.descriptor and not package.tables:
        names = ", ".join(str(one.get("name")) for one in package.resources) or "none"
        yield Fault(f"the resources are: {names}.", DESCRIPTOR, field="resources")


@flags(
    Rule(
        id="package-follows-a-later-specification",
        severity=Severity.NOTE,
        what="The descriptor refers to another version of the Data Package specification than version 1.",
        why="Version 1 is recommended; readers of it may not know what is new.",
        remedy="Write the descriptor by version 1.",
        source=f"{GUIDE} 3.1 (RECOMMENDED)",
    )
)
def specification_check(package: PackageContents) -> Iterator[Fault]:
    """The specification is version 1, which has no $schema."""
    schema = package.descriptor.get("$schema")
    if schema is not None and "/1" not in str(schema):
        yield Fault(f"$schema is {schema!r}.", DESCRIPTOR, value=str(schema), field="$schema")


DESCRIPTOR_CHECKS: tuple[Check[PackageContents], ...] = (
    packing_check, root_check, profile_check, identity_check, identity_form_check, table_check, specification_check,
)  # fmt: skip
