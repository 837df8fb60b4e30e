"""Whether a part stands above the pressure that it was made for, in a sentence."""

from __future__ import annotations

from airrisk.study.records import HeatingRecord
from airrisk.wording import labels
from airrisk.wording.translation import tr
from airrisk.wording.units import Units, quantity_text

ROUNDING = 1e-6  # of the absolute pressure; values typed in two units differ by less


def above_design_sentence(record: HeatingRecord, units: Units) -> str:
    """That a part stands above its design pressure already cold; empty: it does not.

    Parameters
    ----------
    record : HeatingRecord
        Screening of one vessel or line.
    units : Units
        Unit set and atmosphere.
    """
    stated = (m.pressure_pa for m in record.marks if m.kind == "design pressure")
    design = next(stated, None)
    if design is None or record.pressure_pa <= design * (1.0 + ROUNDING):
        return ""
    return tr(
        "{part} stands at {pressure}, above its design pressure of {design}: nothing may be run so."
    ).format(
        part=labels.sentence(labels.named(record.kind, [record.id])),
        pressure=quantity_text(record.pressure_pa, "pressure", units, 3),
        design=quantity_text(design, "pressure", units, 3),
    )
