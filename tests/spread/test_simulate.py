"""The door to the simulator: plain where Numba is missing, the same answers."""

import subprocess
import sys

from kennelward.spread.simulate import PlainEngine
from tests.spread.drawing import drawn_policy, drawn_scenario

WITHOUT_NUMBA = """
import sys
sys.modules["numba"] = None
from kennelward.spread.simulate import engine_for
from tests.spread.drawing import drawn_policy, drawn_scenario
engine = engine_for(drawn_scenario(4))
rows = engine.runs(drawn_policy(4), seed=3, first=0, count=3)
print(engine.is_fast, rows.tobytes().hex())
"""


def test_without_numba_the_plain_engine_answers_and_says_so():
    done = subprocess.run(
        [sys.executable, "-c", WITHOUT_NUMBA],
        capture_output=True,
        text=True,
        check=True,
    )
    is_fast, rows = done.stdout.split()
    assert is_fast == "False"
    plain = PlainEngine(drawn_scenario(4))
    here = plain.runs(drawn_policy(4), seed=3, first=0, count=3)
    assert rows == here.tobytes().hex()


def test_weekly_cases_add_up():
    engine = PlainEngine(drawn_scenario(4))
    rows = engine.runs(drawn_policy(4), seed=3, first=0, count=20)
    weekly = engine.weekly(drawn_policy(4), seed=3, first=0, count=20)
    assert weekly.sum(axis=1).tolist() == rows[:, 0].tolist()
    assert rows[:, 0].sum() > 0
