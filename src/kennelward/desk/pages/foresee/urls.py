"""Addresses of what may happen."""

from django.urls import path

from kennelward.desk.pages.foresee import views

app_name = "foresee"
urlpatterns = [
    path("", views.index, name="index"),
    path("ask/", views.ask, name="ask"),
    path("<str:task>/", views.answer, name="answer"),
    path("<str:task>/stop/", views.stop, name="stop"),
]
