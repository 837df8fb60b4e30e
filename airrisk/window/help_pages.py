"""Help inside the window: how it works, the method and its limits, cautions, words, keys."""

from __future__ import annotations

from collections.abc import Callable
from html import escape

from PySide6.QtCore import Qt
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
from airrisk.wording.translation import tr


def _list(items: tuple[str, ...]) -> str:
    return "<ul>" + "".join(f"<li>{escape(item)}</li>" for item in items) + "</ul>"


def how_it_works() -> str:
    """The way through the window."""
    steps = (
        tr("Start from three questions, a sample system, or a file of your own. A field takes a "
            "number with any unit of its kind: 145 psig, 2000 L, 1,2 m with a decimal comma."),
        tr("Layout: add parts, join them with Connect, put valves and devices on them. The answer "
            "follows every change; while it is being computed the last one is greyed."),
        tr("Site plan: where things stand, to scale. A picture from above can lie under it: choose "
           "it with Picture, then click two points and type how far apart they are. No "
           "calculation reads it, and it is not printed."),
        tr("Verdicts: a row for each isolable section, a column for each kind of fire, stated or "
            "assumed. Each is the worst of many runs: from the stated and the highest pressure, "
            "with all of the heat and part of it. A click shows the fire behind it."),
        tr("First: what happens first as the air warms, and at what time in the fire. Rupture is "
            "a band, because it depends on how the strength of hot metal is counted."),
        tr("Findings: a click leads to the part; its tool tip names the source of the rule. The "
            "search takes words, for example: danger R1."),
        tr("Numbers: every result shows its formula with the present values and its source."),
        tr("Inspection round: every stop of an audit in flow order, and the upkeep register."),
        tr("Consequences: how far blast and pieces reach if a vessel lets go, and who is inside."),
        tr("Explore: turn values on a scratch copy. While a value moves, the run as stated is "
            "shown; the verdict over all runs follows when it rests. Keep makes one undoable step "
            "of it; Drop leaves the file untouched."),
        tr("Find a cure: seeks causes and plans, which stand in Cures. Try the cure, or Try in "
           "Explore there, shows the change tried, before and after. Apply as offered makes it one "
           "edit; its values are offered until somebody confirms them."),
        tr("Uncertainty: does the verdict hold when the inputs are not exactly as stated? Each "
            "alone, one or two swept, or all drawn from their spreads, with the probability that "
            "the plug acts first."),
        tr("Report: to preview and save, with the values that nobody typed listed first."),
        tr("View: light or dark, and the size of all text from 100 % to 200 %."),
    )  # fmt: skip
    return f"<h2>{tr('How it works')}</h2>{_list(steps)}"


def method() -> str:
    """The method in steps, its assumptions and what it leaves out."""
    steps = "".join(
        f"<h3>{escape(step.title)}</h3><p>{escape(step.text)}<br>"
        f"<small>{tr('Source')}: {escape(step.source)} ({escape(step.standing)})</small></p>"
        for step in method_steps()
    )
    return (
        f"<h2>{tr('The method')}</h2>{steps}<h2>{tr('Assumptions')}</h2>{_list(assumptions())}"
        f"<h2>{tr('Limits of the model')}</h2>{_list(model_limits())}"
    )


def caution_page() -> str:
    """What the answer does not replace."""
    return f"<h2>{tr('Cautions')}</h2>{_list(cautions())}"


def glossary() -> str:
    """Words of the trade as this program uses them."""
    words = (
        (tr("Part"), tr("What holds air (vessel, line) or makes it (compressor).")),
        (tr("Device"), tr("A way out for the air: fusible plug, relief valve, bursting disc.")),
        (tr("Fusible plug"), tr("A screw with a core of metal that melts at a known "
                                  "temperature and lets the air out. It answers heat.")),
        (tr("Solidus, liquidus"), tr("An alloy begins to melt at the solidus and is all "
                                       "molten at the liquidus.")),
        (tr("Relief valve"), tr("A valve with a spring that lifts at its set pressure. It "
                                  "answers pressure, not weak metal.")),
        (tr("Bursting disc"), tr("A thin disc that bursts at its pressure and stays open.")),
        (tr("Section"), tr("Parts that stay joined when given valves are closed. Shut in: every "
                             "valve that may be closed is closed.")),
        (tr("Safe"), tr("Every run of a fire keeps the metal within the limit. Sure: also with "
                          "each doubtful assumption the other way. Not yet checked: only the run "
                          "as stated has been made.")),
        (tr("Offered"), tr("A value that the program filled in. A device with one is not counted "
                             "on until somebody has confirmed it or typed another.")),
        (tr("Gauge, absolute"), tr("Gauge pressure counts from the atmosphere, absolute from "
                                     "vacuum. 0 bar(g) is about 1.013 bar(a).")),
        (tr("Strength use"), tr("Gauge pressure over the burst pressure of the metal at its "
                                  "present temperature; 1 is rupture.")),
        (tr("Strength basis"), tr("The rule by which the strength of hot metal is counted. The "
                                    "yield basis is the cautious one.")),
        (tr("Design pressure"), tr("The pressure that the vessel was built for.")),
        (tr("Torispherical head"), tr("A dished end: a large sphere with a small knuckle.")),
        (tr("Free air"), tr("Air counted at the pressure and temperature of the site.")),
        (tr("TNT mass"), tr("The mass of TNT with the same energy; a comparison, not a "
                              "prediction close to the vessel.")),
        (tr("Overpressure"), tr("Pressure of a blast wave above the atmosphere; incident when it "
                                  "passes, reflected when it meets a wall.")),
        (tr("Locked open"), tr("A valve that cannot be shut without breaking a lock or seal.")),
    )  # fmt: skip
    rows = "".join(f"<p><b>{escape(word)}</b><br>{escape(text)}</p>" for word, text in words)
    return f"<h2>{tr('Words')}</h2>{rows}"


def shortcuts() -> str:
    """All keys."""
    keys = (
        ("Ctrl+N, Ctrl+O, Ctrl+S, Ctrl+Shift+S", tr("new, open, save, save as")),
        ("Ctrl+Z, Ctrl+Shift+Z", tr("undo, redo")),
        ("Ctrl+X, Ctrl+C, Ctrl+V, Ctrl+D, Del", tr("cut, copy, paste, duplicate, delete parts")),
        (
            "Ctrl+1 … Ctrl+8",
            tr("Layout, Inspection round, Consequences, Explore, Uncertainty, Report, System file"),
        ),
        ("Ctrl+F, Ctrl+I", tr("find a part, data of the installation")),
        ("Ctrl+R", tr("remark on the field that has the keyboard")),
        ("Ctrl+Shift+I", tr("add an inspection")),
        ("Ctrl+Shift+A, A", tr("decide about a finding: any, or that of the card")),
        ("Ctrl+K", tr("compare with an older file")),
        (tr("A letter in the drawing, Ctrl+T"), tr("type a part; Return adds it")),
        ("Ctrl+B, Ctrl+Shift+T", tr("add a part, enter parts as a table")),
        ("Ctrl+U", tr("usual sizes for the chosen part")),
        ("Ctrl+Shift+C", tr("read and confirm the offered values of all parts")),
        (tr("Menu key"), tr("the menu of what is chosen")),
        ("Ctrl+M", tr("schematic or site plan")),
        ("Ctrl+Shift+E", tr("try the cheapest proven cure in Explore")),
        ("Ctrl+L", tr("connect two parts: choose one, press Return, choose the other")),
        (tr("Arrows in the drawing"), tr("go to the next part in that direction")),
        (tr("Alt+arrows in the drawing"), tr("move the chosen part")),
        (tr("+, -, 0 in drawing and charts"), tr("zoom in, zoom out, show all")),
        (tr("Left, right in a chart"), tr("read values along the curve")),
        (tr("Alt and an underlined letter"), tr("go to the field with that letter")),
        (tr("Return, Esc in a field"), tr("take the value, take the typing back")),
        ("F1", tr("this help")),
        ("F4", tr("all commands, to be searched")),
    )
    rows = "".join(
        f"<tr><td><b>{escape(key)}</b>&nbsp;&nbsp;</td><td>{escape(what)}</td></tr>"
        for key, what in keys
    )
    return f"<h2>{tr('Keys')}</h2><table cellspacing='4'>{rows}</table>"


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
        self.setWindowTitle(tr("Help"))
        self.resize(860, 600)
        self.list = QListWidget()
        self.list.setAccessibleName(tr("Pages"))
        self.list.setMaximumWidth(190)
        for title, _make in PAGES:
            self.list.addItem(tr(title))
        self.text = QTextBrowser()
        self.text.setAccessibleName(tr("Text"))
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
