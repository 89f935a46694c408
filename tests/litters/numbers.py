"""The handbook's own numbers, so that tests run on what users run on."""

from datetime import date

from kennelward.handbook import load_handbook

NUMBERS = load_handbook().litters(date(2026, 11, 1))
DUE = NUMBERS.due_date
