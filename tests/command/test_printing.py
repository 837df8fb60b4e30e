"""The short answer as text, from records made by hand."""

from airrisk.command.printing import print_assessment
from tests.report import hand_made


def shown(capsys, *fires) -> str:
    print_assessment(hand_made.answered(*fires), "metric")
    return capsys.readouterr().out


def test_the_matrix_comes_first_and_fits_80_columns(capsys):
    text = shown(
        capsys,
        hand_made.assumed("whole"),
        hand_made.unsafe("Beside R1", fire_class="beside", exposed=("R1",)),
        hand_made.assumed("spot", outcome="outlasts the fire"),
    )
    lines = text.splitlines()
    head = next(n for n, line in enumerate(lines) if line.startswith("Verdicts"))
    assert lines[head + 1 : head + 5] == [
        " Stated fire         All in flames       Fire beside it      Small spot",
        "Vessel R1 and line L1, with valve V1 shut",
        " – no fire stated    ● vents in time     ✖ ruptures          ● vents in time",
        "                       53 %, sure          after 4.3 min       53 %, sure",
    ]
    assert text.index("Verdicts") < text.index("Fires") < text.index("Parts")
    assert "72 runs were made" in text
    assert "Flame away from the plugs: after 4.53 min" in text
    assert text.index("is not safe in at least one fire") < text.index("Verdicts")


def test_a_fire_that_is_not_safe_says_so_before_the_run_as_stated(capsys):
    text = shown(capsys, hand_made.unsafe())
    block = text[text.index("Fires") : text.index("Parts")]
    assert block.index("✖ ruptures; after 4.3 min, 150 % of the allowed load") < block.index(
        "As stated, vessel R1 vents in time:"
    )


def test_what_a_safe_verdict_hangs_on_stands_beside_it(capsys):
    text = shown(capsys, hand_made.fire())
    assert "53 %, not sure" in text
    assert (
        "In fire F1, it is safe, but not sure: passes the limit on the cautious basis "
        "(yield strength)." in text
    )
