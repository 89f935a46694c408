"""What kinds of policy, orders, prices and numbers are called on the page."""

from django.utils.translation import gettext_lazy as _

KIND_LABELS = {
    "arrivals": _("New dogs"),
    "visits": _("Visiting dogs"),
    "sick": _("A dog with signs"),
    "outbreak": _("Once one is found"),
}
ORDER_LABELS = {
    "sick_days": _("Fewest dog-days ill"),
    "outbreak": _("Least chance of an outbreak"),
    "cases": _("Fewest further cases"),
    "cost": _("Lowest cost"),
}
PRICE_LABELS = {
    "test": _("Each test"),
    "apart_day": _("A day apart, each dog"),
    "sick_day": _("A day ill, each dog: vet, medicine, work"),
    "litter": _("A litter hit"),
    "lab_test": _("Each laboratory test"),
    "closed_day": _("A day closed"),
    "refused": _("Each dog that could not come"),
    "vaccination": _("Each vaccination"),
    "treatment": _("Each treatment by the vet's plan"),
    "cleaning": _("Each extra cleaning"),
}
NUMBER_LABELS = {
    "days": _("days"),
    "after_days": _("days later"),
    "every_days": _("days between rounds"),
    "clear_rounds": _("clear rounds"),
    "cases": _("known cases"),
    "within_days": _("days that a case counts"),
    "top": _("likeliest contacts"),
    "capacity": _("dogs at once"),
    "extend_days": _("days longer after a case"),
    "clears_after": _("days until it clears"),
}
ACTION_LABELS = {
    "quarantine": _("Apart"),
    "isolate": _("Isolation"),
    "test": _("Test"),
    "close": _("Closed"),
    "hold": _("Held"),
    "clean": _("Cleaning"),
    "vaccinate": _("Vaccination"),
    "treat": _("Treatment by the vet's plan"),
    "change-shoes": _("Other shoes and clothes"),
}
