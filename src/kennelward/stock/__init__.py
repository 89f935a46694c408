"""The shelf: lots and their expiry, what the coming month needs, what to order, cost.

Never: a clinical rule, a price of our own, floating-point money. Which tests are due
comes in as counts by kit and day; who is tested and why stays with the programme.
"""

from kennelward.stock.cost import CostPerTest, cost_per_test, money
from kennelward.stock.lots import Lot, is_expired, lots_of, pick, usable
from kennelward.stock.needs import KitNeed, ShelfDay, TestsDue, needs
from kennelward.stock.order import OrderSuggestion, suggest_order
from kennelward.stock.surprise import (
    chance_enough,
    chance_used_up,
    enough_for,
    expected_waste,
    tests_a_month,
)

__all__ = [
    "CostPerTest",
    "KitNeed",
    "Lot",
    "OrderSuggestion",
    "ShelfDay",
    "TestsDue",
    "chance_enough",
    "chance_used_up",
    "cost_per_test",
    "enough_for",
    "expected_waste",
    "is_expired",
    "lots_of",
    "money",
    "needs",
    "pick",
    "suggest_order",
    "tests_a_month",
    "usable",
]
