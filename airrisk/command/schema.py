"""``airrisk schema``: the published form of the JSON answer."""

from __future__ import annotations

from pathlib import Path

import click

from airrisk.command.given import EXIT_CLEAR
from airrisk.command.outputs import check_outputs, write_output
from airrisk.command.screen import say_json
from airrisk.command.speaking import Command, option

SCHEMA = "answer.schema.json"


@click.command(
    "schema", cls=Command, short_help="Write the JSON Schema of the answer that --json writes."
)
@option("--output", type=click.Path(path_type=Path), help="Write it to a file, not to the screen.")
def schema(output: Path | None) -> int:
    """Write the JSON Schema (draft 2020-12) of the answer that assess and report write as JSON."""
    from airrisk.tables import resource_path

    data = resource_path(SCHEMA).read_bytes()
    if output is None:
        say_json(data.decode("utf-8"))
        return EXIT_CLEAR
    check_outputs({"--output": output}, ())
    write_output(output, data)
    return EXIT_CLEAR
