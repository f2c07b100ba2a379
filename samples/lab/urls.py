"""Pages of the lab: reading otoliths and settling ages."""

from django.urls import path

from samples.lab.views import (
    ages,
    deciding,
    grid,
    marks,
    preparing,
    quality,
    session_marks,
    sessions,
    swaps,
)

app_name = "lab"
urlpatterns = [
    path("lakes/<slug:slug>/reading/", grid.grid, name="grid"),
    path("lakes/<slug:slug>/reading/save/", grid.save_row, name="save_row"),
    path(
        "lakes/<slug:slug>/reading/<int:pk>/take-back/", deciding.withdraw_reading, name="take_back"
    ),
    path("lakes/<slug:slug>/reading-sessions/", sessions.sessions, name="sessions"),
    path("lakes/<slug:slug>/reading-sessions/<int:pk>/", sessions.session, name="session"),
    path(
        "lakes/<slug:slug>/reading-sessions/<int:pk>/age/",
        sessions.session_age,
        name="session_age",
    ),
    path(
        "lakes/<slug:slug>/reading-sessions/<int:pk>/marks/",
        session_marks.session_marks,
        name="session_marks",
    ),
    path(
        "lakes/<slug:slug>/reading-sessions/<int:pk>/vials/",
        sessions.session_vials,
        name="session_vials",
    ),
    path(
        "lakes/<slug:slug>/reading-sessions/<int:pk>/end/",
        sessions.end_session,
        name="end_session",
    ),
    path("lakes/<slug:slug>/reading-sessions/quality/", quality.quality, name="quality"),
    path(
        "lakes/<slug:slug>/reading-sessions/quality/percent/",
        quality.set_percent,
        name="set_percent",
    ),
    path("lakes/<slug:slug>/reading-sessions/quality/hard/", quality.ask_second, name="ask_second"),
    path(
        "lakes/<slug:slug>/reading-sessions/quality/hard/<int:pk>/remove/",
        quality.unask_second,
        name="unask_second",
    ),
    path(
        "lakes/<slug:slug>/reading-sessions/quality/reference/",
        quality.add_to_reference,
        name="add_reference",
    ),
    path(
        "lakes/<slug:slug>/reading-sessions/quality/reference/<int:pk>/remove/",
        quality.retire_from_reference,
        name="retire_reference",
    ),
    path("lakes/<slug:slug>/reading/<str:number>/marks/", marks.marks, name="marks"),
    path("lakes/<slug:slug>/reading/pictures/<int:pk>/profile/", marks.profile, name="profile"),
    path("lakes/<slug:slug>/ages/", ages.settle, name="settle"),
    path("lakes/<slug:slug>/ages/work-out/", ages.work_out, name="work_out"),
    path("lakes/<slug:slug>/ages/swapped/", swaps.swapped, name="swapped"),
    path("lakes/<slug:slug>/ages/swapped/check/", swaps.check_vials, name="check_vials"),
    path("lakes/<slug:slug>/ages/<str:number>/", ages.one_fish, name="vial"),
    path("lakes/<slug:slug>/ages/<str:number>/decide/", deciding.decide, name="decide"),
    path("lakes/<slug:slug>/ages/<str:number>/undo/", deciding.undo, name="undo"),
    path("lakes/<slug:slug>/preparing/", preparing.preparations, name="preparations"),
    path("lakes/<slug:slug>/preparing/<str:number>/", preparing.prepare, name="prepare"),
    path(
        "lakes/<slug:slug>/preparing/<str:number>/not-needed/",
        preparing.drop_requests,
        name="drop_requests",
    ),
    path("lakes/<slug:slug>/preparations/<int:pk>/", preparing.preparation, name="preparation"),
    path("lakes/<slug:slug>/preparations/<int:pk>/step/", preparing.add_step, name="add_step"),
    path(
        "lakes/<slug:slug>/preparations/<int:pk>/undo/", preparing.remove_step, name="remove_step"
    ),
    path("lakes/<slug:slug>/preparations/<int:pk>/spoil/", preparing.spoil, name="spoil"),
    path("lakes/<slug:slug>/preparations/<int:pk>/restore/", preparing.restore, name="restore"),
    path("lakes/<slug:slug>/set-up/consensus/", deciding.consensus_rule, name="consensus_rule"),
]
