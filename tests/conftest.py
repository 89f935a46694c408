"""What holds for every test: examples are drawn the same way each time, unhurried."""

import os

from hypothesis import settings

# No deadline: a busy machine is no fault of the code. Derandomized: a run can be repeated.
settings.register_profile("here", deadline=None, derandomize=True, max_examples=60)
settings.register_profile("ci", parent=settings.get_profile("here"), print_blob=True)
settings.register_profile("deep", deadline=None, max_examples=2000)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "here"))
