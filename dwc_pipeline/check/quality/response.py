"""What a data-quality test answers: status, result and comment, with the words of the draft standard.

Source: draft Biodiversity Data Quality standard (for review, 2026-06-03), Concepts and Use 3.1-3.4 and 4.1.
An amendment is a proposal for a person; nothing here is ever applied to a record.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum


class ResponseStatus(StrEnum):
    """How the run of a test ended."""

    EXTERNAL_PREREQUISITES_NOT_MET = "EXTERNAL_PREREQUISITES_NOT_MET"
    INTERNAL_PREREQUISITES_NOT_MET = "INTERNAL_PREREQUISITES_NOT_MET"
    RUN_HAS_RESULT = "RUN_HAS_RESULT"
    AMENDED = "AMENDED"
    FILLED_IN = "FILLED_IN"
    NOT_AMENDED = "NOT_AMENDED"


@dataclass(frozen=True)
class Response:
    """One answer of one test on one record.

    status: see `ResponseStatus`. result: text; "" for the prerequisite statuses and NOT_AMENDED; for an amendment
    the proposed terms as JSON, such as {"dwc:month": "10"}; for a measure one number.
    comment: why, for a person; never empty. qualifier: further detail where there is some, such as TRANSPOSED.
    """

    status: ResponseStatus
    result: str
    comment: str
    qualifier: str = ""

    @property
    def proposals(self) -> dict[str, str]:
        """The proposed terms of an amendment; empty for every other answer."""
        if self.status not in (ResponseStatus.AMENDED, ResponseStatus.FILLED_IN):
            return {}
        proposed: dict[str, str] = json.loads(self.result)
        return proposed


def compliant(comment: str) -> Response:
    """The data meet the criterion of a validation."""
    return Response(ResponseStatus.RUN_HAS_RESULT, "COMPLIANT", comment)


def not_compliant(comment: str) -> Response:
    """The data do not meet the criterion of a validation."""
    return Response(ResponseStatus.RUN_HAS_RESULT, "NOT_COMPLIANT", comment)


def verdict(holds: bool, if_so: str, if_not: str) -> Response:
    """A validation's answer by its criterion, with the comment for either case."""
    return compliant(if_so) if holds else not_compliant(if_not)


def potential_issue(comment: str) -> Response:
    """A person has to look."""
    return Response(ResponseStatus.RUN_HAS_RESULT, "POTENTIAL_ISSUE", comment)


def not_issue(comment: str) -> Response:
    """No potential problem was found, which is not the same as good."""
    return Response(ResponseStatus.RUN_HAS_RESULT, "NOT_ISSUE", comment)


def measured(number: int, comment: str) -> Response:
    """The one number of a measure."""
    return Response(ResponseStatus.RUN_HAS_RESULT, str(number), comment)


def internal(comment: str) -> Response:
    """The values do not let the test run; the same data always give this."""
    return Response(ResponseStatus.INTERNAL_PREREQUISITES_NOT_MET, "", comment)


def external(comment: str) -> Response:
    """An authority is not at hand; the same data may get an answer elsewhere."""
    return Response(ResponseStatus.EXTERNAL_PREREQUISITES_NOT_MET, "", comment)


def amended(proposed: Mapping[str, str], comment: str, qualifier: str = "") -> Response:
    """A change of values that were not empty is proposed."""
    return Response(ResponseStatus.AMENDED, _as_json(proposed), comment, qualifier)


def filled_in(proposed: Mapping[str, str], comment: str) -> Response:
    """Values for empty terms are proposed."""
    return Response(ResponseStatus.FILLED_IN, _as_json(proposed), comment)


def not_amended(comment: str) -> Response:
    """Nothing is proposed."""
    return Response(ResponseStatus.NOT_AMENDED, "", comment)


def _as_json(proposed: Mapping[str, str]) -> str:
    return json.dumps(dict(proposed), ensure_ascii=False, separators=(",", ":"))
