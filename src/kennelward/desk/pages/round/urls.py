"""Addresses of the round."""

from django.urls import path

from kennelward.desk.pages.round import views

app_name = "round"
urlpatterns = [
    path("", views.index, name="index"),
    path("save/", views.save, name="save"),
    path("after/", views.after, name="after"),
    path("dog/<str:dog>/", views.dog, name="dog"),
]
