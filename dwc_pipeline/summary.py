"""What a run tells on the terminal."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pandas as pd

if TYPE_CHECKING:
    from dwc_pipeline.pipeline import Season

#: findings shown on the terminal, one line a cause; the rest is in findings.csv or --json.
MOST_SHOWN = 40


def summary_of(season: Season) -> dict[str, Any]:
    """Counts of a season."""
    tables, counted = season.records.tables, season.findings[season.findings["waived"] == ""]
    event, effort = tables["event"], tables["effort"]
    checks = event.loc[event["eventType"] == "trapCheck", "eventID"]
    in_doubt = effort["eventID"].isin(effort.loc[effort["trap_nights"].isna(), "eventID"])
    known = effort[~in_doubt]
    severities = counted.drop_duplicates("finding")["severity"].value_counts()
    accounts = season.accounts.drop(columns=["file", "sheet"]).sum()
    return {
        "title": season.survey.survey.title,
        "rows_read": int(accounts["read"]),
        "rows_placed": int(accounts["placed in a table"]),
        "rows_used": int(accounts["used for effort, places or headers"]),
        "rows_set_aside": int(accounts["set aside"]),
        "events": len(event),
        "trap_checks": len(checks),
        "trap_nights": round(float(known["trap_nights"].sum()), 2),
        "trap_checks_of_unknown_effort": int((~checks.isin(known["eventID"])).sum()),
        "occurrences": len(tables["occurrence"]),
        "changes": len(season.records.changes),
        "errors": int(severities.get("error", 0)),
        "warnings": int(severities.get("warning", 0)),
        "notes": int(severities.get("note", 0)),
        "open_questions": len(season.questions),
    }


def summary_lines(summary: dict[str, Any]) -> list[str]:
    """The counts in sentences."""
    told = summary
    unknown = told["trap_checks_of_unknown_effort"]
    placed = f"{told['rows_placed']} placed + {told['rows_used']} used for effort, places or headers"
    effort = f"{told['trap_checks']} of them trap checks; {told['trap_nights']:g} trap-nights"
    faults = f"{told['errors']} errors, {told['warnings']} warnings, {told['notes']} notes"
    return [
        told["title"],
        f"  {told['rows_read']} rows read = {placed} + {told['rows_set_aside']} set aside",
        f"  {told['events']} events, {effort}" + (f"; effort not known for {unknown} checks" if unknown else ""),
        f"  {told['occurrences']} occurrences; {told['changes']} changes recorded",
        f"  {faults}; {told['open_questions']} open questions",
        f"  written to {told['output']}: read report.html first",
    ]


def finding_lines(findings: pd.DataFrame) -> list[str]:
    """Findings one line a cause, errors first, with the place of the first cell."""
    open_now = findings[findings["waived"] == ""]
    grouped = open_now.groupby("finding", sort=False)
    lines = []
    for _, block in grouped:
        first = block.iloc[0]
        place = ", ".join(
            part
            for part in (
                first["file"],
                f'sheet "{first["sheet"]}"' if first["sheet"] else "",
                f"cell {first['column']}{first['row']}" if first["row"] else "",
            )
            if part
        )
        more = f" (and {len(block) - 1} more cell{'s' if len(block) > 2 else ''})" if len(block) > 1 else ""
        value = f" {first['value']!r}:" if first["value"] else ""
        lines.append(f"{first['severity']}: {place}{more}:{value} {first['message']} [{first['rule']}]")
    hidden = len(lines) - MOST_SHOWN
    shown = lines[:MOST_SHOWN]
    if hidden > 0:
        shown.append(f"... and {hidden} more; all of them with --json")
    return shown or ["nothing found"]
