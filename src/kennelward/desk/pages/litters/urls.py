"""Addresses of Litters."""

from django.urls import path

from kennelward.desk.pages.litters import (
    file_views,
    growth_views,
    import_views,
    loss_views,
    night_views,
    pregnancy_views,
    views,
)

app_name = "litters"
urlpatterns = [
    path("", views.index, name="index"),
    path("losses/", loss_views.losses, name="losses"),
    path("night.js", night_views.worker, name="worker"),
    path("bitch/<str:dam>/", pregnancy_views.pregnancy, name="pregnancy"),
    path("bitch/<str:dam>/<str:what>/", pregnancy_views.write, name="write"),
    path("night/<str:dam>/", night_views.night, name="night"),
    path("night/<str:dam>/sync/", night_views.sync, name="sync"),
    path("night/<str:dam>/end/", night_views.end, name="end"),
    path("<str:litter>/", growth_views.growth, name="litter"),
    path("<str:litter>/file/", file_views.before_they_leave, name="file"),
    path("<str:litter>/import/", import_views.import_weights, name="import"),
    path("<str:litter>/late/", growth_views.late, name="late"),
    path("<str:litter>/weigh/", growth_views.weigh, name="weigh"),
]
