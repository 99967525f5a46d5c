"""Writes the generated pages and the JSON Schema of the survey file.

python docs/generate.py            write them
python docs/generate.py --check    exit 1 if one of them is not what would be written
"""

from __future__ import annotations

import json
import sys
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

import click

from dwc_pipeline.catalogue import all_rules
from dwc_pipeline.check.season_rule import SEASON_RULES
from dwc_pipeline.cli import main
from dwc_pipeline.settings import SurveyFile
from dwc_pipeline.terms.schema import table_schema
from dwc_pipeline.terms.sheet import SHEET_KINDS, sheet_fields
from dwc_pipeline.terms.standard_rules import numbers_of, standard_rules

ROOT = Path(__file__).resolve().parents[1]
TABLES = ("event", "occurrence", "measurement", "humboldt", "place", "effort")


def survey_schema() -> dict[str, Any]:
    """JSON Schema of the survey file, for editors."""
    schema = SurveyFile.model_json_schema()
    schema["properties"].pop("path", None)
    schema["title"] = "Survey file of dwc_pipeline"
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", **schema}


def settings_page() -> Iterator[str]:
    """Every setting with its meaning."""
    yield "# The survey file\n\nGenerated from `dwc_pipeline/settings.py`. One TOML file says where the raw files are, how their columns"
    yield "map, which protocol and sites apply. Editors complete it with `schemas/survey.schema.json`.\n"
    schema = survey_schema()
    for name, part in schema["properties"].items():
        yield from settings_section(name, part, schema["$defs"])
    yield "## Fields that a column can feed\n"
    for kind in SHEET_KINDS:
        yield f"### {kind}\n\n| field | what it holds | unit |\n|---|---|---|"
        yield from (f"| `{f.name}` | {f.description} | {f.unit} |" for f in sheet_fields(kind).values())
        yield ""


def settings_section(name: str, part: Mapping[str, Any], definitions: Mapping[str, Any]) -> Iterator[str]:
    """One part of the survey file."""
    many = "items" in part
    reference = part["items"] if many else part
    if "$ref" not in reference:
        yield f"## [{name}]\n\n{part.get('description', '')}\n"
        return
    definition = definitions[reference["$ref"].rsplit("/", 1)[-1]]
    yield f"## {'[[' if many else '['}{name}{']]' if many else ']'}\n\n{part.get('description') or definition.get('description', '')}\n"
    yield "| setting | what it says | default |\n|---|---|---|"
    nested = []
    for setting, about in definition["properties"].items():
        if "$ref" in about and "properties" in definitions[about["$ref"].rsplit("/", 1)[-1]]:
            nested.append((f"{name}.{setting}", about))
            continue
        default = "needed" if setting in definition.get("required", ()) else f"`{json.dumps(about.get('default'))}`"
        choices = about.get("enum") or next((one["enum"] for one in about.get("anyOf", ()) if "enum" in one), None)
        said = about.get("description", "") + (
            f" One of: {', '.join(f'`{one}`' for one in choices if one)}." if choices else ""
        )
        yield f"| `{setting}` | {said.replace('|', '/')} | {default} |"
    yield ""
    for inner, about in nested:
        yield from settings_section(inner, about, definitions)


def rules_page() -> Iterator[str]:
    """Every rule with its text; season rules with the rows that prove them."""
    rules = all_rules()
    yield "# Rules\n\nGenerated from the declarations beside the code. `dwc-pipeline explain RULE` prints the same text.\n"
    yield "| rule | severity | what |\n|---|---|---|"
    yield from (f"| [{rule.id}](#{rule.id}) | {rule.severity} | {rule.what} |" for rule in rules.values())
    for rule in rules.values():
        yield f"\n## {rule.id}\n\n**{rule.severity}**{', a question' if rule.asks else ''}. {rule.what}\n"
        yield f"- Why it matters: {rule.why}\n- What to do: {rule.remedy}\n- Source: {rule.source}"
        if numbers := numbers_of(rule.id):
            yield f"- Rules of the standards: {'; '.join(numbers)}"
        if rule.id in SEASON_RULES:
            yield f"- Flagged: `{shown(SEASON_RULES[rule.id].flagged[-1])}`\n- Passes: `{shown(SEASON_RULES[rule.id].passes[-1])}`"


def standards_page() -> Iterator[str]:
    """Every numbered rule of the documents, and what speaks of it."""
    yield "# Rules of the standards\n\nGenerated from `schemas/standard_rules.csv`: which rule of ours speaks of each, or why none can."
    document = ""
    for one in standard_rules():
        if one.document != document:
            document = one.document
            yield f"\n## {document[0].upper() + document[1:]}\n\n| no. | where | about | checked by |\n|---|---|---|---|"
        told = ", ".join(f"[{rule}](rules.md#{rule})" for rule in one.rules) or f"not checked: {one.reason}"
        yield f"| {one.number} | {one.section} | {one.about} | {told} |"


def shown(row: Mapping[str, object]) -> str:
    """An example row in one line."""
    return ", ".join(f"{name} {value}" for name, value in row.items()).replace("`", "'")


def terms_page() -> Iterator[str]:
    """Every column of the output tables."""
    yield "# Columns of the output tables\n\nGenerated from `schemas/*.json`, the single declaration of every column.\n"
    for name in TABLES:
        schema = table_schema(name)
        yield f"## {name}\n\n{schema['description']}\n\n| column | type | what it holds | term |\n|---|---|---|---|"
        for field in schema["fields"]:
            yield f"| `{field['name']}` | {field['type']} | {field['description']} | {field.get('term', '')} |"
        yield ""


def commands_page() -> Iterator[str]:
    """The help of every command."""
    yield "# Commands\n\nGenerated from the command line's own help.\n"
    for name, command in sorted(main.commands.items()):
        context = click.Context(command, info_name=f"dwc-pipeline {name}", terminal_width=100, max_content_width=100)
        yield f"## {name}\n\n```\n{command.get_help(context)}\n```\n"


def pages() -> dict[Path, str]:
    """Everything that is generated, by path."""
    return {
        ROOT / "schemas" / "survey.schema.json": json.dumps(survey_schema(), indent=2, ensure_ascii=False) + "\n",
        **{
            ROOT / "docs" / f"{name}.md": "\n".join(page()).rstrip() + "\n"
            for name, page in (
                ("survey_file", settings_page),
                ("rules", rules_page),
                ("standard_rules", standards_page),
                ("columns", terms_page),
                ("commands", commands_page),
            )
        },
    }


def generate(check_only: bool) -> int:
    """Write the pages, or tell which of them differ."""
    stale = [path for path, text in pages().items() if not path.exists() or path.read_text(encoding="utf-8") != text]
    for path in stale:
        print(("differs: " if check_only else "written: ") + path.relative_to(ROOT).as_posix())
        if not check_only:
            path.write_text(pages()[path], encoding="utf-8", newline="\n")
    return 1 if check_only and stale else 0


if __name__ == "__main__":
    sys.exit(generate("--check" in sys.argv))
