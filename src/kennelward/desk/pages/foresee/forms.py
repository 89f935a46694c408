"""What can be asked about what may happen."""

from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from kennelward.desk.pages.foresee.asked import asked_of
from kennelward.desk.pages.foresee.labels import (
    ACTION_LABELS,
    KIND_LABELS,
    NUMBER_LABELS,
    ORDER_LABELS,
    PRICE_LABELS,
)
from kennelward.desk.pages.shell.forms import cents, choice_field
from kennelward.handbook import Handbook
from kennelward.kennel import Book
from kennelward.rounds.plan_outbreak import USUAL_NOW, ready_policies
from kennelward.rounds.policy_changes import Change, open_numbers, with_changes
from kennelward.rounds.spread_knowledge import offered_tests
from kennelward.spread.compare import ORDERS
from kennelward.spread.policies import KINDS, PolicyText
from kennelward.terms import BadInput

INFECTIONS = ("parvovirus", "giardia", "brucella")
PRODUCTS = (
    ("", _("As the book has it")),
    ("soap", _("Soap or detergent alone")),
    ("bleach", _("Washed, then bleach")),
    ("peroxide", _("Washed, then a peroxide product")),
    ("quat", _("Washed, then a quat")),
    ("steam", _("Washed, then steam")),
)


def number(label: Any, *, most: int, least: int = 0, **more: Any) -> forms.IntegerField:
    """A whole number that may stay empty."""
    return forms.IntegerField(
        label=label, min_value=least, max_value=most, required=False, **more
    )


class AskForm(forms.Form):
    """Which infection, what is done now, and what the user knows better."""

    infection = forms.ChoiceField(widget=forms.HiddenInput)
    own_days = number(
        _("Days apart for new dogs"),
        most=365,
        help_text=_("Your own rule, tried beside the ready ones."),
    )
    own_test_1 = number(_("Tested on day"), most=365)
    own_test_2 = number(_("and on day"), most=365)
    test = forms.ChoiceField(label=_("Test that is used"), required=False)
    by = forms.ChoiceField(
        label=_("Best means"), choices=[(name, ORDER_LABELS[name]) for name in ORDERS]
    )
    is_search = forms.BooleanField(
        label=_("Try every combination, up to 150 plans: takes longer"), required=False
    )
    days = number(_("Days ahead"), least=7, most=1100)
    arrivals_a_year = number(_("New dogs a year"), most=500)
    visits_a_year = number(_("Visiting dogs a year"), most=500)
    isolation_room = number(_("Dogs you can keep apart at once"), most=200)
    clean_every_days = number(_("Days between cleanings of a pen"), least=1, most=365)
    product = forms.ChoiceField(
        label=_("Pens are cleaned with"), choices=PRODUCTS, required=False
    )
    floor = forms.ChoiceField(
        label=_("Floor of the pens"),
        choices=(
            ("floor", _("Hard and sealed")),
            ("porous", _("Wood, bricks, worn concrete")),
        ),
    )
    shares_yards = forms.BooleanField(
        label=_("Pens take turns in a yard"), required=False, initial=True
    )
    everyone_may_carry = forms.BooleanField(
        label=_("Dogs without any suspicion may carry it, too"), required=False
    )

    def __init__(
        self, *args: Any, book: Book, handbook: Handbook, infection: str, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.numbers: dict[str, tuple[str, str, Change]] = {}
        choice_field(self, "infection").choices = [(name, name) for name in INFECTIONS]
        self.fields["infection"].initial = infection
        choice_field(self, "test").choices = [
            (one.test, one.name) for one in offered_tests(handbook, infection)
        ]
        self.ready = ready = ready_policies(handbook, infection)
        for kind in KINDS:
            held = [policy for policy in ready if policy.kind == kind]
            usual = [one.id for one in held if one.id in USUAL_NOW[kind]]
            self.fields[f"now_{kind}"] = forms.ChoiceField(
                label=KIND_LABELS[kind],
                choices=[(policy.id, policy.says) for policy in held],
                initial=usual[0] if usual else None,
            )
            for policy in held:
                self._add_numbers(policy)
        for name, label in PRICE_LABELS.items():
            self.fields[f"price_{name}"] = forms.DecimalField(
                label=label,
                min_value=0,
                max_value=1_000_000,
                decimal_places=2,
                required=False,
                localize=True,
            )

    def _add_numbers(self, policy: PolicyText) -> None:
        """A field for each number of a ready policy, as it stands in the handbook."""
        numbers = open_numbers(policy)
        for one in numbers:
            action = policy.rules[one.rule].action
            key = f"change|{policy.id}|{one.rule}|{one.field}"
            self.fields[key] = number(
                f"{ACTION_LABELS.get(action, action)}: {NUMBER_LABELS[one.field]}",
                most=3650,
                initial=round(one.value),
            )
            self.numbers[key] = (policy.says, policy.kind, one)

    def change_groups(
        self,
    ) -> list[tuple[Any, list[tuple[str, list[forms.BoundField]]]]]:
        """Kinds of policy, each policy's words, and its fields."""
        found: dict[str, dict[str, list[forms.BoundField]]] = {}
        for key, (says, kind, _one) in self.numbers.items():
            found.setdefault(kind, {}).setdefault(says, []).append(self[key])
        return [(KIND_LABELS[kind], list(held.items())) for kind, held in found.items()]

    def now_fields(self) -> list[forms.BoundField]:
        """One for each kind of policy."""
        return [self[f"now_{kind}"] for kind in KINDS]

    def price_fields(self) -> list[forms.BoundField]:
        """One for each price."""
        return [self[f"price_{name}"] for name in PRICE_LABELS]

    def clean(self) -> dict[str, Any]:
        """Try the question, so that what cannot be is said here and now."""
        cleaned = super().clean() or {}
        tests = [cleaned.get(f"own_test_{n}") for n in (1, 2)]
        if any(day is not None for day in tests) and cleaned.get("own_days") is None:
            self.add_error(
                "own_days",
                ValidationError(_("Say for how many days, too; 0 for none.")),
            )
        if not self.errors:
            try:
                asked = asked_of(self.asked())
                with_changes(self.ready, asked.changes)
            except BadInput as refused:
                raise ValidationError(str(refused)) from refused
        return cleaned

    def asked(self) -> dict[str, Any]:
        """The question as plain values."""
        held = self.cleaned_data
        given = {
            name: cents(held[f"price_{name}"])
            for name in PRICE_LABELS
            if held.get(f"price_{name}") is not None
        }
        plain = {
            name: held.get(name)
            for name in (
                "infection", "own_days", "test", "by", "is_search", "days",
                "arrivals_a_year", "visits_a_year", "isolation_room",
                "clean_every_days", "product", "floor", "shares_yards",
                "everyone_may_carry",
            )
        }  # fmt: skip
        return plain | {
            "own_tests": [
                day
                for day in (held.get("own_test_1"), held.get("own_test_2"))
                if day is not None
            ],
            "now": [held[f"now_{kind}"] for kind in KINDS],
            "prices": given,
            "changes": [
                [one.policy, one.rule, one.field, held[key]]
                for key, (_says, _kind, one) in self.numbers.items()
                if held.get(key) is not None and held[key] != one.value
            ],
        }
