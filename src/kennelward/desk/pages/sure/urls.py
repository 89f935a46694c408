"""Addresses of "How sure are we?"."""

from django.urls import path

from kennelward.desk.pages.sure import pool_views, views

app_name = "sure"
urlpatterns = [
    path("", views.index, name="index"),
    path("<str:infection>/", views.infection, name="infection"),
    path("<str:infection>/pool/", pool_views.pool, name="pool"),
]
