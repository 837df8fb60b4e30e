"""Help inside the window: how it works, the method and its limits, cautions, words, keys."""

from __future__ import annotations

from collections.abc import Callable
from html import escape

from PySide6.QtCore import QCoreApplication, Qt
from PySide6.QtWidgets import (
    QDialog,
    QDialogButtonBox,
    QHBoxLayout,
    QListWidget,
    QTextBrowser,
    QVBoxLayout,
    QWidget,
)

from airrisk.wording.cautions import assumptions, cautions, model_limits
from airrisk.wording.method import method_steps


def _tr(text: str) -> str:
    return QCoreApplication.translate("Help", text)


def _list(items: tuple[str, ...]) -> str:
    return "<ul>" + "".join(f"<li>{escape(item)}</li>" for item in items) + "</ul>"


def how_it_works() -> str:
    """The way through the window."""
    steps = (
        _tr("Start from three questions, a sample system, or a file of your own. A field takes a "
            "number with any unit of its kind: 145 psig, 2000 L, 1,2 m with a decimal comma."),
        _tr("Plan: add parts, join them with Connect, put valves and devices on them. The answer "
            "follows every change; while it is being computed the last one is greyed."),
        _tr("Verdicts: a row for each isolable section, a column for each kind of fire, stated or "
            "assumed. Each is the worst of many runs: from the stated and the highest pressure, "
            "with all of the heat and part of it. A click shows the fire behind it."),
        _tr("Order: what happens first as the air warms, and at what time in the fire. Rupture is "
            "a band, because it depends on how the strength of hot metal is counted."),
        _tr("Findings: a click leads to the part; its tool tip names the source of the rule. The "
            "search takes words, for example: danger R1."),
        _tr("Numbers: every result shows its formula with the present values and its source."),
        _tr("Round: every stop of an audit in flow order, and the upkeep register."),
        _tr("Reach: how far blast and pieces reach if a vessel lets go, and who is inside."),
        _tr("Try-out: turn values on a scratch copy. While a value moves, the run as stated is "
            "shown; the verdict over all runs follows when it rests. Keep makes one undoable step "
            "of it; Drop leaves the file untouched."),
        _tr("Doubt: does the verdict hold when the inputs are not exactly as stated? Each alone, "
            "one or two swept, or all drawn from their spreads, with the probability that the "
            "plug acts first."),
        _tr("Paper: the report, with the values that nobody typed listed first."),
        _tr("View: light or dark, and the size of all text from 100 % to 200 %."),
    )  # fmt: skip
    return f"<h2>{_tr('How it works')}</h2>{_list(steps)}"


def method() -> str:
    """The method in steps, its assumptions and what it leaves out."""
    steps = "".join(
        f"<h3>{escape(step.title)}</h3><p>{escape(step.text)}<br>"
        f"<small>{_tr('Source')}: {escape(step.source)} ({escape(step.standing)})</small></p>"
        for step in method_steps()
    )
    return (
        f"<h2>{_tr('The method')}</h2>{steps}<h2>{_tr('Assumptions')}</h2>{_list(assumptions())}"
        f"<h2>{_tr('Limits of the model')}</h2>{_list(model_limits())}"
    )


def caution_page() -> str:
    """What the answer does not replace."""
    return f"<h2>{_tr('Cautions')}</h2>{_list(cautions())}"


def glossary() -> str:
    """Words of the trade as this program uses them."""
    words = (
        (_tr("Part"), _tr("What holds air (vessel, line) or makes it (compressor).")),
        (_tr("Device"), _tr("A way out for the air: fusible plug, relief valve, bursting disc.")),
        (_tr("Fusible plug"), _tr("A screw with a core of metal that melts at a known "
                                  "temperature and lets the air out. It answers heat.")),
        (_tr("Solidus, liquidus"), _tr("An alloy begins to melt at the solidus and is all "
                                       "molten at the liquidus.")),
        (_tr("Relief valve"), _tr("A valve with a spring that lifts at its set pressure. It "
                                  "answers pressure, not weak metal.")),
        (_tr("Bursting disc"), _tr("A thin disc that bursts at its pressure and stays open.")),
        (_tr("Section"), _tr("Parts that stay joined when given valves are closed. Shut in: every "
                             "valve that may be closed is closed.")),
        (_tr("Safe"), _tr("Every run of a fire keeps the metal within the limit. Sure: also with "
                          "each doubtful assumption the other way. Not yet checked: only the run "
                          "as stated has been made.")),
        (_tr("Offered"), _tr("A value that the program filled in. A device with one is not counted "
                             "on until somebody has confirmed it or typed another.")),
        (_tr("Gauge, absolute"), _tr("Gauge pressure counts from the atmosphere, absolute from "
                                     "vacuum. 0 bar(g) is about 1.013 bar(a).")),
        (_tr("Strength use"), _tr("Gauge pressure over the burst pressure of the metal at its "
                                  "present temperature; 1 is rupture.")),
        (_tr("Strength basis"), _tr("The rule by which the strength of hot metal is counted. The "
                                    "yield basis is the cautious one.")),
        (_tr("Design pressure"), _tr("The pressure that the vessel was built for.")),
        (_tr("Torispherical head"), _tr("A dished end: a large sphere with a small knuckle.")),
        (_tr("Free air"), _tr("Air counted at the pressure and temperature of the site.")),
        (_tr("TNT mass"), _tr("The mass of TNT with the same energy; a comparison, not a "
                              "prediction close to the vessel.")),
        (_tr("Overpressure"), _tr("Pressure of a blast wave above the atmosphere; incident when it "
                                  "passes, reflected when it meets a wall.")),
        (_tr("Locked open"), _tr("A valve that cannot be shut without breaking a lock or seal.")),
    )  # fmt: skip
    rows = "".join(f"<p><b>{escape(word)}</b><br>{escape(text)}</p>" for word, text in words)
    return f"<h2>{_tr('Words')}</h2>{rows}"


def shortcuts() -> str:
    """All keys."""
    keys = (
        ("Ctrl+N, Ctrl+O, Ctrl+S, Ctrl+Shift+S", _tr("new, open, save, save as")),
        ("Ctrl+Z, Ctrl+Shift+Z", _tr("undo, redo")),
        ("Ctrl+X, Ctrl+C, Ctrl+V, Ctrl+D, Del", _tr("cut, copy, paste, duplicate, delete parts")),
        ("Ctrl+1 … Ctrl+7", _tr("Plan, Round, Reach, Try-out, Doubt, Paper, Text")),
        ("Ctrl+F, Ctrl+I", _tr("find a part, facts of the installation")),
        ("Ctrl+R", _tr("remark on the field that has the keyboard")),
        ("Ctrl+Shift+I", _tr("add an inspection")),
        ("Ctrl+L", _tr("connect two parts: choose one, press Return, choose the other")),
        (_tr("Arrows in the plan"), _tr("go to the next part in that direction")),
        (_tr("Alt+arrows in the plan"), _tr("move the chosen part")),
        (_tr("+, -, 0 in plan and charts"), _tr("zoom in, zoom out, show all")),
        (_tr("Left, right in a chart"), _tr("read values along the curve")),
        (_tr("Alt and an underlined letter"), _tr("go to the field with that letter")),
        (_tr("Return, Esc in a field"), _tr("take the value, take the typing back")),
        ("F1", _tr("this help")),
    )
    rows = "".join(
        f"<tr><td><b>{escape(key)}</b>&nbsp;&nbsp;</td><td>{escape(what)}</td></tr>"
        for key, what in keys
    )
    return f"<h2>{_tr('Keys')}</h2><table cellspacing='4'>{rows}</table>"


PAGES: tuple[tuple[str, Callable[[], str]], ...] = (
    ("How it works", how_it_works),
    ("Method and limits", method),
    ("Cautions", caution_page),
    ("Words of the trade", glossary),
    ("Keys", shortcuts),
)


class Help(QDialog):
    """Pages left, text right."""

    def __init__(self, parent: QWidget | None = None, page: int = 0) -> None:
        super().__init__(parent)
        self.setWindowTitle(_tr("Help"))
        self.resize(860, 600)
        self.list = QListWidget()
        self.list.setAccessibleName(_tr("Pages"))
        self.list.setMaximumWidth(190)
        for title, _make in PAGES:
            self.list.addItem(_tr(title))
        self.text = QTextBrowser()
        self.text.setAccessibleName(_tr("Text"))
        body = QHBoxLayout()
        body.addWidget(self.list)
        body.addWidget(self.text, 1)
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Close)
        buttons.rejected.connect(self.reject)
        layout = QVBoxLayout(self)
        layout.addLayout(body, 1)
        layout.addWidget(buttons)
        self.list.currentRowChanged.connect(self._show)
        self.list.setCurrentRow(page)
        self.list.setFocus(Qt.FocusReason.OtherFocusReason)

    def _show(self, row: int) -> None:
        self.text.setHtml(PAGES[row][1]())
