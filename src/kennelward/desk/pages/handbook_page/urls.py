"""Addresses of Handbook."""

from django.urls import path

from kennelward.desk.pages.handbook_page import views

app_name = "handbook"
urlpatterns = [
    path("", views.index, name="index"),
    path("rules/", views.rules, name="rules"),
    path("cautions/", views.cautions, name="cautions"),
    path("sources/", views.sources, name="sources"),
]
