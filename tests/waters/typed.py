"""Figures from elsewhere as a person types them."""

SOURCED = {"source": "Basin survey, 2024", "as_of": "31 December 2024"}
RANGE = {"least": "24", "middle": "30", "most": "45.25"}
NATURAL = {"given_as": "percent", **RANGE}
TAGS = {
    "tags_out": "200",
    "returned": "45",
    "reporting_least": "50",
    "reporting_most": "80 %",
    "tags_kept": "95",
    "survived_tagging": "100",
}
CREEL = {
    "angler_hours": "21,400",
    "caught": "17 100",
    "released": "42,5",
    "smallest_kept_hundredths_mm": "9.2",
}


def typed_figures(species, season, arm):
    """Return what a person types for one figure of each kind."""
    placed = {"season": season.pk, "arm": arm.pk}
    words = {
        "natural_death": {**NATURAL, "oldest_years": "12", "arm": arm.pk},
        "release_death": {**RANGE, "when": "Spring, less than 15 ft down"},
        "tag_returns": {**TAGS, **placed},
        "creel_figures": {**CREEL, **placed},
    }
    return {name: {"species": species.pk, **SOURCED, **said} for name, said in words.items()}
