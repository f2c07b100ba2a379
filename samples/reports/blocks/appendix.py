"""Long tables of findings, after the last block: who reads the answers need not turn past them."""

from collections.abc import Iterable, Sequence
from dataclasses import replace

from samples.reports.document import Block, BlockKind, Figure, Part, Passage, Table

# A table of a finding with more rows than this stands in the appendix.
MOST_ROWS = 12
HEADING = "Appendix: long tables"


def with_appendix(blocks: Sequence[Block]) -> tuple[Block, ...]:
    """Move long tables of findings to a block of their own, and number figures and tables."""
    body = _numbered([replace(one, parts=tuple(_short(one))) for one in blocks], 1)
    first = 1 + sum(len(one.tables) for one in body)
    [appendix] = _numbered([_appendix(blocks)], first)
    if not appendix.tables:
        return tuple(body)
    by_block: dict[str, list[Table]] = {}
    tables = iter(appendix.tables)
    for one in blocks:
        by_block[one.key] = [next(tables) for _ in _long(one)]
    return (*(_pointing(one, by_block[one.key]) for one in body), appendix)


def _is_long(block: Block, part: Part) -> bool:
    return (
        block.kind is BlockKind.FINDING and isinstance(part, Table) and len(part.rows) > MOST_ROWS
    )


def _long(block: Block) -> list[Part]:
    return [one for one in block.parts if _is_long(block, one)]


def _short(block: Block) -> list[Part]:
    return [one for one in block.parts if not _is_long(block, one)]


def _appendix(blocks: Sequence[Block]) -> Block:
    parts: list[Part] = []
    for one in blocks:
        if long := _long(one):
            parts += [Passage(one.heading, (one.choice,)), *long]
    return Block("appendix", BlockKind.APPENDIX, len(blocks) + 1, HEADING, parts=tuple(parts))


def _pointing(block: Block, tables: Sequence[Table]) -> Block:
    """Return a block that says which of its tables stand in the appendix."""
    if not tables:
        return block
    listed = "; ".join(f"{one.name}, {one.caption}" for one in tables)
    return replace(block, parts=(*block.parts, Passage("", (f"In the appendix: {listed}.",))))


def _numbered(blocks: Iterable[Block], first_table: int) -> list[Block]:
    """Return blocks whose figures and tables are counted in the order in which they are read."""
    figures, tables, found = 0, first_table - 1, []
    for block in blocks:
        parts: list[Part] = []
        for one in block.parts:
            if isinstance(one, Figure):
                figures += 1
                parts.append(replace(one, number=figures))
            elif isinstance(one, Table):
                tables += 1
                parts.append(replace(one, number=tables))
            else:
                parts.append(one)
        found.append(replace(block, parts=tuple(parts)))
    return found
