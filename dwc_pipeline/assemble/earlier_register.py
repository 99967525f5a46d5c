"""The register of identifiers, made again from an earlier archive or from the tables of an earlier output.

An archive holds all that the register says of events, animals and marked animals that were in use when it was
written, but not how their cells were typed. It does not hold retired identifiers: of those only the ones below the
highest of their stem stay known.
"""

from __future__ import annotations

from dataclasses import replace

import pandas as pd

from dwc_pipeline.assemble import events as tree
from dwc_pipeline.assemble.identifiers import REGISTER_FIELDS, described, in_order, taken_apart
from dwc_pipeline.assemble.measurements import ANIMAL_FACTS
from dwc_pipeline.assemble.occurrences import FEATURES, MEASURED_FEATURES, animal_stem
from dwc_pipeline.assemble.organisms import marked_animals, marks_of, organism_features
from dwc_pipeline.core.archive_contents import ArchiveContents, ArchivePart
from dwc_pipeline.core.columns import mapped, text_column
from dwc_pipeline.core.findings import as_findings, finding_at
from dwc_pipeline.core.records import Records
from dwc_pipeline.core.rule import Rule, Severity, declare
from dwc_pipeline.terms.schema import column_names, row_type, term_iri

REGISTER_REBUILT = declare(
    Rule(
        "register-of-identifiers-rebuilt",
        Severity.NOTE,
        "There was no register of identifiers; it was made again from an earlier archive.",
        "Animals and events keep their identifiers. What was withdrawn before that archive is not known any more.",
        "Keep the new register beside the survey file.",
    )
)
EARLIER_ARCHIVE_DIFFERS = declare(
    Rule(
        "earlier-archive-of-another-survey",
        Severity.ERROR,
        "No identifier of the earlier archive begins with the code of this survey.",
        "Nothing can be known again by it: all animals would get new identifiers.",
        "Name an archive of this survey as earlier_archive in the survey file, or correct the code.",
    )
)


#: Marks of an animal: column of the standard rows -> type of measurement.
MARKS = {"mark": MEASURED_FEATURES["mark"], "second_mark": ANIMAL_FACTS["second_mark"]}


def with_earlier_register(records: Records, earlier: ArchiveContents, code: str) -> Records:
    """The records with the register of an earlier archive in their reference, and a finding that tells so.

    code: the survey's code, with which its identifiers begin.
    """
    register = register_from_archive(earlier)
    own = register[register["identifier"].str.startswith(f"{code}-")]
    rule = REGISTER_REBUILT if len(own) else EARLIER_ARCHIVE_DIFFERS
    told = finding_at(
        rule,
        file=earlier.name,
        cause=earlier.name,
        message=f"{len(own)} of {len(register)} identifiers of {earlier.name} were taken up",
    )
    reference = replace(records.reference, identifiers=own.reset_index(drop=True))
    return records.with_(findings=[as_findings([told])], reference=reference)


def register_from_archive(contents: ArchiveContents) -> pd.DataFrame:
    """The register (REGISTER_FIELDS) as it stood when the archive was written, retired lines left out."""
    parts = contents.by_row_type()
    tables = {name: as_table(name, parts.get(row_type(name))) for name in ("event", "occurrence", "measurement")}
    return register_from_tables(tables["event"], tables["occurrence"], tables["measurement"])


def as_table(name: str, part: ArchivePart | None) -> pd.DataFrame:
    """The rows of a part with columns named as in schemas/, the event's identifier among them."""
    if part is None:
        return pd.DataFrame(columns=["eventID"], dtype=object)
    table = pd.DataFrame(
        {
            column: part.text(iri)
            for column in column_names(name)
            if (iri := term_iri(column, name)) and iri in part.rows
        },
        index=part.rows.index,
    )
    if len(part.ids):
        table["eventID"] = part.ids
    return table.astype(object)


def register_from_tables(event: pd.DataFrame, occurrence: pd.DataFrame, measurement: pd.DataFrame) -> pd.DataFrame:
    """The register as it stood when the tables were written, retired lines left out."""
    lines = [event_lines(event), occurrence_lines(occurrence, measurement), organism_lines(occurrence, measurement)]
    return in_order(pd.concat(lines, ignore_index=True))


def event_lines(event: pd.DataFrame) -> pd.DataFrame:
    """Register lines of events; the survey and its season have fixed identifiers and need none."""
    own = event[~text_column(event, "eventType").isin([tree.SURVEY, tree.SEASON])]
    stem, _ = taken_apart(own["eventID"])
    return register_lines("event", own["eventID"], stem, described(tree.event_features(own)))


def occurrence_lines(occurrence: pd.DataFrame, measurement: pd.DataFrame) -> pd.DataFrame:
    """Register lines of animals."""
    if "occurrenceID" not in occurrence:
        return pd.DataFrame(columns=list(REGISTER_FIELDS))
    animals = occurrence.set_index("occurrenceID", drop=False)
    said = {
        name: measured(measurement, MEASURED_FEATURES[name], animals.index)
        if name in MEASURED_FEATURES
        else text_column(animals, name)
        for name in FEATURES
    }
    trap = measured(measurement, "trap number", animals.index)
    stem = animal_stem(animals["eventID"], trap)
    return register_lines("occurrence", animals["occurrenceID"], stem, described(pd.DataFrame(said)))


def organism_lines(occurrence: pd.DataFrame, measurement: pd.DataFrame) -> pd.DataFrame:
    """Register lines of marked animals."""
    if "organismID" not in occurrence or "occurrenceID" not in occurrence:
        return pd.DataFrame(columns=list(REGISTER_FIELDS))
    every = occurrence.set_index("occurrenceID", drop=False)
    known = every[text_column(every, "organismID") != ""]
    typed = {name: measured(measurement, kind, every.index) for name, kind in MARKS.items()}
    mark = marks_of(every, pd.DataFrame(typed))
    animals = marked_animals(known, mark.reindex(known.index))
    identifier = known["organismID"].reindex(animals["captures"].str.split().str[0]).set_axis(animals.index)
    code = identifier.str.replace(r"-animal-.*", "", regex=True)
    stem = code + "-animal-" + animals["species"].str.replace(" ", "-")
    return register_lines("organism", identifier, stem, organism_features(animals))


def measured(measurement: pd.DataFrame, kind: str, occurrences: pd.Index) -> pd.Series:
    """The value of one measurementType for each occurrence; "" where there is none."""
    own = measurement[text_column(measurement, "measurementType") == kind]
    values = pd.Series(text_column(own, "measurementValue").to_numpy(), index=text_column(own, "occurrenceID"))
    values = values[~values.index.duplicated()]
    return mapped(pd.Series(occurrences, index=occurrences), values)


def register_lines(kind: str, identifier: pd.Series, stem: pd.Series, features: pd.Series) -> pd.DataFrame:
    """Lines in use, from columns of one index."""
    return pd.DataFrame(
        {"kind": kind, "identifier": identifier, "stem": stem, "features": features, "retired": ""}
    ).reset_index(drop=True)
