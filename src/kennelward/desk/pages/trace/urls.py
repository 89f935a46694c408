"""Addresses of tracing."""

from django.urls import path

from kennelward.desk.pages.trace import views

app_name = "trace"
urlpatterns = [
    path("", views.index, name="index"),
    path("ask/", views.ask, name="ask"),
    path("<str:task>/", views.answer, name="answer"),
    path("<str:task>/stop/", views.stop, name="stop"),
    path("<str:task>/apart/", views.apart, name="apart"),
]
