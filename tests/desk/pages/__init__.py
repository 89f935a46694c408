"""Tests of the pages, with Django's own client."""
