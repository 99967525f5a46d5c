"""The Humboldt Extension clause by clause.

Sources: "Properties of hierarchical events in the Humboldt Extension" (2024-02-28), section 3;
"isLeastSpecificTargetCategoryQuantityInclusive guidelines" (2024-02-28), sections 3 and 4; "Taxon Completeness
Reported vocabulary" (2024-02-28); Humboldt Extension list of terms (2026-05-26). Values are those printed there; the
dates and names round them are invented.
"""

from __future__ import annotations

import datetime as dt

import pytest
from archive_in_memory import archive, value_rules_of
from hypothesis import given, settings
from hypothesis import strategies as st

from dwc_pipeline.check.hierarchy.event_tree import build_tree
from dwc_pipeline.check.hierarchy.quantity_rules import INCLUSIVE, quantity_records, taxon_totals
from dwc_pipeline.check.hierarchy.scope_rules import INFERENCE_TERMS, events_with_inferable_absence
from dwc_pipeline.check.humboldt_rules import check_humboldt
from dwc_pipeline.core.archive_contents import ArchiveContents

MOMENTS = st.datetimes(dt.datetime(2020, 1, 1), dt.datetime(2029, 12, 31))


def rules_of(contents: ArchiveContents) -> set[str]:
    return set(check_humboldt(contents)["rule"])


def interval(start: dt.datetime, end: dt.datetime, offset: int) -> str:
    """An interval to the minute whose moments in UTC are given, told by a clock `offset` hours from it."""
    zone = dt.timezone(dt.timedelta(hours=offset))
    ends = (moment.replace(second=0, microsecond=0, tzinfo=dt.UTC).astimezone(zone) for moment in (start, end))
    return "/".join(one.isoformat(timespec="minutes") for one in ends)


class TestSpatiotemporalCoverage:
    """3.2.1: the parent's place and time contain those of all its children."""

    @settings(max_examples=60, deadline=None)
    @given(moments=st.lists(MOMENTS, min_size=4, max_size=4), offsets=st.tuples(*[st.integers(-11, 13)] * 2))
    def test_a_child_within_its_parent_is_never_flagged_whatever_the_clocks(
        self, moments: list[dt.datetime], offsets: tuple[int, int]
    ) -> None:
        first, second, third, fourth = sorted(moments)
        events = [
            {"eventID": "p", "eventDate": interval(first, fourth, offsets[0])},
            {"eventID": "c", "parentEventID": "p", "eventDate": interval(second, third, offsets[1])},
        ]
        assert rules_of(archive(events)) == set()

    @settings(max_examples=60, deadline=None)
    @given(
        moments=st.lists(MOMENTS, min_size=3, max_size=3, unique=True), offsets=st.tuples(*[st.integers(-11, 13)] * 2)
    )
    def test_a_child_that_ends_after_its_parent_is_always_flagged(
        self, moments: list[dt.datetime], offsets: tuple[int, int]
    ) -> None:
        first, second, third = sorted(moments)
        third = max(third, second + dt.timedelta(minutes=2))
        events = [
            {"eventID": "p", "eventDate": interval(first, second, offsets[0])},
            {"eventID": "c", "parentEventID": "p", "eventDate": interval(first, third, offsets[1])},
        ]
        assert rules_of(archive(events)) == {"child-is-outside-its-parent-in-time"}

    def test_the_parent_begins_with_the_earliest_child_and_ends_with_the_latest(self) -> None:
        """The example in the text."""
        visits = ["2025-05-06T18:00/2025-05-07T07:00", "2025-05-07T07:00/2025-05-08T07:00"]
        children = [{"eventID": f"c{n}", "parentEventID": "p", "eventDate": date} for n, date in enumerate(visits)]
        parent = {"eventID": "p", "eventDate": "2025-05-06T18:00/2025-05-08T07:00"}
        assert rules_of(archive([parent, *children])) == set()
        shorter = parent | {"eventDate": "2025-05-06T18:00/2025-05-08T06:59"}
        assert rules_of(archive([shorter, *children])) == {"child-is-outside-its-parent-in-time"}


class TestApplicabilityAndNonDerivation:
    """3.2.2 and 3.2.3."""

    EVENTS = ({"eventID": "p"}, {"eventID": "a", "parentEventID": "p"}, {"eventID": "b", "parentEventID": "p"})

    def test_effort_on_each_event_that_had_it_is_right(self) -> None:
        effort = [{"eventID": event, "samplingEffortValue": value} for event, value in (("a", "10"), ("b", "12"))]
        assert rules_of(archive(self.EVENTS, humboldt=effort)) == set()

    def test_effort_summed_upward_is_hinted_at(self) -> None:
        effort = [{"eventID": e, "samplingEffortValue": v} for e, v in (("p", "22"), ("a", "10"), ("b", "12"))]
        assert rules_of(archive(self.EVENTS, humboldt=effort)) == {"value-looks-added-up"}

    def test_has_vouchers_on_a_parent_without_occurrences_of_its_own(self) -> None:
        """The example of 3.2.3."""
        animals = [{"eventID": "a", "occurrenceID": "1", "scientificName": "Spea bombifrons"}]
        rows = [{"eventID": "p", "hasVouchers": "true"}, {"eventID": "a", "hasVouchers": "true"}]
        assert rules_of(archive(self.EVENTS, animals, rows)) == {"value-speaks-of-records-that-are-elsewhere"}


class TestInference:
    """3.2.4: what absence is inferred from stands on the highest event and on all its children."""

    EVENTS = ({"eventID": "p"}, {"eventID": "c", "parentEventID": "p"}, {"eventID": "d", "parentEventID": "c"})

    @pytest.mark.parametrize("term", INFERENCE_TERMS)
    def test_each_such_term_has_to_reach_all_children(self, term: str) -> None:
        value = (
            "reportedComplete" if term == "taxonCompletenessReported" else "true" if term.startswith("is") else "x"
        )
        rows = [{"eventID": event, term: value} for event in ("p", "c", "d")]
        assert "scope-is-missing-on-a-child" not in rules_of(archive(self.EVENTS, humboldt=rows))
        assert "scope-is-missing-on-a-child" in rules_of(archive(self.EVENTS, humboldt=rows[:2]))
        assert "scope-is-missing-on-a-child" in rules_of(archive(self.EVENTS, humboldt=rows[:1]))

    def test_a_child_may_have_a_scope_that_its_parent_does_not_have(self) -> None:
        rows = [{"eventID": event, "targetTaxonomicScope": "Squamata"} for event in ("c", "d")]
        assert "scope-is-missing-on-a-child" not in rules_of(archive(self.EVENTS, humboldt=rows))

    def test_zeros_follow_only_from_a_scope_that_is_fully_reported(self) -> None:
        def count(**terms: str) -> int:
            tree = build_tree(archive([{"eventID": "a"}], humboldt=[{"eventID": "a", **terms}]))
            assert tree is not None
            return events_with_inferable_absence(tree)

        full = {"targetTaxonomicScope": "Squamata", "isTaxonomicScopeFullyReported": "true"}
        assert count(**full) == 1
        assert count(**full | {"isTaxonomicScopeFullyReported": "false"}) == 0
        assert count(**full | {"targetTaxonomicScope": ""}) == 0
        assert count(**full | {"taxonCompletenessReported": "reportedIncomplete"}) == 0


class TestImplementation:
    """3.3: identifiers and links."""

    def test_an_event_without_a_humboldt_row_is_allowed(self) -> None:
        assert (
            rules_of(archive([{"eventID": "a"}, {"eventID": "b"}], humboldt=[{"eventID": "a", "siteCount": "1"}]))
            == set()
        )

    def test_there_is_an_event_with_an_identifier_and_parents_exist(self) -> None:
        assert rules_of(archive([])) == {"archive-has-no-event"}
        assert rules_of(archive([{"eventID": ""}])) == {"event-has-no-identifier"}
        assert rules_of(archive([{"eventID": "a"}, {"eventID": "a"}])) == {"event-identifier-is-repeated"}
        assert rules_of(archive([{"eventID": "a", "parentEventID": "x"}])) == {"parent-event-is-not-there"}
        assert rules_of(archive([{"eventID": "a", "parentEventID": "a"}])) == {"event-is-its-own-ancestor"}


def quantities(*rows: tuple[str, str, str], answer: str) -> ArchiveContents:
    """An event with records (name, life stage, quantity)."""
    animals = [
        {"eventID": "a", "scientificName": name, "lifeStage": stage, "organismQuantity": quantity,
         "organismQuantityType": "individuals", "basisOfRecord": "HumanObservation"}
        for name, stage, quantity in rows
    ]  # fmt: skip
    return archive([{"eventID": "a"}], animals, [{"eventID": "a", INCLUSIVE: answer}])


class TestInclusiveQuantities:
    """Guidelines, section 3 (rules) and 4 (worked values)."""

    STAGES = (("Spea bombifrons", "adult", "1"), ("Spea bombifrons", "juvenile", "2"), ("Spea bombifrons", "", "4"))
    SUBSPECIES = (("Ambystoma tigrinum", "", "3"), ("Ambystoma tigrinum diaboli", "", "2"),
                  ("Ambystoma tigrinum melanostictum", "", "1"))  # fmt: skip

    @pytest.mark.parametrize(
        ("rows", "answer", "total"),
        [(STAGES, "true", 4), (STAGES, "false", 7), (SUBSPECIES, "true", 3), (SUBSPECIES, "false", 6)],
    )
    def test_totals_are_those_printed(
        self, rows: tuple[tuple[str, str, str], ...], answer: str, total: float
    ) -> None:
        contents = quantities(*rows, answer=answer)
        tree = build_tree(contents)
        assert tree is not None
        assert taxon_totals(quantity_records(tree), {0: answer == "true"}).tolist() == [total]
        assert rules_of(contents) == set()

    def test_subsets_need_one_total_and_fit_into_it(self) -> None:
        assert rules_of(quantities(*self.STAGES[:2], answer="true")) == {"total-of-a-taxon-is-missing"}
        assert rules_of(quantities(*self.STAGES, self.STAGES[2], answer="true")) == {"total-of-a-taxon-is-missing"}
        small = ("Spea bombifrons", "", "2")
        assert rules_of(quantities(*self.STAGES[:2], small, answer="true")) == {"subsets-exceed-their-total"}

    def test_subsets_of_two_axes_are_not_added_to_each_other(self) -> None:
        contents = quantities(*self.STAGES, ("Spea bombifrons diaboli", "", "4"), answer="true")
        assert rules_of(contents) == set()

    def test_the_answer_is_true_or_false_and_has_to_be_given_where_it_matters(self) -> None:
        assert value_rules_of({INCLUSIVE: "TRUE"}) == {"quantity-inclusive-is-not-true-or-false"}
        assert rules_of(quantities(*self.STAGES, answer="")) == {"quantity-inclusive-is-not-said"}

    def test_taxa_without_subsets_need_no_total(self) -> None:
        assert (
            rules_of(quantities(("Spea bombifrons", "", "2"), ("Anaxyrus debilis", "", "1"), answer="true")) == set()
        )


class TestControlledValues:
    """Taxon Completeness Reported vocabulary, sections 2 and 4; booleans: list of terms, section 2."""

    @pytest.mark.parametrize("word", ["notReported", "reportedComplete", "reportedIncomplete"])
    def test_the_three_strings_pass(self, word: str) -> None:
        row = {"taxonCompletenessReported": word, "taxonCompletenessProtocols": "species curve"}
        assert value_rules_of(row) == set()

    @pytest.mark.parametrize("word", ["reported incomplete", "Not Reported", "complete", "tcr001"])
    def test_labels_and_other_words_do_not(self, word: str) -> None:
        assert "taxon-completeness-is-another-word" in value_rules_of({"taxonCompletenessReported": word})

    @pytest.mark.parametrize("word", ["TRUE", "True", "yes", "1", "verdadero"])
    def test_booleans_have_two_spellings(self, word: str) -> None:
        assert value_rules_of({"isAbsenceReported": word}) == {"boolean-is-not-true-or-false"}
        assert value_rules_of({"isAbsenceReported": "true"}) == set()
