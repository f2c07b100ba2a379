"""Changes to a lake, its arms, species, seasons, regulations and figures from elsewhere."""

from samples.waters.services.arms import (
    add_arm,
    add_reach,
    move_arm,
    move_reach,
    remove_arm,
    remove_reach,
    rename_arm,
    rename_reach,
)
from samples.waters.services.catalogue import add_listed_species, load_catalogue
from samples.waters.services.copying import Copied, copy_settings
from samples.waters.services.elsewhere import (
    Figure,
    add_creel_figures,
    add_natural_death,
    add_release_death,
    add_tag_returns,
    edit_figure,
    remove_figure,
)
from samples.waters.services.errors import ChangeRefused
from samples.waters.services.lakes import (
    LakeAdded,
    LakeChanged,
    StartingPoint,
    add_lake,
    edit_lake,
    set_up_lake,
)
from samples.waters.services.seasons import (
    add_regulation,
    add_season,
    edit_regulation,
    edit_season,
)
from samples.waters.services.species import (
    add_lake_species,
    add_species,
    edit_group,
    edit_lake_species,
    edit_species,
    move_lake_species,
    remove_lake_species,
)

__all__ = [
    "ChangeRefused",
    "Copied",
    "Figure",
    "LakeAdded",
    "LakeChanged",
    "StartingPoint",
    "add_arm",
    "add_creel_figures",
    "add_lake",
    "add_lake_species",
    "add_listed_species",
    "add_natural_death",
    "add_reach",
    "add_regulation",
    "add_release_death",
    "add_season",
    "add_species",
    "add_tag_returns",
    "copy_settings",
    "edit_figure",
    "edit_group",
    "edit_lake",
    "edit_lake_species",
    "edit_regulation",
    "edit_season",
    "edit_species",
    "load_catalogue",
    "move_arm",
    "move_lake_species",
    "move_reach",
    "remove_arm",
    "remove_figure",
    "remove_lake_species",
    "remove_reach",
    "rename_arm",
    "rename_reach",
    "set_up_lake",
]
