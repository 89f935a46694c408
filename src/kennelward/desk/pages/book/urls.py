"""Addresses of Book."""

from django.urls import path

from kennelward.desk.pages.book import views

app_name = "book"
urlpatterns = [
    path("", views.index, name="index"),
    path("verify/", views.verify, name="verify"),
    path("<str:entry>/strike/", views.strike, name="strike"),
]
