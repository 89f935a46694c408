"""Addresses of Due."""

from django.urls import path

from kennelward.desk.pages.due import views

app_name = "due"
urlpatterns = [
    path("", views.index, name="index"),
    path("item/", views.item, name="item"),
    path("done/", views.done, name="done"),
    path("put-off/", views.put_off, name="put-off"),
    path("decline/", views.decline, name="decline"),
    path("tick/", views.tick, name="tick"),
]
