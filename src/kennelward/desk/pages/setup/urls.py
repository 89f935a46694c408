"""Addresses of Set-up."""

from django.urls import path

from kennelward.desk.pages.setup import people_views, views

app_name = "setup"
urlpatterns = [
    path("", views.index, name="index"),
    path("first/", views.first, name="first"),
    path("look/", views.look, name="look"),
    path("kennel/", views.kennel, name="kennel"),
    path("leaflet/<str:kit>/", views.leaflet, name="leaflet"),
    path("people/", people_views.people, name="people"),
    path("people/<int:person>/", people_views.change, name="person"),
]
