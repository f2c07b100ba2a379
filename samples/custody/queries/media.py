"""What a laboratory clears in, by species and preparation."""

from dataclasses import dataclass

from samples.custody.rules import NO_MEDIUM, USUAL_MEDIUM, Medium, medium_text
from samples.models import ClearingMedium, Lake, Species

_USUAL = {
    ClearingMedium.Preparation.WHOLE: USUAL_MEDIUM,
    ClearingMedium.Preparation.SECTION: NO_MEDIUM,
    ClearingMedium.Preparation.CRACK_AND_BURN: NO_MEDIUM,
}


@dataclass(frozen=True, slots=True)
class MediumRow:
    """A medium, and what it is for; ``pk`` is None for one that no one has changed."""

    preparation: ClearingMedium.Preparation
    species: Species | None
    medium: Medium
    pk: int | None = None

    @property
    def key(self) -> str:
        return f"{self.species.pk if self.species else 0}-{self.preparation}"

    @property
    def title(self) -> str:
        return f"{self.preparation.label}, {self.species or 'all species'}"

    @property
    def words(self) -> str:
        return medium_text(self.medium.glycerin_parts, self.medium.ethanol_parts)


def media_of(lake: Lake) -> list[MediumRow]:
    """List the media of a lake by preparation: that for all species first, then the species'."""
    rows = ClearingMedium.objects.filter(lake=lake).select_related("species")
    own = [
        MediumRow(
            ClearingMedium.Preparation(row.preparation),
            row.species,
            Medium(
                row.glycerin_parts,
                row.ethanol_parts,
                row.ready_after_days,
                row.rinse_within_days,
            ),
            row.pk,
        )
        for row in rows
    ]
    changed = {row.preparation for row in own if row.species is None}
    usual = [
        MediumRow(preparation, None, medium)
        for preparation, medium in _USUAL.items()
        if preparation not in changed
    ]
    order = list(_USUAL)
    return sorted(
        [*own, *usual],
        key=lambda row: (order.index(row.preparation), row.species.name if row.species else ""),
    )
