"""Addresses of Pens."""

from django.urls import path

from kennelward.desk.pages.pens import edit_views, views

app_name = "pens"
urlpatterns = [
    path("", views.index, name="index"),
    path("move/", views.move, name="move"),
    path("quick/", edit_views.quick, name="quick"),
    path("add/", edit_views.add, name="add"),
    path("place/", edit_views.place_pen, name="place"),
    path("turn/", edit_views.turn, name="turn"),
    path("<str:pen>/", edit_views.change, name="change"),
]
