"""This room as a Django app."""

from django.apps import AppConfig


class RecordsConfig(AppConfig):
    """The kennel book in the database."""

    name = "kennelward.desk.records"
    label = "records"
    default_auto_field = "django.db.models.BigAutoField"
