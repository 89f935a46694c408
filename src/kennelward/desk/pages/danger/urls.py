"""Addresses of the danger check."""

from django.urls import path

from kennelward.desk.pages.danger import views

app_name = "danger"
urlpatterns = [
    path("", views.index, name="index"),
    path("<str:dog>/", views.check, name="check"),
    path("<str:dog>/vet/", views.vet, name="vet"),
    path("<str:dog>/apart/", views.keep_apart, name="apart"),
    path("<str:dog>/called/", views.called, name="called"),
    path("<str:dog>/clear/", views.clear, name="clear"),
]
