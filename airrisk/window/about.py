"""What the program is, and the licences of what it is made of."""

from __future__ import annotations

from importlib import metadata

from PySide6.QtWidgets import QDialog, QDialogButtonBox, QLabel, QTextBrowser, QVBoxLayout, QWidget

from airrisk import __version__
from airrisk.tables import resource_path
from airrisk.wording.translation import ENGLISH, language, tr

PARTS = (
    "PySide6-Essentials", "pyqtgraph", "numpy", "scipy", "numba", "llvmlite", "CoolProp",
    "networkx", "reportlab", "jinja2", "Babel", "icalendar", "click", "rich", "platformdirs",
    "tree-sitter", "tree-sitter-toml", "pillow", "pypdfium2", "XlsxWriter",
)  # fmt: skip


def _first(found: metadata.PackageMetadata, key: str) -> str:
    """The first entry of a key of a library's own description, "" without one."""
    entries = found.get_all(key) or []
    return str(entries[0]) if entries else ""


def licence_rows() -> list[tuple[str, str, str]]:
    """Name, version and licence of each library in use, as it declares them itself."""
    rows = []
    for name in PARTS:
        try:
            found = metadata.metadata(name)
        except metadata.PackageNotFoundError:
            continue
        licence = _first(found, "License-Expression")
        if not licence:
            classifiers = [
                c.rpartition(" :: ")[2]
                for c in found.get_all("Classifier") or []
                if c.startswith("License ::")
            ]
            licence = ", ".join(c for c in classifiers if c != "OSI Approved")
        licence = licence or _first(found, "License").strip().partition("\n")[0]
        rows.append((name, found["Version"], licence or tr("see its own files")))
    return rows


def show_about(parent: QWidget) -> None:
    """Open the page until it is closed."""
    dialog = about_dialog(parent)
    dialog.exec()
    dialog.deleteLater()


def about_dialog(parent: QWidget | None = None) -> QDialog:
    """The page about the program."""
    dialog = QDialog(parent)
    dialog.setWindowTitle(tr("About airrisk"))
    dialog.resize(640, 520)
    layout = QVBoxLayout(dialog)
    head = QLabel(
        tr("airrisk {version}. A screening tool, not a certification.").format(version=__version__)
    )
    head.setProperty("tone", "title")
    head.setWordWrap(True)
    layout.addWidget(head)
    if language() != ENGLISH:
        layout.addWidget(QLabel(tr("This translation has not been reviewed by a native engineer.")))
    rows = "".join(
        f"<tr><td>{name}&nbsp;&nbsp;</td><td>{version}&nbsp;&nbsp;</td><td>{licence}</td></tr>"
        for name, version, licence in licence_rows()
    )
    font = resource_path("fonts/LICENCE-DejaVu.txt").read_text(encoding="utf-8")
    page = QTextBrowser()
    page.setAccessibleName(tr("Licences"))
    page.setHtml(
        f"<p>{tr('airrisk itself: MIT licence.')}</p>"
        f"<p><b>{tr('Libraries')}</b></p><table>{rows}</table>"
        f"<p><b>{tr('Font')}</b></p><pre style='white-space: pre-wrap'>{font}</pre>"
    )
    layout.addWidget(page, 1)
    buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Close)
    buttons.rejected.connect(dialog.reject)
    layout.addWidget(buttons)
    return dialog
