"""Compares a draft with the survey file that a person wrote: which columns feed the field that was meant."""

from __future__ import annotations

import fnmatch
import tomllib
from dataclasses import dataclass, field
from pathlib import Path

from dwc_pipeline.draft.proposal import Confidence, Draft
from dwc_pipeline.reshape.header_match import folded


@dataclass
class Score:
    """Columns by outcome; right and wrong are those that take effect, open those left to the person."""

    right: list[str] = field(default_factory=list)
    open: list[str] = field(default_factory=list)
    wrong: list[str] = field(default_factory=list)
    wrong_and_certain: list[str] = field(default_factory=list)

    @property
    def share_right(self) -> float:
        """Share of the columns that the person mapped."""
        return len(self.right) / max(1, len(self.right) + len(self.open) + len(self.wrong))


def meant_by(survey_file: Path) -> dict[tuple[str, str], str]:
    """(file name, folded header) -> field, of a survey file."""
    document = tomllib.loads(survey_file.read_text(encoding="utf-8"))
    return {
        (Path(file).name, folded(header)): name
        for table in document["table"]
        for file in table["files"]
        for header, name in table["columns"].items()
    }


def score(draft: Draft, meant: dict[tuple[str, str], str]) -> Score:
    """How the draft's columns compare with what was meant; columns nobody mapped must not take effect."""
    found = Score()
    for table in draft.tables:
        for column in table.columns:
            for pattern in table.files:
                name = next((file for file, _ in meant if fnmatch.fnmatchcase(file, Path(pattern).name)), "")
                wanted = meant.get((name, folded(column.header)), "")
                takes_effect = column.is_placed and table.confidence is not Confidence.UNSURE
                told = f"{Path(pattern).name}: {column.header} -> {column.field} (meant: {wanted or 'nothing'})"
                if takes_effect and column.field != wanted:
                    found.wrong.append(told)
                    if column.confidence is Confidence.CERTAIN and wanted:
                        found.wrong_and_certain.append(told)
                elif takes_effect:
                    found.right.append(told)
                elif wanted:
                    found.open.append(told)
    return found
