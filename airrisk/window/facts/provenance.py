"""Where a number comes from, as rich text: formula, the values put in, source."""

from __future__ import annotations

import math
from html import escape
from typing import TYPE_CHECKING

from airrisk.wording import labels
from airrisk.wording.formulas import UnknownFormula, render_trace
from airrisk.wording.translation import tr

if TYPE_CHECKING:
    from airrisk.study.records import PartRecord, Trace
    from airrisk.window.session import Session


def value_of(record: PartRecord, key: str) -> float | None:
    """The SI value of one row of the numbers."""
    if key.startswith("rupture by "):
        return record.rupture_temperature_by_basis_k.get(key.removeprefix("rupture by "))
    if hasattr(record.stored_energy_j, key):
        return float(getattr(record.stored_energy_j, key))
    value = getattr(record, key, None)
    return float(value) if isinstance(value, (int, float)) else None


def traces_of(record: PartRecord, key: str) -> list[Trace]:
    """The traces whose result is this number."""
    value = value_of(record, key)
    if value is None:
        return []
    return [t for t in record.traces if math.isclose(t.result, value, rel_tol=1e-9)]


def provenance_html(record: PartRecord, key: str, session: Session) -> str:
    """Formula with numbers and source, or the procedure that gave the number."""
    pieces: list[str] = []
    for trace in traces_of(record, key):
        try:
            worked = render_trace(trace, session.units)
        except UnknownFormula:
            continue
        rows = "".join(
            f"<tr><td><b>{escape(symbol)}</b>&nbsp;</td><td>{escape(what)}&nbsp;</td>"
            f"<td align='right'>{escape(value)}</td></tr>"
            for symbol, what, value in worked.symbols
        )
        result = escape(worked.result)
        if worked.shown:
            result += f" = {escape(worked.shown)}"
        pieces.append(
            f"<p><b>{escape(worked.title)}</b></p><p>{escape(worked.expression)}<br>"
            f"= {escape(worked.filled)}<br>= <b>{result}</b></p>"
            f"<table cellspacing='2'>{rows}</table>"
            f"<p>{tr('Source')}: {escape(worked.source)} ({escape(worked.standing)})</p>"
        )
    if not pieces:
        pieces.append(f"<p><b>{escape(_title(key))}</b></p><p>{escape(_procedure(key))}</p>")
    return "".join(pieces)


def _title(key: str) -> str:
    if key.startswith("rupture by "):
        return tr("Rupture temperature, {basis}").format(
            basis=labels.basis(key.removeprefix("rupture by "))
        )
    return labels.result_name(key)


def _procedure(key: str) -> str:
    """The procedure behind a number that is no single formula."""
    if "rupture" in key:
        return tr(
            "Air and wall are heated together at constant volume. The rupture temperature is "
            "where the air's pressure (real air, equation of state of Lemmon and others 2000) "
            "meets the burst pressure at that temperature on the strength basis; found by root "
            "search between the start and the limit of the material's data."
        )
    if key.endswith("_temperature_k"):
        return tr(
            "The temperature at which air of the present density, heated at constant volume, "
            "reaches that pressure (real air, equation of state of Lemmon and others 2000)."
        )
    if key in ("pressure_pa", "temperature_k"):
        return tr("As it stands in the system file; see the field of the same name.")
    if key == "gas_mass_kg":
        return tr(
            "Volume less condensate, times the density of real air at the start pressure and "
            "temperature (equation of state of Lemmon and others 2000)."
        )
    return tr("Computed from the fields of this part; the report shows each step.")
