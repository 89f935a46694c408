"""Addresses of "When can this test answer?"."""

from django.urls import path

from kennelward.desk.pages.answers import views

app_name = "answers"
urlpatterns = [
    path("", views.index, name="index"),
    path("<str:kit>/", views.kit, name="kit"),
]
