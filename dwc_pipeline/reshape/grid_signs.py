"""What the signs of a grid mean on one sheet: by the survey file, by an answer, else asked once for each sign."""

from __future__ import annotations

from collections.abc import Mapping

import pandas as pd

from dwc_pipeline.core.answers import Answers, question_id
from dwc_pipeline.core.findings import as_findings, finding_at
from dwc_pipeline.core.raw import RawTable
from dwc_pipeline.core.rule import Rule, Severity, declare
from dwc_pipeline.reshape.cell_words import ASK, MEANINGS, READINGS, cell_meaning
from dwc_pipeline.reshape.header_match import HeaderMatch
from dwc_pipeline.settings import Table
from dwc_pipeline.terms.vocabulary import fold_word

GRID_SIGN_UNEXPLAINED = declare(
    Rule(
        "grid-sign-without-a-meaning",
        Severity.ERROR,
        "A grid cell holds a sign, or is blank, and nobody has said what that means on this sheet.",
        "Whether the trap was checked and empty, closed or not looked at decides the effort and every rate.",
        "Say it in [table.habits] of the survey file (dash, zero, blank), or in [table.words.action] for any other "
        "sign; or answer the question. Until then the cells count for nothing.",
        asks=True,
    )
)


def sign_meanings(
    table: RawTable,
    entry: Table,
    answers: Answers,
    cells: pd.DataFrame,
    shown: Mapping[str, str],
    match: HeaderMatch,
) -> tuple[dict[str, str], pd.DataFrame, frozenset[str]]:
    """The meaning of each distinct cell text, the questions about signs without one, the questions answered.

    cells: row, column, cell (text). shown: how a question calls a sign, where not by itself. One question a sheet
    and sign, at its first cell.
    """
    words = {fold_word(sign): meaning for sign, meaning in entry.words.get("action", {}).items()}
    meanings = {text: cell_meaning(text, entry.habits, words) for text in cells["cell"].unique()}
    signs: dict[str, list[str]] = {}
    for text, meaning in meanings.items():
        if meaning == ASK:
            signs.setdefault(fold_word(text) if text.strip() else "", []).append(text)
    findings, answered = [], set()
    for sign, texts in signs.items():
        own = cells[cells["cell"].isin(texts)]
        cause = f"{table.file}\x1f{table.sheet}\x1f{table.number}\x1f{sign}"
        question = question_id(GRID_SIGN_UNEXPLAINED.id, cause)
        answer = answers.get(question)
        said = MEANINGS.get(answer.text.casefold(), "") if answer else ""
        if said:
            answered.add(question)
            meanings |= dict.fromkeys(texts, said)
            continue
        name = shown.get(sign) or (f'"{texts[0].strip()}"' if sign else "a blank cell")
        more = f'; the answer "{answer.text}" is none of the meanings offered' if answer else ""
        first = own.iloc[0]
        findings.append(
            finding_at(
                GRID_SIGN_UNEXPLAINED,
                file=table.file,
                sheet=table.sheet,
                row=int(first["row"]),
                column=str(first["column"]) or next(iter(match.not_named), ""),
                value=texts[0].strip(),
                cause=cause,
                readings=READINGS,
                message=f"what does {name} mean here? It stands in {len(own)} places, first here{more}",
            )
        )
    return meanings, as_findings(findings), frozenset(answered)
