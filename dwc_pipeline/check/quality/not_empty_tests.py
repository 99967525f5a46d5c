"""Tests that ask only whether something is there: the NOTEMPTY family, answered from the list of terms acted upon."""

from __future__ import annotations

from collections.abc import Callable

from dwc_pipeline.check.quality.record import Record, list_terms
from dwc_pipeline.check.quality.registry import QualityTest, implements, quality_tests
from dwc_pipeline.check.quality.response import Response, not_issue, potential_issue, verdict

#: The country code of the high seas, where no country is to be named.
HIGH_SEAS_CODE, HIGH_SEAS_NAME = "XZ", "High seas"


def _something_is_there(test: QualityTest) -> Callable[[Record], Response]:
    def answer(record: Record) -> Response:
        filled = record.filled_among(*test.acted_upon)
        if filled:
            return verdict(True, f"{list_terms(filled[:3])} holds a value", "")
        missing = test.acted_upon[0] if len(test.acted_upon) == 1 else "every term that could tell"
        return verdict(False, "", f"{missing} is empty")

    return answer


def _nobody_has_to_look(test: QualityTest) -> Callable[[Record], Response]:
    (term,) = test.acted_upon

    def answer(record: Record) -> Response:
        if record.is_empty(term):
            return not_issue(f"{term} is empty")
        return potential_issue(f"{term} holds a value: consider whether it limits the use of the record")

    return answer


@implements("VALIDATION_COUNTRY_NOTEMPTY")
def validation_country_notempty(record: Record) -> Response:
    """Is a country given, or is the place on the high seas by its code?"""
    if record.text("dwc:countryCode") == HIGH_SEAS_CODE and (
        record.is_empty("dwc:country") or record.text("dwc:country") == HIGH_SEAS_NAME
    ):
        return verdict(True, "dwc:countryCode says high seas, where no country is to be named", "")
    return verdict(not record.is_empty("dwc:country"), "dwc:country holds a value", "dwc:country is empty")


for _test in quality_tests().values():
    if not _test.label.endswith("_NOTEMPTY") or _test.label == "VALIDATION_COUNTRY_NOTEMPTY" or not _test.acted_upon:
        continue
    if _test.type == "Issue":
        implements(_test.label)(_nobody_has_to_look(_test))
    else:
        implements(_test.label)(_something_is_there(_test))
