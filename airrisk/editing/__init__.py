"""The open document without Qt: text, revision, undo, recovery journal, belonging answers."""

from airrisk.editing.answers import Answer, AnswerShelf, StaleAnswer
from airrisk.editing.document import DiskState, Document
from airrisk.editing.journal import Journal, Recovered, recoverable

__all__ = [
    "Answer",
    "AnswerShelf",
    "DiskState",
    "Document",
    "Journal",
    "Recovered",
    "StaleAnswer",
    "recoverable",
]
