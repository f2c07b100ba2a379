"""A whole finding."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from samples.findings.page_model.plots import Plot
from samples.findings.page_model.sentences import Sentence
from samples.findings.page_model.tables import Table
from samples.findings.page_model.verdicts import Verdicts

_DONOR = re.compile("\ue000(\\d+)\ue001")
A_DONOR = "One donor"


def donor_mark(key: int) -> str:
    """Return what stands for a donor at the head of a sentence until the page is shown."""
    return f"\ue000{key}\ue001"


@dataclass(frozen=True, slots=True)
class SettingsOffer:
    """Other settings of a species at the lake that a finding speaks for.

    They are filled in on the page of the species and hold once somebody saves them there.
    ``values`` are fields and values as they are stored; ``lake_species`` is the key of the row.
    """

    words: str
    button: str
    lake_species: int
    values: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Page:
    """A whole finding, in the order in which it is read.

    ``answer`` is the finding in a line; where there is none, ``title`` heads the page. ``verdicts``
    are the answer of each group. ``summary`` are sentences that anybody understands; ``warnings``
    what must be known before they are believed; ``refused`` says why there is no finding, and what
    would make one. Of one that is ``for_public`` there is a page to print for the public.
    ``offer`` is of other settings. ``methods`` say how it was estimated, and how often such answers
    are right. A sentence that depends on the data has a code, see ``Sentence``.
    """

    title: str
    summary: Sequence[str] = field(default_factory=list)
    warnings: Sequence[str] = field(default_factory=list)
    plots: list[Plot] = field(default_factory=list)
    tables: list[Table] = field(default_factory=list)
    left_out: Sequence[str] = field(default_factory=list)
    cautions: Sequence[str] = field(default_factory=list)
    refused: str = ""
    for_public: bool = False
    methods: list[str] = field(default_factory=list)
    answer: str = ""
    verdicts: Verdicts | None = None
    offer: SettingsOffer | None = None

    @property
    def heading(self) -> str:
        return self.answer or self.title

    @property
    def lead(self) -> list[str]:
        """Return the sentences of no group: those of a group stand in its panel or verdict."""
        return [one for one in self.summary if one not in self._of_groups()]

    @property
    def by_group(self) -> list[str]:
        """Return the sentences of groups at length, but the one that heads the page."""
        said = self._of_groups() - {f"{self.answer}."}
        return [one for one in self.summary if one in said]

    def _of_groups(self) -> set[str]:
        rows = self.verdicts.rows if self.verdicts else []
        panels = {panel.says for plot in self.plots for panel in plot.panels}
        return panels | {row.says for row in rows}

    def donors(self) -> set[int]:
        """Return the keys of the donors that the cautions speak of."""
        return {int(key) for caution in self.cautions for key in _DONOR.findall(caution)}

    def with_donors(self, names: Mapping[int, str]) -> "Page":
        """Return the page with these names in its cautions; who has none is one donor."""

        def name(found: re.Match[str]) -> str:
            return names.get(int(found[1]), A_DONOR)

        def with_name(caution: str) -> str:
            words = _DONOR.sub(name, caution)
            return caution.reworded(words) if isinstance(caution, Sentence) else words

        return replace(self, cautions=[with_name(one) for one in self.cautions])
