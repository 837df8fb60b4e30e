"""The open document without Qt: text, revisions, undo and the recovery journal."""
