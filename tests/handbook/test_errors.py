"""A slip in a file is refused, and the message names file, key, value and fix."""

import pytest

from kennelward.handbook import HandbookError
from tests.handbook.planted import changed

GIARDIA = "agents/giardia.toml"
KIT = "kits/giardia-antigen.toml"
RULES = "programmes/arrivals.toml"
RETEST = "[values.arrival_retest_days]"

PLANTED = [  # what is wrong, file, old, new, words of the message
    ("not TOML", KIT, "name = ", "name ", (KIT, "not TOML")),
    ("missing key", KIT, 'sees = "giardia in faeces"\n', "", (KIT, "sees", "missing")),
    (
        "unknown key",
        KIT,
        "sees = ",
        'seees = "x"\nsees = ',
        (KIT, "seees", "not known", "Known keys"),
    ),
    (
        "wrong unit",
        GIARDIA,
        f'{RETEST}\nunit = "day"',
        f'{RETEST}\nunit = "fortnight"',
        (GIARDIA, "arrival_retest_days.unit", "'fortnight'", "day"),
    ),
    (
        "out of its own range",
        GIARDIA,
        "value = 49 }",
        "value = 99 }",
        (GIARDIA, "environment_cold_soil_days", "got 99", "range ends at 77"),
    ),
    (
        "no number",
        GIARDIA,
        "value = 49 }",
        'value = "many" }',
        (GIARDIA, "'many'", "Write a number"),
    ),
    (
        "a day in quotes",
        GIARDIA,
        "from = 2026-01-01, value = 49",
        'from = "2026-01-01", value = 49',
        (GIARDIA, "no quotes"),
    ),
    (
        "unknown source",
        GIARDIA,
        'source = "olson-1999"',
        'source = "a page somewhere"',
        (GIARDIA, "unknown source 'a page somewhere'", "common practice, no source"),
    ),
    (
        "value edited instead of dated",
        GIARDIA,
        "value = 49 }",
        "value = 50 }",
        ("register.toml", "giardia.environment_cold_soil_days", "never edited"),
    ),
    (
        "value not registered",
        GIARDIA,
        "value = 49 }]",
        "value = 49 }, { from = 2027-01-01, value = 50 }]",
        ("register.toml", "from 2027-01-01", "not registered"),
    ),
    (
        "values out of order",
        GIARDIA,
        "value = 49 }]",
        "value = 49 }, { from = 2025-01-01, value = 50 }]",
        (GIARDIA, "order of the day"),
    ),
    (
        "value taken out",
        GIARDIA,
        "[values.environment_cold_soil_days]",
        "[values.environment_soil_days]",
        ("register.toml", "environment_soil_days", "not registered"),
    ),
    (
        "rule edited instead of dated",
        RULES,
        'urgency = "now"',
        'urgency = "planned"',
        ("register.toml", "rule arrivals.", "never edited"),
    ),
    (
        "unknown caution",
        RULES,
        'cautions = ["danger-first"',
        'cautions = ["danger-frist"',
        (RULES, "rules[1].cautions", "'danger-frist'", "Allowed are"),
    ),
    (
        "unknown trigger",
        RULES,
        'fact = "arrived"',
        'fact = "arived"',
        (RULES, "when.fact", "'arived'", "arrived"),
    ),
    (
        "unknown condition",
        RULES,
        'that = "visiting"',
        'that = "visitor"',
        (RULES, "if[1].that", "'visitor'"),
    ),
    (
        "unknown end",
        RULES,
        'done = "kept-apart"',
        'done = "kept-appart"',
        (RULES, "until[1].done", "'kept-appart'"),
    ),
    (
        "unknown value",
        RULES,
        'last_day = "apart_days"',
        'last_day = "apart_dys"',
        (RULES, "last_day", "'apart_dys'"),
    ),
    (
        "unknown kit",
        RULES,
        'kit = "giardia-antigen"',
        'kit = "giardia-strip"',
        (RULES, "kit", "'giardia-strip'", "giardia-antigen"),
    ),
    (
        "unknown infection",
        RULES,
        'infection = "giardia"',
        'infection = "girdia"',
        (RULES, "infection", "'girdia'"),
    ),
    (
        "a place that nothing fills",
        RULES,
        "came in on {since}",
        "came in on {yesterday}",
        (RULES, "nothing fills {yesterday}", "Places here"),
    ),
    (
        "a window that ends before it starts",
        RULES,
        "last_day = 1\n",
        "last_day = -1\n",
        (RULES, "last_day", "got -1", "0 or more"),
    ),
    (
        "read before it starts",
        KIT,
        "[values.read_until_minutes]",
        "[values.read_until]",
        (KIT, "read_until_minutes", "is missing"),
    ),
    (
        "two answers add up to less than chance",
        KIT,
        "best = 0.95, low = 0.71",
        "best = 0.10, low = 0.05",
        (KIT, "add up to less than 1"),
    ),
    (
        "best value outside its range",
        KIT,
        "best = 0.8, low = 0.7",
        "best = 0.6, low = 0.7",
        (KIT, "sensitivity.best", "got 0.6"),
    ),
    (
        "a prior without its place",
        "priors/giardia.toml",
        "about {n} in 100 carry",
        "many in 100 carry",
        ("priors/giardia.toml", "bases[1].says", "{n}"),
    ),
    (
        "id and file name differ",
        KIT,
        'id = "giardia-antigen"',
        'id = "giardia"',
        (KIT, "id", "'giardia'", "giardia-antigen"),
    ),
    (
        "a caution without a source",
        "cautions.toml",
        'source = "from memory"',
        'source = "memory"',
        ("cautions.toml", "danger-first.source", "'memory'"),
    ),
]


@pytest.mark.parametrize(
    ("wrong", "name", "old", "new", "words"), PLANTED, ids=[p[0] for p in PLANTED]
)
def test_a_planted_slip_is_refused(
    wrong: str, name: str, old: str, new: str, words: tuple[str, ...]
) -> None:
    """The message names where, what came and what to do."""
    with pytest.raises(HandbookError) as caught:
        changed(name, old, new)
    message = str(caught.value)
    for word in words:
        assert word in message, f"{wrong}: {word!r} is not in: {message}"


def test_the_unchanged_files_load() -> None:
    """The slips above are refused for what was planted, not for something else."""
    assert changed(KIT, "sees", "sees").kits
