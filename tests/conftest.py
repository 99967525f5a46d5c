"""Property tests give the same examples at every run; HYPOTHESIS_PROFILE=wide draws new ones."""

from __future__ import annotations

import os

from hypothesis import HealthCheck, settings

settings.register_profile("steady", derandomize=True, deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.register_profile("wide", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "steady"))
