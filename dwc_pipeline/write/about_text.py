"""What the README of a package says of the data set: version, licence, citation, changes, whom to ask."""

from __future__ import annotations

import textwrap

from dwc_pipeline.core.metadata import CONTACT, CREATOR, DatasetMetadata

WIDTH = 100


def heading(title: str) -> list[str]:
    """A title with a line under it."""
    return [title, "=" * min(len(title), WIDTH), ""]


def about_lines(about: DatasetMetadata) -> list[str]:
    """The lines; what is not known is left out, but for the licence, without which nobody may use the data."""
    asked = about.with_role(CONTACT) or about.with_role(CREATOR) or about.people
    names = dict.fromkeys(party.name or party.organisation for party in asked)
    told = [
        f"Version: {about.version}" if about.version else "",
        f"Published: {about.pub_date}" if about.pub_date else "",
        f"Licence: {about.licence.name} ({about.licence.url})" if about.licence else "Licence: not stated",
        f"Rights holder: {about.rights_holder}" if about.rights_holder else "",
        f"Questions to: {', '.join(names)}" if names else "",
        f"Cite as: {about.cited}" if about.cited else "",
        about.changes,
    ]
    return [line for text in told if text for line in textwrap.wrap(text, WIDTH, subsequent_indent="  ")]
