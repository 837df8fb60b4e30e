"""Text in the cells of a table: nothing lost, nothing wider than its column."""

from hypothesis import given, settings
from hypothesis import strategies as st

from airrisk.report.pdf_cells import wrapped
from airrisk.report.text_width import REGULAR, register_fonts, text_width

TEXTS = st.text(alphabet="abcWi .,\u00a0-°", max_size=120)


@settings(deadline=None)
@given(TEXTS, st.floats(20.0, 200.0))
def test_wrapped_lines_hold_the_text_and_fit_the_column(text, width):
    """Property: letters in order, blanks apart; no line is wider than the column."""
    register_fonts()
    lines = wrapped(text, REGULAR, 7.2, width)
    assert "".join(lines).replace(" ", "") == text.replace(" ", "")
    for line in lines:
        assert text_width(line, 7.2) <= width + 1e-6 or len(line) == 1


def test_lines_break_at_blanks_and_not_at_no_break_spaces():
    register_fonts()
    wide = text_width("120\u00a0bar(g)", 7.2) + 0.1
    assert wrapped("at 120\u00a0bar(g) and more", REGULAR, 7.2, wide) == (
        "at", "120\u00a0bar(g)", "and more",
    )  # fmt: skip
