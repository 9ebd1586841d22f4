"""No deadline per example: a loaded machine is not a wrong number."""

from hypothesis import settings

settings.register_profile("calm", deadline=None)
settings.load_profile("calm")
