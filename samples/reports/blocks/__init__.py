"""The blocks of a report, made from the data of the day: one module a kind of block."""

from samples.reports.blocks.assemble import MadeReport, assemble

__all__ = ["MadeReport", "assemble"]
