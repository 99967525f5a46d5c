"""The findings of two runs side by side: what is new, what is gone, what is still there."""

from __future__ import annotations

import json
from pathlib import Path

import pandas as pd

from dwc_pipeline.errors import UnreadableFile

NEW, GONE, STILL_THERE = "new", "gone", "still there"
SINCE_COLUMNS = (
    "what", "finding", "severity", "rule", "file", "sheet", "row", "column", "value", "message", "cells_before",
    "cells_now", "waived",
)  # fmt: skip
TOLD = ("severity", "rule", "file", "sheet", "row", "column", "value", "message", "waived")
FINDINGS_FILE = "findings.csv"
#: findings shown of each kind; the rest with --json
MOST_SHOWN = 25


def read_findings(path: Path) -> pd.DataFrame:
    """The findings that an earlier run wrote or printed: an output folder, findings.csv, or the output of --json.

    Raises UnreadableFile, with what to do, if there are none in it.
    """
    path = path / FINDINGS_FILE if path.is_dir() else path
    if not path.is_file():
        raise UnreadableFile(
            f"{path}: there is no such file. Name a findings.csv, an output folder, or saved --json."
        )
    try:
        text = path.read_text(encoding="utf-8-sig")
        if text.lstrip().startswith(("{", "[")):
            told = json.loads(text)
            found = pd.DataFrame(told["findings"] if isinstance(told, dict) else told)
        else:
            found = pd.read_csv(path, dtype=object, keep_default_na=False, encoding="utf-8-sig")
    except (ValueError, KeyError, UnicodeDecodeError) as error:
        raise UnreadableFile(f"{path} holds no findings that can be read ({error}).") from error
    if found.empty and not len(found.columns):
        return pd.DataFrame(columns=["finding", *TOLD])
    if "finding" not in found:
        raise UnreadableFile(f"{path} has no column `finding`: it is not a list of findings.")
    return found


def findings_since(old: pd.DataFrame, new: pd.DataFrame) -> pd.DataFrame:
    """One line a finding (SINCE_COLUMNS), new ones first. A finding that was waived meanwhile is gone, with why."""
    before, now = _once(old), _once(new)
    open_before, open_now = before[before["waived"] == ""], now[now["waived"] == ""]
    appeared = open_now[~open_now.index.isin(open_before.index)].assign(what=NEW)
    gone = open_before[~open_before.index.isin(open_now.index)].assign(what=GONE)
    reasons = now["waived"].reindex(gone.index).fillna("")
    gone = gone.assign(waived=reasons)
    stay = open_now[open_now.index.isin(open_before.index)].assign(what=STILL_THERE)
    made = pd.concat([appeared, gone, stay])
    made["cells_before"] = open_before["cells"].reindex(made.index).fillna(0).astype(int)
    made["cells_now"] = open_now["cells"].reindex(made.index).fillna(0).astype(int)
    return made.rename_axis("finding").reset_index()[list(SINCE_COLUMNS)]


def _once(findings: pd.DataFrame) -> pd.DataFrame:
    """One row a finding with the number of its cells, by identifier."""
    named = findings.rename(columns={} if "sheet" in findings else {"file": "sheet", "line": "row"})
    columns = {name: named.get(name, "") for name in TOLD}
    frame = pd.DataFrame({"finding": named["finding"], **columns}, index=named.index)
    cells = frame.groupby("finding").size()
    once = frame.drop_duplicates("finding").set_index("finding")
    return once.assign(cells=cells.reindex(once.index))


def since_lines(changes: pd.DataFrame, old: Path) -> list[str]:
    """The comparison in sentences."""
    count = changes["what"].value_counts()
    counts = ", ".join(f"{int(count.get(what, 0))} {what}" for what in (NEW, GONE, STILL_THERE))
    lines = [f"Since {old}: {counts}"]
    for what in (NEW, GONE):
        block = changes[changes["what"] == what]
        lines += [f"  {what}: {_told(row)}" for row in block.head(MOST_SHOWN).to_dict("records")]
        if len(block) > MOST_SHOWN:
            lines.append(f"  ... and {len(block) - MOST_SHOWN} more {what}; all of them with --json")
    stay = changes[changes["what"] == STILL_THERE]
    differ = stay[stay["cells_before"] != stay["cells_now"]]
    lines += [
        f"  still there, {row['cells_before']} cells before and {row['cells_now']} now: {_told(row)}"
        for row in differ.head(MOST_SHOWN).to_dict("records")
    ]
    return lines


def _told(row: dict[object, object]) -> str:
    place = " ".join(str(row[name]) for name in ("file", "sheet") if row[name])
    cell = f" {row['column']}{row['row']}" if str(row["row"]) not in ("", "0") else ""
    waived = f" (waived: {row['waived']})" if row["waived"] else ""
    return f"{row['severity']}: {place}{cell}: {row['message']} [{row['rule']}]{waived}"
