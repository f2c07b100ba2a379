"""Which of its eight masks a QR symbol is drawn with: the one of the least penalty.

ISO/IEC 18004, 7.8.3: runs of five and more, blocks of two by two, what looks like a finder pattern,
and too much of one color. An encoder spends nine tenths of its time here; many symbols are weighed
at once, a row of modules in one number.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

import numpy as np
import numpy.typing as npt
import zxingcpp

from samples.vials.geometry import CannotPrint, Symbol

MASKS = 8
QUIET = 4
# The standard's weights N1 to N4.
RUN, BLOCK, FINDER, BALANCE = 3, 3, 40, 10
# A finder pattern's modules, from one end to the other, and the light ones beside it.
FINDER_LIKE = ("10111010000", "00001011101")

Modules = npt.NDArray[np.bool_]
Rows = npt.NDArray[np.uint64]


class SymbolNotMade(CannotPrint):
    """The encoder made another symbol than the label has room for."""

    code = "symbol_not_made"


def best_symbols(links: Sequence[str], symbol: Symbol) -> Modules:
    """Return the modules of symbols of one size, dark ones true: link, row, column.

    :raises SymbolNotMade: if the encoder does not keep to the symbol's version and level
    """
    unchosen = np.stack([encode(link, symbol.version, symbol.error, 0) for link in links])
    if unchosen.shape[1] != symbol.modules:
        raise SymbolNotMade("The code of a label could not be made. Tell your administrator.")
    flips = _flips(symbol.version, symbol.error)
    return np.asarray(unchosen ^ flips[choose_masks(unchosen, flips)])


def encode(link: str, version: int, error: str, mask: int) -> Modules:
    """Return one symbol's modules with a given mask, without its quiet zone."""
    made = zxingcpp.create_barcode(
        link, zxingcpp.BarcodeFormat.QRCode, version=version, ec_level=error, data_mask=mask
    )
    drawn = zxingcpp.write_barcode_to_image(made, scale=1, add_quiet_zones=False)
    return np.asarray(drawn) < 128


@lru_cache(maxsize=32)
def _flips(version: int, error: str) -> Modules:
    """Return which modules each mask turns over against the first one, with what names the mask.

    They are the same whatever the symbol says.
    """
    drawn = np.stack([encode("0", version, error, mask) for mask in range(MASKS)])
    return np.asarray(drawn ^ drawn[0])


def choose_masks(unchosen: Modules, flips: Modules) -> npt.NDArray[np.intp]:
    """Return the mask of the least penalty for each of many symbols drawn with the first one."""
    rows = _packed(unchosen)[:, None] ^ _packed(flips)
    columns = _packed(unchosen.swapaxes(1, 2))[:, None] ^ _packed(flips.swapaxes(1, 2))
    side = unchosen.shape[1]
    lines = np.concatenate((rows, columns), axis=2)
    alike = ~(lines ^ (lines >> np.uint64(1))) & _ones(side - 1)
    penalty = _runs(alike) + _finders(lines, side)
    penalty += _blocks(rows, alike[:, :, :side]) + _balance(rows, side)
    return np.asarray(penalty.argmin(axis=1))


def _packed(modules: Modules) -> Rows:
    """Return each row of modules as one number, its first module the lowest bit."""
    filled = np.zeros((*modules.shape[:-1], 64), dtype=bool)
    filled[..., : modules.shape[-1]] = modules
    return np.packbits(filled, axis=-1, bitorder="little").view("<u8")[..., 0].astype(np.uint64)


def _ones(count: int) -> np.uint64:
    return np.uint64((1 << count) - 1)


def _sum_of_bits(lines: Rows) -> npt.NDArray[np.int64]:
    bits: npt.NDArray[np.int64] = np.bitwise_count(lines).sum(axis=2, dtype=np.int64)
    return bits


def _runs(alike: Rows) -> npt.NDArray[np.int64]:
    """Weigh runs of five and more of one color: 3, and 1 for each module beyond the fifth."""
    two = alike & (alike >> np.uint64(1))
    fives = two & (two >> np.uint64(2))
    begins = fives & ~(fives << np.uint64(1))
    return _sum_of_bits(fives) + (RUN - 1) * _sum_of_bits(begins)


def _blocks(rows: Rows, alike: Rows) -> npt.NDArray[np.int64]:
    """Weigh blocks of two by two of one color; they may overlap."""
    upper, lower = alike[:, :, :-1], alike[:, :, 1:]
    return BLOCK * _sum_of_bits(upper & lower & ~(rows[:, :, :-1] ^ rows[:, :, 1:]))


def _finders(lines: Rows, side: int) -> npt.NDArray[np.int64]:
    """Weigh what looks like a finder pattern with four light modules on a side.

    The quiet zone around the symbol is light too.
    """
    wide = lines << np.uint64(QUIET)
    dark = [wide >> np.uint64(at) for at in range(len(FINDER_LIKE[0]))]
    places = _ones(side + 2 * QUIET - len(FINDER_LIKE[0]) + 1)
    found = np.zeros(lines.shape[:2], dtype=np.int64)
    for pattern in FINDER_LIKE:
        here = np.full_like(lines, places)
        for at, module in enumerate(pattern):
            here &= dark[at] if module == "1" else ~dark[at]
        found += _sum_of_bits(here)
    return FINDER * found


def _balance(rows: Rows, side: int) -> npt.NDArray[np.int64]:
    """Weigh each full 5 percent that the dark modules are away from half of all."""
    away = np.abs(2 * _sum_of_bits(rows) - side * side)
    return BALANCE * (10 * away // (side * side))
