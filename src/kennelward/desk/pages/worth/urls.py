"""Addresses of what results are worth."""

from django.urls import path

from kennelward.desk.pages.worth import views

app_name = "worth"
urlpatterns = [
    path("", views.index, name="index"),
    path("figures/<str:kit>/", views.figures, name="figures"),
    path("prices/<str:infection>/", views.prices, name="prices"),
]
