"""Every command of the command line is one that the program itself knows."""

from __future__ import annotations

from airrisk.__main__ import COMMANDS
from airrisk.command import line


def test_the_program_hands_every_command_on():
    line._register()
    assert set(COMMANDS) == set(line.commands.commands)
