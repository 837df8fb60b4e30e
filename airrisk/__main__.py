"""Start: picks the command line or the window and imports only what that one needs."""

from __future__ import annotations

import os
import sys

from airrisk.wording import languages
from airrisk.wording.translation import tr

COMMANDS = (
    "assess", "report", "map", "what-if", "plan", "actions", "upkeep", "compare", "exercise",
    "samples", "schema",
)  # fmt: skip
ASKS_FOR_COMMAND_LINE = ("-h", "--help", "--version")


def _is_mistyped(word: str) -> bool:
    """Whether the first word has the looks of a command, but is none."""
    return not word.startswith("-") and "." not in word and not os.path.exists(word)


def main(arguments: list[str] | None = None) -> int:
    """Run airrisk and return the exit code."""
    words = list(sys.argv[1:] if arguments is None else arguments)
    try:
        others, language = languages.taken_from(words)
    except languages.UnknownLanguage as error:
        print(tr("Error: {why}").format(why=tr(error.told)), file=sys.stderr)
        return 2
    if others and (others[0] in COMMANDS or others[0] in ASKS_FOR_COMMAND_LINE):
        from airrisk.command.line import run

        return run(words)
    if others and _is_mistyped(others[0]):
        languages.speak(language or languages.wanted())
        text = tr(
            "{word} is neither a file nor a command; valid: a system file, or {commands}. "
            "airrisk --help says more."
        ).format(word=repr(others[0]), commands=", ".join(COMMANDS))
        print(tr("Error: {why}").format(why=text), file=sys.stderr)
        return 2
    from airrisk.window.display import reason_no_window

    reason = reason_no_window()
    if reason:
        print(reason, file=sys.stderr)
        return 3
    from airrisk.window import main as open_window

    return open_window(others, language)


if __name__ == "__main__":
    sys.exit(main())
