"""What a page of findings is made of: words, figures and tables, before anything is drawn.

A topic turns a sample into one of these, and knows neither the web nor the drawing. The page,
the figures as SVG and PNG, and the tables as HTML, CSV and XLSX are all made from it.
"""

from samples.findings.page_model.cells import (
    DASH,
    DOT,
    Cell,
    Count,
    End,
    Estimate,
    Interval,
    Joined,
    Length,
    LengthBin,
    Missing,
    Number,
    Part,
    PValue,
    Scalar,
    Share,
    Text,
    in_words,
    interval,
    percent_interval,
)
from samples.findings.page_model.page import Page, SettingsOffer, donor_mark
from samples.findings.page_model.plots import Mark, Panel, Plot, Series
from samples.findings.page_model.sentences import Sentence, joined
from samples.findings.page_model.tables import Column, Table
from samples.findings.page_model.verdicts import GroupVerdict, Verdicts
from samples.rules.number_text import PERCENT

__all__ = [
    "DASH",
    "DOT",
    "PERCENT",
    "Cell",
    "Column",
    "Count",
    "End",
    "Estimate",
    "GroupVerdict",
    "Interval",
    "Joined",
    "Length",
    "LengthBin",
    "Mark",
    "Missing",
    "Number",
    "PValue",
    "Page",
    "Panel",
    "Part",
    "Plot",
    "Scalar",
    "Sentence",
    "Series",
    "SettingsOffer",
    "Share",
    "Table",
    "Text",
    "Verdicts",
    "donor_mark",
    "in_words",
    "interval",
    "joined",
    "percent_interval",
]
