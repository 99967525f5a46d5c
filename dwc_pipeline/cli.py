"""The command line: a thin skin over the library. Heavy imports wait inside the commands."""

from __future__ import annotations

import datetime as dt
import json
import sys
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any, NoReturn

import click

from dwc_pipeline.errors import PipelineError

if TYPE_CHECKING:
    import pandas as pd

SUCCESS, ERRORS_IN_THE_DATA, COULD_NOT_RUN = 0, 1, 2
FILE = click.Path(path_type=Path)
DAY = click.DateTime(["%Y-%m-%d"])


class Commands(click.Group):
    """Errors that stop a command are shown as a sentence, with exit status 2."""

    def invoke(self, ctx: click.Context) -> object:
        """Run the command."""
        try:
            return super().invoke(ctx)
        except PipelineError as error:
            click.echo(f"Could not run.\n{error}", err=True)
            ctx.exit(COULD_NOT_RUN)


@click.group(cls=Commands, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="dwc_pipeline")
def main() -> None:
    """From a field season's spreadsheets to checked Darwin Core events, occurrences and sampling effort."""


def progress() -> Callable[[str], None]:
    """Tells what is going on: on a terminal only, so that a pipe stays silent."""
    if sys.stderr.isatty():
        return lambda text: click.echo(click.style(f"  {text} …", dim=True), err=True)
    return lambda text: None


def today() -> dt.date:
    """The day that counts as today for dates in the future."""
    return dt.datetime.now(tz=dt.UTC).date()


@main.command()
@click.argument("survey_file", type=FILE)
@click.option("--out", type=FILE, help="Output folder; `out` beside the survey file if left out.")
@click.option("--mark", is_flag=True, help="Also write `marked`: copies of the raw sheets with the findings in them.")
@click.option("--json", "as_json", is_flag=True, help="Print the summary as JSON.")
def run(survey_file: Path, out: Path | None, mark: bool, as_json: bool) -> None:
    """Read, clean, check and write a whole season."""
    from dwc_pipeline.pipeline import run_survey
    from dwc_pipeline.summary import summary_lines, summary_of

    season, target = run_survey(survey_file, out, today(), progress(), mark)
    summary = summary_of(season) | {"output": str(target)}
    click.echo(json.dumps(summary, indent=2) if as_json else "\n".join(summary_lines(summary)))
    sys.exit(ERRORS_IN_THE_DATA if season.has_errors else SUCCESS)


@main.command()
@click.argument("path", type=FILE)
@click.option("--day", type=DAY, help="Of a survey: the day to look at first; the latest in the sheets if left out.")
@click.option("--since", type=FILE, help="Findings of an earlier run: say what is new, gone and still there.")
@click.option("--mark", is_flag=True, help="Of a survey: write copies of the raw sheets with the findings in them.")
@click.option("--out", type=FILE, help="Folder for --mark; `marked` beside the survey file if left out.")
@click.option(
    "--responses", type=FILE, help="Of an archive: write every answer of the data-quality tests to this CSV."
)
@click.option(
    "--leaks-of",
    type=FILE,
    help="Look in PATH, whatever it is, only for what this survey file withholds from the public.",
)
@click.option("--json", "as_json", is_flag=True, help="Print the findings, and what else was found, as JSON.")
def check(
    path: Path,
    day: dt.datetime | None,
    since: Path | None,
    mark: bool,
    out: Path | None,
    responses: Path | None,
    leaks_of: Path | None,
    as_json: bool,
) -> None:
    """Findings only: of a survey file and its sheets, of a Darwin Core archive (zip file or folder) or of a data
    package (folder, datapackage.json or .tar.gz). Of a survey, one day's typing is told first: what is missing, what
    contradicts, what to ask. An archive is also judged for three uses: can it be archived, can its effort be
    trusted, does it give away what it says it withholds.
    """
    if leaks_of is not None:
        check_leaks(path, leaks_of, as_json)
    is_survey = path.suffix.lower() == ".toml"
    refuse_options(is_survey, day=day, mark=mark, out=out, responses=responses)
    if is_survey:
        check_survey(path, day.date() if day else None, since, (out or Path()) if mark else None, as_json)
    from dwc_pipeline.archive_check import check_archive_file
    from dwc_pipeline.archive_summary import report_as_data, report_lines

    report = check_archive_file(path, today(), responses, progress())
    show(report_as_data(report), report_lines(report), report.findings, since, as_json)
    sys.exit(ERRORS_IN_THE_DATA if report.has_errors else SUCCESS)


def refuse_options(is_survey: bool, **given: object) -> None:
    """Options that have no meaning here are refused, not passed over."""
    of_surveys, of_archives = ("day", "mark", "out"), ("responses",)
    for name in of_archives if is_survey else of_surveys:
        if given[name]:
            kind = "an archive or data package" if is_survey else "a survey file (.toml)"
            raise click.UsageError(f"--{name} is for {kind} only")
    if given["out"] and not given["mark"]:
        raise click.UsageError("--out says where --mark writes; give both")


def show(told: dict[str, Any], lines: list[str], findings: pd.DataFrame, since: Path | None, as_json: bool) -> None:
    """Print what was found, with the comparison to an earlier run if there is one."""
    if since is not None:
        from dwc_pipeline.since import findings_since, read_findings, since_lines

        changes = findings_since(read_findings(since), findings)
        told = told | {"since": changes.to_dict("records")}
        lines = [*since_lines(changes, since), "", *lines]
    click.echo(json.dumps(told, indent=2, ensure_ascii=False, default=str) if as_json else "\n".join(lines))


def check_leaks(path: Path, survey_file: Path, as_json: bool) -> NoReturn:
    """What in a file or folder the survey file keeps from the public; the coordinates are never repeated."""
    from dwc_pipeline.pipeline import leaks_against

    found = leaks_against(path, survey_file, today(), progress())
    lines = [f"{leak.where}: {leak.what}" for leak in found] or ["nothing found that is withheld"]
    click.echo(json.dumps([leak._asdict() for leak in found], indent=2) if as_json else "\n".join(lines))
    sys.exit(ERRORS_IN_THE_DATA if found else SUCCESS)


def check_survey(
    path: Path, day: dt.date | None, since: Path | None, mark_in: Path | None, as_json: bool
) -> NoReturn:
    """The findings of a survey file and its sheets. mark_in: where marked copies go; None for no copies."""
    from dwc_pipeline.check.day import day_report
    from dwc_pipeline.evening import evening_as_data, evening_lines
    from dwc_pipeline.pipeline import mark_raw_files, prepare
    from dwc_pipeline.settings import read_survey_file

    season = prepare(read_survey_file(path), today(), progress(), to_write=False)
    told_day = day_report(season.records, season.findings, season.survey, day)
    told, lines = evening_as_data(season, told_day), evening_lines(season, told_day)
    if mark_in is not None:
        marked = mark_raw_files(season, mark_in if mark_in != Path() else None, progress())
        told, lines = told | {"marked": str(marked)}, [*lines, "", f"Marked copies of the raw sheets: {marked}"]
    show(told, lines, season.findings, since, as_json)
    sys.exit(ERRORS_IN_THE_DATA if season.has_errors else SUCCESS)


@main.command()
@click.argument("old", type=FILE)
@click.argument("new", type=FILE)
@click.option("--json", "as_json", is_flag=True, help="Print every change as JSON.")
def compare(old: Path, new: Path, as_json: bool) -> None:
    """What changed between two outputs, Darwin Core archives or data packages, animal by animal and term by term.

    The two may be of different kinds: then the terms that both have are compared. Lists of taxa are compared with
    lists of taxa.
    """
    from dwc_pipeline.comparison import comparison_lines
    from dwc_pipeline.versions import compare_paths

    found = compare_paths(old, new)
    click.echo(found.changes.to_json(orient="records", indent=2) if as_json else "\n".join(comparison_lines(found)))


@main.command()
@click.argument("rule")
def explain(rule: str) -> None:
    """What a rule means, why it matters and what to do."""
    from dwc_pipeline.catalogue import explanation

    click.echo(explanation(rule))


@main.command()
@click.argument("raw", nargs=-1, required=True, type=FILE)
@click.option("--to", type=FILE, default=Path("survey.toml"), show_default=True, help="The survey file to write.")
@click.option("--replace", "replace_it", is_flag=True, help="Write it anew if it is there already.")
@click.option("--json", "as_json", is_flag=True, help="Print what was found as JSON.")
def draft(raw: tuple[Path, ...], to: Path, replace_it: bool, as_json: bool) -> None:
    """Look at raw files and folders, and propose a survey file with the evidence for every line."""
    from dwc_pipeline.draft.questions import draft_lines, draft_summary
    from dwc_pipeline.draft.run import draft_survey, refuse_to_replace, write_draft

    refuse_to_replace([to], replace_it)
    proposal = draft_survey(raw, to, today())
    write_draft(proposal, replace_it)
    summary = draft_summary(proposal)
    click.echo(json.dumps(summary, indent=2, ensure_ascii=False) if as_json else "\n".join(draft_lines(proposal)))
