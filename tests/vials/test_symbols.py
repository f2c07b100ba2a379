"""Symbols on labels say what they should, whatever reads them."""

from __future__ import annotations

import re

import numpy as np
import numpy.typing as npt
import pytest

from samples.vials.geometry import Symbol
from samples.vials.pdf import symbols
from tests.vials.test_pdf import read_by_other_means

# Version, level and a link that it holds in upper case.
SIZES = [
    (1, "L", "HTTPS://A.DE/V/"),
    (2, "M", "HTTPS://EARSTONE.EXAMPLE/V/"),
    (3, "Q", "HTTPS://SAMPLES.EARSTONE.EXAMPLE/V/"),
]


def symbol_of(version: int, error: str) -> Symbol:
    return Symbol(version, error, 17 + 4 * version, 6, 0.25, 8.0)


def light_modules(image: str) -> npt.NDArray[np.uint8]:
    """Read an inline image: a bit a module, light ones 1, rows filled up to whole bytes."""
    written = re.fullmatch(r"BI/W (\d+)/H (\d+)/IM true/F/AHx ID ([0-9a-f]+)>\nEI", image)
    assert written is not None
    width, height = int(written[1]), int(written[2])
    rows = np.frombuffer(bytes.fromhex(written[3]), dtype=np.uint8).reshape(height, -1)
    return np.unpackbits(rows, axis=1)[:, :width]


@pytest.mark.parametrize(("version", "error", "head"), SIZES)
def test_another_reader_reads_every_symbol(version: int, error: str, head: str) -> None:
    symbol = symbol_of(version, error)

    for place in range(1, 100, 7):
        link = f"{head}26{place:04d}{place % 10}"
        light = light_modules(symbols.stencil(link, symbol))
        assert light.shape == (symbol.modules, symbol.modules)
        framed = np.pad(light, 4, constant_values=1) * np.uint8(255)
        assert read_by_other_means(np.kron(framed, np.ones((8, 8), np.uint8))) == link


def test_a_link_that_takes_a_larger_symbol_is_refused() -> None:
    with pytest.raises(ValueError, match="Error"):
        symbols.stencil("HTTPS://EARSTONE.EXAMPLE/V/2601473", symbol_of(1, "L"))
