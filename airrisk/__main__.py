"""Start: picks the command line or the window and imports only what that one needs."""

from __future__ import annotations

import sys

COMMANDS = ("assess", "report", "what-if", "upkeep", "compare", "samples")
ASKS_FOR_COMMAND_LINE = ("-h", "--help", "--version")


def main(arguments: list[str] | None = None) -> int:
    """Run airrisk and return the exit code."""
    words = list(sys.argv[1:] if arguments is None else arguments)
    if words and (words[0] in COMMANDS or words[0] in ASKS_FOR_COMMAND_LINE):
        from airrisk.command.line import run

        return run(words)
    from airrisk.window.display import reason_no_window

    reason = reason_no_window()
    if reason:
        print(reason, file=sys.stderr)
        return 3
    from airrisk.window import main as open_window

    return open_window(words)


if __name__ == "__main__":
    sys.exit(main())
