"""Start: picks the command line or the window and imports only what that one needs."""

from __future__ import annotations

import os
import sys

COMMANDS = ("assess", "report", "what-if", "upkeep", "compare", "samples")
ASKS_FOR_COMMAND_LINE = ("-h", "--help", "--version")


def _is_mistyped(word: str) -> bool:
    """Whether the first word has the looks of a command, but is none."""
    return not word.startswith("-") and "." not in word and not os.path.exists(word)


def main(arguments: list[str] | None = None) -> int:
    """Run airrisk and return the exit code."""
    words = list(sys.argv[1:] if arguments is None else arguments)
    if words and (words[0] in COMMANDS or words[0] in ASKS_FOR_COMMAND_LINE):
        from airrisk.command.line import run

        return run(words)
    if words and _is_mistyped(words[0]):
        print(
            f"Error: {words[0]!r} is neither a file nor a command; valid: a system file, or "
            f"{', '.join(COMMANDS)}. airrisk --help says more.",
            file=sys.stderr,
        )
        return 2
    from airrisk.window.display import reason_no_window

    reason = reason_no_window()
    if reason:
        print(reason, file=sys.stderr)
        return 3
    from airrisk.window import main as open_window

    return open_window(words)


if __name__ == "__main__":
    sys.exit(main())
