"""Settings shared by all tests."""

from hypothesis import HealthCheck, settings

settings.register_profile("shared machine", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("shared machine")
