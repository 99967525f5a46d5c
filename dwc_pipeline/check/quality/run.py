"""Run the published data-quality tests on a record or a table."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from datetime import UTC, date, datetime

import numpy as np
import pandas as pd
from numpy.typing import NDArray

# Importing a module joins its functions to their tests.
from dwc_pipeline.check.quality import (  # noqa: F401
    country_tests,
    event_amendments,
    event_validations,
    geodetic_datum,
    location_validations,
    network_tests,
    not_empty_tests,
    taxon_tests,
    verbatim_coordinates,
    verbatim_length,
    vocabulary_tests,
)
from dwc_pipeline.check.quality.emptiness import is_empty
from dwc_pipeline.check.quality.record import Record
from dwc_pipeline.check.quality.registry import QualityTest, answer_of, find_test, quality_tests
from dwc_pipeline.check.quality.response import Response, ResponseStatus, external, internal, measured

COLUMNS = ("test", "guid", "status", "result", "comment", "qualifier")
#: Measures that count the answers of other tests -> type of those tests, statuses, result ("" for any).
COUNTS = {
    "MEASURE_VALIDATIONTESTS_COMPLIANT": ("Validation", (ResponseStatus.RUN_HAS_RESULT,), "COMPLIANT"),
    "MEASURE_VALIDATIONTESTS_NOTCOMPLIANT": ("Validation", (ResponseStatus.RUN_HAS_RESULT,), "NOT_COMPLIANT"),
    "MEASURE_VALIDATIONTESTS_PREREQUISITESNOTMET": (
        "Validation",
        (ResponseStatus.INTERNAL_PREREQUISITES_NOT_MET, ResponseStatus.EXTERNAL_PREREQUISITES_NOT_MET),
        "",
    ),
    "MEASURE_AMENDMENTS_PROPOSED": ("Amendment", (ResponseStatus.AMENDED, ResponseStatus.FILLED_IN), ""),
}
AUTHORITY = "bdqval:sourceAuthority"
#: Parameters that name an authority.
AUTHORITIES = (AUTHORITY, "bdqval:taxonIsMarine", "bdqval:geospatialLand", "bdqval:annotationSystem")
#: Tests that ask for the authority before anything else: official rows 549 and 280. All others look at their own
#: prerequisites first (Implementer's Guide 2.3; row 344).
AUTHORITY_FIRST = frozenset(
    {"AMENDMENT_COUNTRYCODE_FROM_COORDINATES", "VALIDATION_COORDINATESTERRESTRIALMARINE_CONSISTENT"}
)


class UnsupportedParameter(ValueError):
    """A parameter has a value that the test cannot work with here; the default does."""


def quality_response(
    test: str,
    record: Mapping[str, object],
    parameters: Mapping[str, str] | None = None,
    *,
    today: date | None = None,
) -> Response:
    """The answer of one published test on one record.

    test: label (current or former) or identifier. record: terms with or without prefix ("dwc:day" or "day") -> value;
    a term that is missing, None or nan is Empty. parameters: other than the defaults, by name ("bdqval:..."); they
    may also stand in the record under that name.
    today: what "current year" and "current day" mean; give it for a repeatable answer, else the day in UTC is taken.
    Raises KeyError for an unknown test, UnsupportedParameter for a value that cannot be worked with.
    """
    found = find_test(test)
    in_record = {
        name: value for name, value in record.items() if name.startswith("bdqval:") and isinstance(value, str)
    }
    given = {name: value for name, value in {**in_record, **(parameters or {})}.items() if not is_empty(value)}
    day = today or datetime.now(UTC).date()
    if found.label in COUNTS:
        return _count(found, record, given, day)
    return _run(found, _texts(record, found.terms), given, day)


def answerer(test: QualityTest, terms: Sequence[str], today: date) -> Callable[[tuple[str, ...]], Response]:
    """What answers the test, with its default parameters, on the texts of some of its terms: for many records."""
    answer, parameters, names = answer_of(test.label), test.parameters, tuple(terms)
    return lambda texts: answer(Record(dict(zip(names, texts, strict=True)), parameters, today))


def quality_responses(
    frame: pd.DataFrame,
    tests: Iterable[str] | None = None,
    parameters: Mapping[str, str] | None = None,
    *,
    today: date | None = None,
) -> pd.DataFrame:
    """The answers of several tests (all, if none are named) on every row of a table, in the order of the tests.

    frame: columns are terms with or without prefix. Returns one row per test and row of the frame, under the label
    of that row: test, guid, status, result, comment, qualifier. Each test runs once per distinct input.
    """
    day = today or datetime.now(UTC).date()
    given = {name: value for name, value in (parameters or {}).items() if not is_empty(value)}
    wanted = [find_test(name) for name in tests] if tests is not None else list(quality_tests().values())
    answered = _Answered(frame, given, day)
    parts = [answered.table(test) for test in wanted]
    columns = {
        name: pd.Categorical.from_codes(*_joined([part[name] for part in parts])) for name in COLUMNS if parts
    } or {name: [] for name in COLUMNS}
    labels = np.tile(np.arange(len(frame)), len(parts))
    return pd.DataFrame(columns, index=frame.index.take(labels), columns=list(COLUMNS))


Coded = tuple[NDArray[np.intp], list[str]]


class _Answered:
    """Answers on a table, kept so that the measures can count them: codes per row, answers per code."""

    def __init__(self, frame: pd.DataFrame, parameters: Mapping[str, str], today: date) -> None:
        self._frame, self._parameters, self._today = frame, parameters, today
        self._kept: dict[str, tuple[NDArray[np.intp], list[Response]]] = {}

    def table(self, test: QualityTest) -> dict[str, Coded]:
        codes, responses = self.responses(test)
        alike = np.zeros(len(codes), dtype=np.intp)
        return {
            "test": (alike, [test.label]),
            "guid": (alike, [test.guid]),
            "status": (codes, [str(response.status) for response in responses]),
            "result": (codes, [response.result for response in responses]),
            "comment": (codes, [response.comment for response in responses]),
            "qualifier": (codes, [response.qualifier for response in responses]),
        }

    def responses(self, test: QualityTest) -> tuple[NDArray[np.intp], list[Response]]:
        if test.label not in self._kept:
            self._kept[test.label] = self._counted(test) if test.label in COUNTS else self._answered(test)
        return self._kept[test.label]

    def _answered(self, test: QualityTest) -> tuple[NDArray[np.intp], list[Response]]:
        columns = {term: name for term in test.terms for name in (_bare(term), term) if name in self._frame.columns}
        inputs = self._frame[list(dict.fromkeys(columns.values()))].astype(object)
        inputs = inputs.where(inputs.notna(), "")
        if inputs.columns.empty or inputs.empty:
            return np.zeros(len(self._frame), dtype=np.intp), [_run(test, {}, self._parameters, self._today)]
        codes = inputs.groupby(list(inputs.columns), sort=False, dropna=False).ngroup().to_numpy()
        distinct = inputs.drop_duplicates().to_dict("records")
        return codes, [
            _run(
                test,
                _texts({str(name): value for name, value in row.items()}, test.terms),
                self._parameters,
                self._today,
            )
            for row in distinct
        ]

    def _counted(self, test: QualityTest) -> tuple[NDArray[np.intp], list[Response]]:
        total = np.zeros(len(self._frame), dtype=np.int64)
        for counted in _counted_tests(test.label):
            codes, responses = self.responses(counted)
            hits = np.array([_counts(test.label, response) for response in responses], dtype=np.int64)
            total += hits[codes]
        numbers, codes = np.unique(total, return_inverse=True)
        return codes, [_counted_response(test.label, int(number)) for number in numbers]


def _joined(parts: list[Coded]) -> Coded:
    """Several coded columns one below the other, each distinct text once."""
    texts: dict[str, int] = {}
    pieces = []
    for codes, values in parts:
        new = np.array([texts.setdefault(value, len(texts)) for value in values], dtype=np.intp)
        pieces.append(new[codes])
    return np.concatenate(pieces), list(texts)


def _run(test: QualityTest, terms: Mapping[str, str], given: Mapping[str, str], today: date) -> Response:
    """Answer one test; an authority that is named but out of reach is reported when the test comes to need it."""
    other = {name: value for name, value in given.items() if value != test.parameters.get(name)}
    relevant = {name: value for name, value in other.items() if name in test.parameters or name in AUTHORITIES}
    unreachable = tuple(name for name in AUTHORITIES if "://" in relevant.get(name, ""))
    if unreachable:
        return _without_authority(test, Record(terms, test.parameters, today), relevant, unreachable[0])
    if test.needs != "network" and AUTHORITY in relevant:
        raise UnsupportedParameter(f"{test.label} knows no {AUTHORITY}={relevant[AUTHORITY]!r}; leave it out")
    response = answer_of(test.label)(Record(terms, {**test.parameters, **relevant}, today))
    if not relevant:
        return response
    told = ", ".join(f"{name}={value}" for name, value in sorted(relevant.items()))
    return Response(response.status, response.result, f"{response.comment} [{told}]", response.qualifier)


def _without_authority(test: QualityTest, record: Record, given: Mapping[str, str], name: str) -> Response:
    if test.label not in AUTHORITY_FIRST:
        own = answer_of(test.label)(record)
        if own.status is ResponseStatus.INTERNAL_PREREQUISITES_NOT_MET:
            return own
    return external(f"{name}={given[name]} cannot be reached: nothing here uses the network")


def _count(test: QualityTest, record: Mapping[str, object], given: Mapping[str, str], today: date) -> Response:
    responses = [_run(counted, _texts(record, counted.terms), given, today) for counted in _counted_tests(test.label)]
    return _counted_response(test.label, sum(_counts(test.label, response) for response in responses))


def _counted_tests(measure: str) -> list[QualityTest]:
    return [test for test in quality_tests().values() if test.type == COUNTS[measure][0]]


def _counts(measure: str, response: Response) -> bool:
    _, statuses, result = COUNTS[measure]
    return response.status in statuses and result in ("", response.result)


def _counted_response(measure: str, number: int) -> Response:
    kind = COUNTS[measure][0]
    if not _counted_tests(measure):
        return internal(f"no test of type {kind} was run")
    return measured(number, f"of {len(_counted_tests(measure))} tests of type {kind}")


def _texts(record: Mapping[str, object], terms: Iterable[str]) -> dict[str, str]:
    """The terms of a record as text, those that are missing left out."""
    texts = {}
    for term in terms:
        value = record.get(term, record.get(_bare(term)))
        if value is not None and not (pd.api.types.is_scalar(value) and pd.isna(value)):
            texts[term] = str(value)
    return texts


def _bare(term: str) -> str:
    return term.partition(":")[2]
