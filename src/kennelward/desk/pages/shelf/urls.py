"""Addresses of Shelf."""

from django.urls import path

from kennelward.desk.pages.shelf import views

app_name = "shelf"
urlpatterns = [
    path("", views.index, name="index"),
    path("add/", views.add, name="add"),
    path("<str:lot>/count/", views.count, name="count"),
]
