"""Addresses of Dogs; each action on a dog has its own, with its own roles."""

from django.urls import path

from kennelward.desk.pages.dogs import import_views, views
from kennelward.desk.pages.dogs.actions import ACTIONS

app_name = "dogs"
urlpatterns = [
    path("", views.index, name="index"),
    path("add/", views.add, name="add"),
    path("arrive/", views.arrive, name="arrive"),
    path("import/", import_views.import_dogs, name="import"),
    path("<str:dog>/", views.dog, name="dog"),
    path("<str:dog>/change/", views.change, name="change"),
    path("<str:dog>/arrive/", views.arrive_again, name="arrive-again"),
    path("<str:dog>/course/<str:course>/tick/", views.tick, name="tick"),
    *(
        path(f"<str:dog>/{action.code}/", views.act(action), name=f"act-{action.code}")
        for action in ACTIONS
    ),
]
