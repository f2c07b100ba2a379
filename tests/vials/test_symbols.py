"""Symbols are drawn with the mask that the standard asks for, and say what they should."""

from __future__ import annotations

import itertools

import numpy as np
import pytest

from samples.vials.geometry import Symbol
from samples.vials.pdf import masks, symbols
from tests.vials.test_pdf import read_by_other_means

# Version, level and a link that it holds in upper case.
SIZES = [
    (1, "L", "HTTPS://A.DE/V/"),
    (2, "M", "HTTPS://EARSTONE.EXAMPLE/V/"),
    (3, "Q", "HTTPS://SAMPLES.EARSTONE.EXAMPLE/V/"),
]


def symbol_of(version: int, error: str) -> Symbol:
    return Symbol(version, error, 17 + 4 * version, 6, 0.25, 8.0)


def penalty(modules: list[list[bool]]) -> int:
    """Weigh a symbol module by module, by the text of ISO/IEC 18004, 7.8.3 (from memory)."""
    side = len(modules)
    weight = 0
    for line in itertools.chain(modules, zip(*modules, strict=True)):
        lengths = [len(list(run)) for _, run in itertools.groupby(line)]
        weight += sum(3 + length - 5 for length in lengths if length >= 5)
        quiet = "0" * 4
        written = quiet + "".join("1" if dark else "0" for dark in line) + quiet
        for like in ("10111010000", "00001011101"):
            weight += 40 * sum(written.startswith(like, at) for at in range(len(written)))
    for y, x in itertools.product(range(side - 1), repeat=2):
        square = {modules[y][x], modules[y][x + 1], modules[y + 1][x], modules[y + 1][x + 1]}
        weight += 3 * (len(square) == 1)
    percent = 100 * sum(map(sum, modules)) / side**2
    return weight + 10 * int(abs(percent - 50) // 5)


@pytest.mark.parametrize(("version", "error", "head"), SIZES)
def test_the_mask_of_the_least_penalty_is_taken(version: int, error: str, head: str) -> None:
    links = [f"{head}26{place:04d}{place % 10}" for place in range(1, 13)]

    drawn = masks.best_symbols(links, symbol_of(version, error))

    for link, modules in zip(links, drawn, strict=True):
        tried = [masks.encode(link, version, error, mask) for mask in range(8)]
        least = min(penalty(one.tolist()) for one in tried)
        assert penalty(modules.tolist()) == least
        assert any(np.array_equal(modules, one) for one in tried)


@pytest.mark.parametrize(("version", "error", "head"), SIZES)
def test_another_reader_reads_every_symbol(version: int, error: str, head: str) -> None:
    links = [f"{head}26{place:04d}{place % 10}" for place in range(1, 100, 7)]

    for link, modules in zip(
        links, masks.best_symbols(links, symbol_of(version, error)), strict=True
    ):
        light = np.pad(~modules, 4, constant_values=True).astype(np.uint8) * 255
        assert read_by_other_means(np.kron(light, np.ones((8, 8), np.uint8))) == link


def test_a_link_that_takes_a_larger_symbol_is_refused() -> None:
    with pytest.raises(ValueError, match="Error"):
        masks.best_symbols(["HTTPS://EARSTONE.EXAMPLE/V/2601473"], symbol_of(1, "L"))


def test_an_image_never_holds_its_own_end() -> None:
    """A reader of PDF looks for EI to find the end of an image."""
    links = [f"HTTPS://EARSTONE.EXAMPLE/V/26{place:05d}" for place in range(3_000)]

    drawn = symbols.stencils(links, symbol_of(2, "M"))

    assert all(image.count(b"EI") == 1 for image in drawn)
    assert any(b"/AHx" in image for image in drawn)
