"""Pages of this stage: below coverage, whose shortfall nets are to fill."""

from django.urls import path

from samples.nets import views

app_name = "nets"
urlpatterns = [
    path("lakes/<slug:slug>/coverage/nets/", views.plan, name="plan"),
    path("lakes/<slug:slug>/coverage/nets/sheet.pdf", views.sheet, name="sheet"),
    path("lakes/<slug:slug>/coverage/nets/record/", views.record, name="record"),
    path("lakes/<slug:slug>/coverage/nets/<int:pk>/delete/", views.delete, name="delete"),
]
