"""Address of the first screen."""

from django.urls import path

from kennelward.desk.pages.start import views

app_name = "start"
urlpatterns = [path("", views.index, name="index")]
