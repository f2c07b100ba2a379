"""A whole finding."""

from dataclasses import dataclass, field

from samples.findings.page_model.plots import Plot
from samples.findings.page_model.tables import Table


@dataclass(frozen=True, slots=True)
class Page:
    """A whole finding, in the order in which it is read.

    ``summary`` are sentences that anybody understands; ``warnings`` what must be known before they
    are believed; ``refused`` says why there is no finding, and what would make one. Of one that
    is ``for_public`` there is a page to print for the public.
    """

    title: str
    summary: list[str] = field(default_factory=list)
    warnings: list[str] = field(default_factory=list)
    plots: list[Plot] = field(default_factory=list)
    tables: list[Table] = field(default_factory=list)
    left_out: list[str] = field(default_factory=list)
    cautions: list[str] = field(default_factory=list)
    refused: str = ""
    for_public: bool = False
