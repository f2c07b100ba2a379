"""Pages on which a lake is set up."""

from django.urls import path

from samples.waters.views import adding, arms, elsewhere, lake, seasons, species

SET_UP = "lakes/<slug:slug>/set-up"
ELSEWHERE = f"{SET_UP}/elsewhere"

app_name = "waters"
urlpatterns = [
    path("add-a-lake/", adding.add_lake, name="add_lake"),
    path(f"{SET_UP}/copy/", adding.copy_settings, name="copy_settings"),
    path(f"{SET_UP}/", lake.lake, name="lake"),
    path(f"{SET_UP}/lake/", lake.edit_lake, name="edit_lake"),
    path(f"{SET_UP}/arms/", arms.arms, name="arms"),
    path(f"{SET_UP}/arms/<int:pk>/", arms.arm, name="arm"),
    path(f"{SET_UP}/arms/<int:pk>/move/", arms.move_arm, name="move_arm"),
    path(f"{SET_UP}/arms/<int:pk>/remove/", arms.remove_arm, name="remove_arm"),
    path(f"{SET_UP}/arms/<int:pk>/add-reach/", arms.add_reach, name="add_reach"),
    path(f"{SET_UP}/reaches/<int:pk>/", arms.reach, name="reach"),
    path(f"{SET_UP}/reaches/<int:pk>/move/", arms.move_reach, name="move_reach"),
    path(f"{SET_UP}/reaches/<int:pk>/remove/", arms.remove_reach, name="remove_reach"),
    path(f"{SET_UP}/species/", species.species, name="species"),
    path(f"{SET_UP}/species/take-up/", species.add_lake_species, name="take_up"),
    path(f"{SET_UP}/species/several/", adding.add_listed_species, name="add_listed_species"),
    path(f"{SET_UP}/species/new/", species.add_species, name="add_species"),
    path(f"{SET_UP}/species/<int:pk>/", species.lake_species, name="lake_species"),
    path(f"{SET_UP}/species/<int:pk>/move/", species.move_lake_species, name="move_lake_species"),
    path(
        f"{SET_UP}/species/<int:pk>/remove/",
        species.remove_lake_species,
        name="remove_lake_species",
    ),
    path(f"{SET_UP}/species/<int:pk>/everywhere/", species.edit_species, name="edit_species"),
    path(f"{SET_UP}/groups/<int:pk>/", species.group, name="group"),
    path(f"{SET_UP}/seasons/", seasons.seasons, name="seasons"),
    path(f"{SET_UP}/seasons/add/", seasons.add_season, name="add_season"),
    path(f"{SET_UP}/seasons/<int:pk>/", seasons.season, name="season"),
    path(f"{SET_UP}/regulations/", seasons.regulations, name="regulations"),
    path(f"{SET_UP}/regulations/add/", seasons.add_regulation, name="add_regulation"),
    path(f"{SET_UP}/regulations/<int:pk>/", seasons.regulation, name="regulation"),
    path(f"{ELSEWHERE}/", elsewhere.elsewhere, name="elsewhere"),
]
for _kind in elsewhere.KINDS:
    _place = f"{ELSEWHERE}/{_kind.replace('_', '-')}"
    _told = {"name": _kind}
    urlpatterns += [
        path(f"{_place}/add/", elsewhere.add_figure, _told, name=f"add_{_kind}"),
        path(f"{_place}/<int:pk>/", elsewhere.figure, _told, name=_kind),
        path(f"{_place}/<int:pk>/remove/", elsewhere.remove_figure, _told, name=f"remove_{_kind}"),
    ]
