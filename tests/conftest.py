"""Settings that hold for every test: Hypothesis profiles."""

import os

from hypothesis import HealthCheck, settings

# Deadlines and "too slow" measure the machine, which runs several things at once, not the code.
_COMMON = settings(deadline=None, suppress_health_check=[HealthCheck.too_slow])

settings.register_profile("dev", _COMMON, max_examples=25)
# The same examples on every run: a red CI is then always a change's doing.
settings.register_profile("ci", _COMMON, max_examples=40, derandomize=True, print_blob=True)
settings.register_profile("deep", _COMMON, max_examples=1000)

settings.load_profile(
    os.environ.get("TREENAIL_HYPOTHESIS") or ("ci" if os.environ.get("CI") else "dev")
)
