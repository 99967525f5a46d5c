"""What a check of an archive tells on the terminal, and the same as JSON."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pandas as pd

from dwc_pipeline.check.archive_report import ArchiveReport
from dwc_pipeline.check.quality_tally import by_dimension
from dwc_pipeline.terms.darwin_core import short_name

#: findings shown on the terminal, one line a fault in a file; all of them are in --json
MOST_SHOWN = 60
LONGEST_LINE = 400
SEVERITIES = ("error", "warning", "note")
FINDING_KEYS = ("severity", "rule", "sheet", "row", "column", "field", "value", "message", "remedy", "finding")


def report_lines(report: ArchiveReport) -> list[str]:
    """The report in sentences: parts, verdicts, findings by file, answers by dimension."""
    lines = [f"{report.name}: {report.kind}"]
    lines += [f"  {part.file}: {part.rows:,} rows of {short_name(part.kind)}" for part in report.parts]
    lines += ["", *(f"{use.question} {str(use.answer).capitalize()}: {use.reason}" for use in report.uses)]
    lines += ["", _counted(report.findings), *_by_file(report)]
    if len(report.quality):
        lines += ["", *_quality_lines(report.quality)]
    return lines


def _counted(findings: pd.DataFrame) -> str:
    counts = findings.drop_duplicates("finding")["severity"].value_counts()
    told = ", ".join(f"{int(counts.get(one, 0))} {one}{'' if counts.get(one, 0) == 1 else 's'}" for one in SEVERITIES)
    return f"Findings: {told}" + ("; dwc-pipeline explain RULE tells what to do" if len(findings) else "")


def _by_file(report: ArchiveReport) -> Iterator[str]:
    """One line a fault, under the file in which it first stands."""
    findings = report.findings
    places = findings["finding"].value_counts()
    first = findings.drop_duplicates("finding")
    shown = first.head(MOST_SHOWN)
    for file, block in shown.groupby("sheet", sort=False):
        yield f"{file or report.name}"
        for row in block.to_dict("records"):
            more = int(places[row["finding"]]) - 1
            also = f" (and {more} more places)" if more else ""
            text = str(row["message"]).removeprefix(report.name).lstrip(":, ").removeprefix(f"{file}, ")
            text = text if len(text) <= LONGEST_LINE else text[: LONGEST_LINE - 1] + "…"
            yield f"  {row['severity']}: {text}{also} [{row['rule']}]"
    if len(first) > MOST_SHOWN:
        yield f"... and {len(first) - MOST_SHOWN} more; all of them with --json"


def _quality_lines(quality: pd.DataFrame) -> Iterator[str]:
    yield "Answers of the draft data-quality tests (2026-06-03, not ratified) on all rows, by dimension:"
    told = by_dimension(quality)
    for row in told[told.drop(columns="dimension").any(axis=1)].to_dict("records"):
        more = [
            f"{row[kind]:,} {words}"
            for kind, words in (("issues", "potential issues"), ("proposals", "changes proposed, none made"))
            if row[kind]
        ]
        asked = (
            f"{row['compliant']:,} compliant, {row['not_compliant']:,} not, {row['not_run']:,} could not be judged"
        )
        yield f"  {row['dimension']}: {'; '.join([asked, *more])}"
    worst = quality[quality["result"] == "NOT_COMPLIANT"].groupby("test")["rows"].sum().nlargest(5)
    if len(worst):
        yield "  most rows not compliant: " + ", ".join(f"{test} ({rows:,})" for test, rows in worst.items())
    yield "  every single answer: --responses FILE.csv"


def report_as_data(report: ArchiveReport) -> dict[str, Any]:
    """The whole report for a script. quality: the different answers of each test with rows and first place."""
    findings = report.findings.reindex(columns=list(FINDING_KEYS)).rename(columns={"sheet": "file", "row": "line"})
    return {
        "name": report.name,
        "kind": report.kind,
        "parts": [vars(part) for part in report.parts],
        "uses": [{**vars(use), "answer": str(use.answer)} for use in report.uses],
        "findings": findings.to_dict("records"),
        "dimensions": by_dimension(report.quality).to_dict("records") if len(report.quality) else [],
        "quality": report.quality.to_dict("records"),
    }
