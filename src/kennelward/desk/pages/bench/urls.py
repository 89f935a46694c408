"""Addresses of Bench."""

from django.urls import path

from kennelward.desk.pages.bench import (
    eyes_views,
    file_views,
    photo_views,
    strip_views,
    views,
)

app_name = "bench"
urlpatterns = [
    path("", views.index, name="index"),
    path("eyes/", eyes_views.eyes, name="eyes"),
    path("test/<str:test>/", strip_views.strip, name="test"),
    path("test/<str:test>/seen/", strip_views.seen, name="seen"),
    path("test/<str:test>/again/", strip_views.look_again, name="again"),
    path("test/<str:test>/photo/", photo_views.photo, name="photo"),
    path("test/<str:test>/<str:entry>/reread/", photo_views.reread, name="reread"),
    path("test/<str:test>/apart/", strip_views.keep_apart, name="apart"),
    path("test/<str:test>/drop/", strip_views.drop, name="drop"),
    path("test/<str:test>/alarm.ics", file_views.alarm, name="alarm"),
    path("test/<str:test>/<str:entry>/photo.jpg", file_views.photo, name="picture"),
    path("test/<str:test>/<str:entry>/overlay.png", file_views.overlay, name="overlay"),
    path("<str:dog>/<str:kit>/", views.ready, name="ready"),
]
