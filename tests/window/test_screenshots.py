"""The command that takes pictures says how it is used."""

import pytest

from tests.window.screenshots import main


def test_help_names_the_tasks(capsys):
    with pytest.raises(SystemExit) as ended:
        main(["--help"])
    assert ended.value.code == 0
    text = capsys.readouterr().out
    assert all(word in text for word in ("--journeys", "--readme", "FOLDER", "SAMPLE"))


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ([], "FOLDER"),
        (["--twice", "out"], "--twice"),
        (["out", "moon-base"], "no sample system 'moon-base'; there are "),
        (["--readme", "out", "river-ferry"], "their own sample systems"),
    ],
)
def test_wrong_words_are_refused_before_anything_is_made(
    capsys, tmp_path, monkeypatch, words, said
):
    monkeypatch.chdir(tmp_path)
    with pytest.raises(SystemExit) as ended:
        main(words)
    assert ended.value.code == 2
    assert said in capsys.readouterr().err
    assert not list(tmp_path.iterdir())
