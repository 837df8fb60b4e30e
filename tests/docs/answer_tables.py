"""The tables of docs/json-output.md, made from the published schema of the answer.

``python -m tests.docs.answer_tables`` prints them; with ``--write`` they are put into the page.
"""

from __future__ import annotations

import json
from typing import Any

from airrisk.tables import resource_path
from tests.docs.marked_block import DOCS, MarkedBlock

SCHEMA = "answer.schema.json"
_WORDS = {
    "string": "text", "number": "number", "integer": "whole number", "boolean": "true or false",
    "null": "`null`",
}  # fmt: skip


def answer_schema() -> dict[str, Any]:
    """The schema as it is published."""
    read: dict[str, Any] = json.loads(resource_path(SCHEMA).read_text(encoding="utf-8"))
    return read


def answer_tables() -> str:
    """A table for the top and one for each kind of record."""
    schema = answer_schema()
    kinds = schema["$defs"]
    lines = ["", "## Top", "", *_table(schema, kinds)]
    for kind in kinds.values():
        lines += [f"## {kind['title']}", "", kind["description"], ""]
        if "properties" in kind:
            lines += _table(kind, kinds)
    return "\n".join(lines) + "\n"


def _table(record: dict[str, Any], kinds: dict[str, Any]) -> list[str]:
    rows = [
        f"| `{key}` | {_what(value, kinds)} | {value['description']} |"
        for key, value in record["properties"].items()
    ]
    return ["| Key | Value | What stands in it |", "| --- | --- | --- |", *rows, ""]


def _what(value: dict[str, Any], kinds: dict[str, Any]) -> str:
    """The form of a value in a few words; a kind of record leads to its table."""
    if "$ref" in value:
        title = kinds[value["$ref"].rpartition("/")[2]]["title"]
        return f"[{title}](#{title.lower().replace(' ', '-')})"
    if "anyOf" in value:
        return " or ".join(_what(one, kinds) for one in value["anyOf"])
    if "const" in value:
        return f"`{json.dumps(value['const'])}`".replace('"', "")
    if "enum" in value:
        return ", ".join("`null`" if one is None else f"`{one}`" for one in value["enum"])
    types = value["type"] if isinstance(value["type"], list) else [value["type"]]
    return " or ".join(_typed(one, value, kinds) for one in types)


def _typed(name: str, value: dict[str, Any], kinds: dict[str, Any]) -> str:
    if name == "array":
        if "prefixItems" in value:
            return f"({', '.join(_what(one, kinds) for one in value['prefixItems'])})"
        return f"list of {_what(value['items'], kinds)}"
    if name == "object":
        return f"name -> {_what(value['additionalProperties'], kinds)}"
    if name == "string" and value.get("format") == "date":
        return "date"
    return _WORDS[name]


ANSWER_TABLES = MarkedBlock(DOCS / "json-output.md", "answer", answer_tables)

if __name__ == "__main__":
    ANSWER_TABLES.command()
