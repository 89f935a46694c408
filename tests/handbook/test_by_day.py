"""When kits can see: days as the sources have them, and files that break their promise."""

import pytest

from kennelward.evidence import Circumstances, choose_performance
from kennelward.handbook import HandbookError, load_handbook
from kennelward.terms import BadInput
from tests.handbook.planted import changed

HANDBOOK = load_handbook()
KITS = HANDBOOK.kits

PUBLISHED = [  # kit, event, days since it, sensitivity, source read for it
    ("relaxin", "lh", 19, 0.0, "relaxin data sheet: earliest day 20 after the surge"),
    ("relaxin", "lh", 20, 0.80, "relaxin data sheet: about 80 % on day 20 to 28"),
    ("relaxin", "lh", 28, 0.80, "relaxin data sheet: about 80 % on day 20 to 28"),
    ("relaxin", "lh", 29, 0.90, "between the two, from memory"),
    ("relaxin", "lh", 31, 0.98, "data sheet: last to turn on day 31; 0.98 assumed"),
    (
        "relaxin",
        "ovulation",
        29,
        0.98,
        "ovulation two days after LH (Hollinshead 2019)",
    ),
    ("relaxin", "mating", 13, 0.0, "data sheet: mated 6 d after LH, day 20 is day 14"),
    ("relaxin", "mating", 33, 0.98, "laboratories: sample at 31 to 33 days"),
    ("brucella-antibody", "exposure", 21, 0.0, "Serikawa 1981: from the third week"),
    (
        "brucella-antibody",
        "exposure",
        84,
        0.90,
        "ring study 2025, Keid 2015, 0.89-0.91",
    ),
    ("giardia-antigen", "arrival", 4, 0.0, "ESCCAP GL6: 4 to 16 days"),
    ("giardia-antigen", "exposure", 16, 0.80, "Saleh 2019, Mizhquiri 2018, middle"),
    ("parvovirus-antigen", "illness", 0, 0.60, "Decaro 2013 and others, set low"),
    ("parvovirus-antigen", "illness", 9, 0.60, "no curve by day is published: flat"),
    ("parvovirus-antigen", "exposure", 14, 0.05, "0 of 21 healthy, Walter 2021"),
]


@pytest.mark.parametrize(("kit", "event", "day", "sensitivity", "source"), PUBLISHED)
def test_sensitivity_by_day_is_as_its_source(kit, event, day, sensitivity, source):
    """The handbook's days and shares come out of the curve."""
    held = KITS[kit]
    curve = held.curve_from(event).curve(held.performances)
    found = float(curve.draw(event=event, day=day).mean())
    assert found == pytest.approx(sensitivity, abs=0.002), source


def test_screens_catch_most_by_eight_weeks():
    """What the handbook says of 56 days holds on its own curve, and 35 is the mode."""
    usual = round(HANDBOOK.number("brucella.antibody_usual_days"))
    held = KITS["brucella-antibody"]
    curve = held.curve_from("exposure").curve(held.performances)
    share = float(curve.draw(event="exposure", day=usual).mean()) / 0.9
    assert 0.8 < share < 1


@pytest.mark.parametrize(
    ("kit", "event", "day"),
    [
        ("relaxin", "lh", 31),
        ("relaxin", "mating", 33),
        ("relaxin", "ovulation", 29),
        ("brucella-antibody", "exposure", 84),
        ("brucella-antibody", "arrival", 84),
        ("giardia-antigen", "course-end", 31),
        ("giardia-antigen", "arrival", 0),
        ("parvovirus-antigen", "illness", 0),
    ],
)
def test_a_negative_counts_from_the_day_that_the_rules_name(kit, event, day):
    """Windows of the bench and curves agree, also for events without a window."""
    held = KITS[kit]
    assert held.curve_from(event).negative_counts_from(event, held.windows) == day


def test_the_mating_spread_is_the_data_sheets():
    """LH+22 is day 24 after a mating two days before, day 16 after one six days after."""
    spread = KITS["relaxin"].curve_from("mating").curve(KITS["relaxin"].performances)
    shares = dict(spread.spread_from("mating").shares)
    assert min(shares) == 22 - 24
    assert max(shares) == 22 - 16
    assert sum(shares.values()) == pytest.approx(1)
    assert max(shares, key=shares.__getitem__) == 3


def test_curves_follow_the_figures_of_the_bench():
    """A curve's share of a day is what `interpret` would take on that day."""
    held = KITS["relaxin"]
    curve = held.curve_from("lh").curve(held.performances)
    for day in (20, 25, 29, 31, 40):
        case = Circumstances(days_since={"lh": day})
        taken = choose_performance(held.performances, case=case).sensitivity.mean
        assert float(curve.draw(event="lh", day=day).mean()) == pytest.approx(
            taken, abs=0.002
        )


def test_a_kennels_own_leaflet_moves_the_curve(tmp_path):
    """Numerators and denominators of an overlay are the curve's plateau."""
    (tmp_path / "kits").mkdir()
    (tmp_path / "overlay.toml").write_text('by = "our vet"\n')
    (tmp_path / "kits" / "giardia-antigen.toml").write_text(
        "[[performances]]\n"
        'sensitivity = { found = 94, of = 100, source = "our leaflet" }\n'
        'specificity = { found = 99, of = 100, source = "our leaflet" }\n'
    )
    held = load_handbook(overlays=[tmp_path]).kits["giardia-antigen"]
    curve = held.curve_from("arrival").curve(held.performances)
    assert float(curve.draw(event="arrival", day=20).mean()) == pytest.approx(
        95 / 102, abs=0.002
    )


def test_an_event_without_a_curve_names_those_there_are():
    """What came, and what is allowed."""
    with pytest.raises(BadInput, match=r"one of exposure, arrival; got 'mating'"):
        KITS["brucella-antibody"].curve_from("mating")


SLIPS = [  # what is written wrongly, what the error says
    ('event = "lh"\nsteps =', 'event = "lhh"\nsteps =', "got 'lhh'"),
    ('"sees_from_lh_days"', '"sees_frm_lh_days"', "no value 'sees_frm_lh_days'"),
    ('event = "ovulation"\nexactly', 'event = "lh"\nexactly', "'lh' stands twice"),
    (
        'first = "before mated_before_surge_days"\n',
        "first = 9\n",
        "typical",
    ),
]


@pytest.mark.parametrize(("right", "wrong", "says"), SLIPS)
def test_slips_are_refused_with_place_and_fix(right, wrong, says):
    """File, key, value."""
    with pytest.raises(HandbookError, match=r"kits/relaxin\.toml") as refused:
        changed("kits/relaxin.toml", right, wrong)
    assert says in str(refused.value)


def test_a_curve_needs_days():
    """Neither steps nor an onset."""
    with pytest.raises(HandbookError, match="give either steps"):
        changed(
            "kits/relaxin.toml",
            'steps = ["sees_from_lh_days", "sees_more_from_lh_days", '
            '"sees_all_from_lh_days"]\n',
            "",
        )
