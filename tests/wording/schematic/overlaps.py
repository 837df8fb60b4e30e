"""What a drawing must not do: what runs over what. Used by the tests of schematic and window."""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Iterator, Mapping, Sequence

from airrisk.wording.schematic.records import XY, Rect, Schematic, around

Stretch = tuple[XY, XY]
NEAR = 0.5  # px


def stretches(points: Sequence[XY]) -> list[Stretch]:
    return list(itertools.pairwise(points))


def band(stretch: Stretch) -> Rect:
    """A level or upright stretch as the thinnest rectangle."""
    (a, b), (c, d) = stretch
    return Rect(min(a, c), min(b, d), max(a, c), max(b, d)).grown(NEAR)


def lie_on_each_other(one: Stretch, other: Stretch) -> bool:
    """Whether two stretches share more than a crossing: a piece, a bend or an end."""
    if not band(one).meets(band(other)):
        return False
    level = [abs(a[1] - b[1]) < 1e-6 for a, b in (one, other)]
    if level[0] == level[1]:
        return True
    flat, tall = (one, other) if level[0] else (other, one)
    x, y = tall[0][0], flat[0][1]
    inside_flat = min(flat[0][0], flat[1][0]) + NEAR < x < max(flat[0][0], flat[1][0]) - NEAR
    inside_tall = min(tall[0][1], tall[1][1]) + NEAR < y < max(tall[0][1], tall[1][1]) - NEAR
    return not (inside_flat and inside_tall)


def over_symbols(
    courses: Mapping[str, Sequence[XY]], symbols: Mapping[str, Rect], own: Mapping[str, set[str]]
) -> Iterator[str]:
    """Lines that run over a symbol that is not their own."""
    for line, points in courses.items():
        for stretch in stretches(points):
            for name, rect in symbols.items():
                if name not in own[line] and band(stretch).meets(rect.grown(-NEAR)):
                    yield f"{line} runs over {name}"


def on_each_other(courses: Mapping[str, Sequence[XY]]) -> Iterator[str]:
    """Lines of which a piece, a bend or an end lies on another."""
    for (one, points), (other, more) in itertools.combinations(courses.items(), 2):
        if any(lie_on_each_other(a, b) for a in stretches(points) for b in stretches(more)):
            yield f"{one} lies on {other}"


def covered_names(
    names: Mapping[str, Rect], symbols: Mapping[str, Rect], courses: Mapping[str, Sequence[XY]]
) -> Iterator[str]:
    """Names that stand on another name, on a foreign symbol or on a line."""
    for (one, a), (other, b) in itertools.combinations(names.items(), 2):
        if a.grown(-NEAR).meets(b.grown(-NEAR)):
            yield f"the name of {one} stands on the name of {other}"
    for name, rect in names.items():
        for other, symbol in symbols.items():
            if other != name and rect.grown(-NEAR).meets(symbol):
                yield f"the name of {name} stands on {other}"
        for line, points in courses.items():
            if any(band(stretch).meets(rect.grown(-NEAR)) for stretch in stretches(points)):
                yield f"the name of {name} stands on line {line}"


def faults(schematic: Schematic, own: Mapping[str, set[str]]) -> list[str]:
    """All that a schematic must not do; ``own`` are the symbols that may stand on each line.

    Answers are names too.
    """
    courses = {name: course.points for name, course in schematic.courses.items()}
    symbols = {name: symbol.rect for name, symbol in schematic.symbols.items()}
    names = {name: label.rect for name, label in schematic.labels.items()}
    names |= {f"answer of {name}": rect for name, rect in schematic.blocks.items()}
    marks = {name: label.mark for name, label in schematic.labels.items()}
    found = [
        f"{one} stands on {other}"
        for (one, a), (other, b) in itertools.combinations(symbols.items(), 2)
        if a.grown(-NEAR).meets(b)
    ]
    found += over_symbols(courses, symbols, own)
    found += on_each_other(courses)
    found += covered_names(names, symbols, courses)
    found += (f"mark: {fault}" for fault in covered_names(marks, symbols, courses))
    found += (
        f"the mark of {one} stands on the name of {other}"
        for one, mark in marks.items()
        for other, name in names.items()
        if mark.grown(-NEAR).meets(name)
    )
    found += (f"{name} is slanted" for name, points in courses.items() for (a, b), (c, d) in
              stretches(points) if abs(a - c) > 1e-6 and abs(b - d) > 1e-6)  # fmt: skip
    return found


def own_symbols(installation: object) -> dict[str, set[str]]:
    """The symbols that a line may run into: its ends, and what stands on it."""
    own: dict[str, set[str]] = {}
    devices = list(installation.devices())  # type: ignore[attr-defined]
    for line in installation.lines:  # type: ignore[attr-defined]
        mine = {line.from_, line.to, f"{line.id}:from", f"{line.id}:to"}
        fitted = {d.id for d in devices if d.on == line.id}
        on = fitted | {line.id}
        valves = installation.valves  # type: ignore[attr-defined]
        own[line.id] = mine | fitted | {v.id for v in valves if v.on in on}
    return own


def boxes(rects: Iterable[tuple[str, float, float, float, float]]) -> dict[str, Rect]:
    """Rectangles by middle and half size."""
    return {name: around(x, y, w, h) for name, x, y, w, h in rects}
