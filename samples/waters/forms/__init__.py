"""Words typed on the pages of a lake."""

from samples.waters.forms.adding import AddLake, AddListedSpecies, CopySettings
from samples.waters.forms.elsewhere import (
    CreelForm,
    FigureForm,
    NaturalDeathForm,
    ReleaseDeathForm,
    TagReturnsForm,
)
from samples.waters.forms.lake import EditLake, Named
from samples.waters.forms.seasons import RegulationForm, SeasonForm
from samples.waters.forms.species import AddLakeSpecies, GroupForm, LakeSpeciesForm, SpeciesForm

__all__ = [
    "AddLake",
    "AddLakeSpecies",
    "AddListedSpecies",
    "CopySettings",
    "CreelForm",
    "EditLake",
    "FigureForm",
    "GroupForm",
    "LakeSpeciesForm",
    "Named",
    "NaturalDeathForm",
    "RegulationForm",
    "ReleaseDeathForm",
    "SeasonForm",
    "SpeciesForm",
    "TagReturnsForm",
]
