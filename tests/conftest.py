"""What holds for every test: fixed seeds, and no test that depends on how fast a machine is."""

from __future__ import annotations

from hypothesis import HealthCheck, settings

# The same examples in every run, on machines that are shared and slow. A developer looking for new
# ones runs ``pytest --hypothesis-profile default -p no:randomly``.
settings.register_profile(
    "fixed", derandomize=True, deadline=None, suppress_health_check=[HealthCheck.too_slow]
)
settings.load_profile("fixed")
