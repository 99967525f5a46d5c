"""The schemas folder: the single declaration of every column.

schemas/<table>.json is a Table Schema. A column that is a published term carries its identifier in `term` and
its class in `class`; a column of ours has neither. Inside the program every column is text and "" is missing,
so the checks below read numbers and words from text.
"""

from __future__ import annotations

import json
from collections.abc import Collection, Iterable, Mapping, Sequence
from copy import deepcopy
from functools import cache
from pathlib import Path
from typing import Any

import pandas as pd

from dwc_pipeline.errors import TablesBreakTheirSchema

OUTPUT_TABLES = ("event", "occurrence", "measurement", "humboldt", "place", "effort")
#: what the text of a typed column looks like; no exponents, no thousands separators, no other spelling of a boolean.
TEXT_OF_TYPE = {"integer": r"-?\d+", "number": r"-?\d+(\.\d+)?", "boolean": "true|false"}

#: faults that an internal error names
MOST_FAULTS = 10
#: rows that are looked at before the others for whether a column says something
FIRST_ROWS = 1_000


@cache
def schemas_folder() -> Path:
    """The folder of schemas and word lists, installed or in a checkout.

    A wheel carries it inside the package; in a checkout it stands beside the package.
    """
    package = Path(__file__).resolve().parents[1]
    inside = package / "schemas"
    return inside if inside.is_dir() else package.parent / "schemas"


@cache
def _read_schema(name: str) -> dict[str, Any]:
    if name not in OUTPUT_TABLES:
        raise KeyError(f"there is no table {name!r}; the tables are {', '.join(OUTPUT_TABLES)}")
    schema: dict[str, Any] = json.loads((schemas_folder() / f"{name}.json").read_text(encoding="utf-8"))
    return schema


@cache
def _fields(name: str) -> dict[str, dict[str, Any]]:
    return {field["name"]: field for field in _read_schema(name)["fields"]}


def table_schema(name: str) -> dict[str, Any]:
    """The Table Schema of an output table, as declared; the caller may change what it gets."""
    return deepcopy(_read_schema(name))


def column_names(name: str) -> tuple[str, ...]:
    """Every column that the table may have, in the order in which they are written."""
    return tuple(_fields(name))


def columns_in_use(name: str, frame: pd.DataFrame) -> tuple[str, ...]:
    """The columns of the table that hold something in some row, and those that must, in the declared order."""
    return tuple(
        column
        for column, field in _fields(name).items()
        if column in frame and (_is_required(field) or says_something(frame[column]))
    )


def says_something(values: pd.Series) -> bool:
    """True if some text of the column is neither blank nor missing; most columns show it in their first rows."""
    return any(
        bool(((part != "") & part.notna()).any()) for part in (values.iloc[:FIRST_ROWS], values.iloc[FIRST_ROWS:])
    )


def row_type(name: str) -> str:
    """The identifier of the class that a row of the table stands for; "" for a table of ours."""
    return str(_read_schema(name).get("rowType", ""))


@cache
def _term_iris() -> dict[str, str]:
    return {
        column: field["term"] for name in OUTPUT_TABLES for column, field in _fields(name).items() if "term" in field
    }


def term_iri(column: str, table: str = "") -> str:
    """The identifier of the term that a column is; "" for a column of ours.

    table: look in this table only. A published term never has two identifiers, whichever table it is in.
    """
    if table:
        return str(_fields(table).get(column, {}).get("term", ""))
    return _term_iris().get(column, "")


def _is_required(field: dict[str, Any]) -> bool:
    return bool(field.get("constraints", {}).get("required", False))


def pandera_schema(name: str, columns: Sequence[str] | None = None) -> Any:
    """A pandera schema of the table as it is inside the program: text columns, "" for missing.

    columns: the columns that the frame has; all that are declared where left out. A column that must be filled
    must be there, an undeclared one is refused. Validate with `lazy=True`: the failure cases then name column,
    check, value and row label.
    """
    import pandera.pandas as pa

    fields = _fields(name)
    return pa.DataFrameSchema(
        {
            column: pa.Column(checks=_text_checks(field, pa.Check), required=_is_required(field), nullable=False)
            for column, field in fields.items()
            if columns is None or column in columns or _is_required(field)
        },
        strict=True,
        name=name,
    )


def refuse_faulty_tables(tables: Mapping[str, pd.DataFrame]) -> None:
    """Check output tables against their declaration.

    tables: by name, all text, "" for missing. Raises TablesBreakTheirSchema with table, column, value and row of the
    first faults: they are of the program that filled the tables, and nothing may be written from them.
    """
    from pandera.errors import SchemaErrors

    faults: list[str] = []
    for name, frame in tables.items():
        if frame.empty:  # nothing in it can be wrong, and an empty table may lack columns
            continue
        try:
            pandera_schema(name, list(frame.columns)).validate(frame, lazy=True)
        except SchemaErrors as error:
            faults += [_fault_line(name, case) for case in error.failure_cases.to_dict("records")]
    if faults:
        shown = [
            *faults[:MOST_FAULTS],
            *([f"and {len(faults) - MOST_FAULTS} more"] if len(faults) > MOST_FAULTS else []),
        ]
        raise TablesBreakTheirSchema(
            "Internal error: the output tables are not as schemas/ declares them. This is a fault of the program, "
            "not of your data; please report it with these lines:\n" + "\n".join(f"  {line}" for line in shown)
        )


def _fault_line(table: str, case: dict[Any, Any]) -> str:
    """One failure case of pandera: of a value, of a whole column, or of a column missing or not declared."""
    about_value = case["schema_context"] == "Column" and case["index"] is not None
    column = case["column"] if case["schema_context"] == "Column" else case["failure_case"]
    value = f", value {case['failure_case']!r} in row {case['index']}" if about_value else ""
    return f"table {table}, column {column}: {case['check']}{value}"


def _text_checks(field: dict[str, Any], check: Any) -> list[Any]:
    """Checks of one text column; every one but `unique` is made once per distinct value."""
    constraints = field.get("constraints", {})
    checks = [check(_is_text, name="text", error="holds something that is not text")]
    if _is_required(field):
        checks.append(check(lambda values: values != "", name="required", error="is empty"))
    if constraints.get("unique"):
        once = lambda values: ~values.duplicated(keep=False) | (values == "")  # noqa: E731
        checks.append(check(once, name="unique", error="stands in more than one row"))
    for name, pattern in (("type", TEXT_OF_TYPE.get(field["type"])), ("pattern", constraints.get("pattern"))):
        if pattern is not None:
            checks.append(
                _distinct_check(check, name, _matches(pattern), "is not written in the form that the schema asks for")
            )
    if "enum" in constraints:
        words = constraints["enum"]
        checks.append(_distinct_check(check, "enum", _is_among(words), f"is none of {', '.join(words)}"))
    limits = {key: constraints[key] for key in ("minimum", "maximum") if key in constraints}
    if limits:
        shown = ", ".join(f"{key} {limit}" for key, limit in limits.items())
        checks.append(_distinct_check(check, "range", _is_within(limits), f"is out of range ({shown})"))
    return checks


def _distinct_check(check: Any, name: str, test: Any, error: str) -> Any:
    return check(test, name=name, error=error, determined_by_unique=True)


def _is_text(values: pd.Series) -> bool:
    return values.empty or pd.api.types.infer_dtype(values, skipna=False) == "string"


def _matches(pattern: str) -> Any:
    anchored = rf"(?:{pattern})\Z"
    return lambda values: (values == "") | values.astype(str).str.match(anchored)


def _is_among(words: Iterable[str]) -> Any:
    allowed = ["", *words]
    return lambda values: values.isin(allowed)


def _is_within(limits: dict[str, float]) -> Any:
    def test(values: pd.Series) -> pd.Series:
        numbers = pd.to_numeric(values.where(values != ""), errors="coerce")
        within = pd.Series(True, index=values.index)
        if "minimum" in limits:
            within &= numbers >= limits["minimum"]
        if "maximum" in limits:
            within &= numbers <= limits["maximum"]
        return within | numbers.isna()  # what is not a number fails the check of its type

    return test


def frictionless_schema(name: str, columns: Sequence[str] | None = None, beside: Collection[str] = ()) -> Any:
    """A frictionless schema of the table as it is written.

    columns: the columns of the file in their order; all that are declared where left out.
    beside: the other tables of the same package; keys into tables that are not there are left out.
    """
    from frictionless import Schema

    return Schema.from_descriptor(written_schema(name, columns, beside))


def written_schema(name: str, columns: Sequence[str] | None = None, beside: Collection[str] = ()) -> dict[str, Any]:
    """The Table Schema of a file that holds only some of the columns; arguments as for `frictionless_schema`."""
    schema = table_schema(name)
    fields = {field["name"]: field for field in schema["fields"]}
    used = list(fields) if columns is None else list(columns)
    schema["fields"] = [fields[column] for column in used]
    if not set(_as_list(schema["primaryKey"])) <= set(used):
        del schema["primaryKey"]
    keys = [
        key
        for key in schema.pop("foreignKeys", [])
        if set(_as_list(key["fields"])) <= set(used) and key["reference"]["resource"] in ("", *beside)
    ]
    return {**schema, "foreignKeys": keys} if keys else schema


def _as_list(names: str | list[str]) -> list[str]:
    return [names] if isinstance(names, str) else names
