"""A real site's settings, with three views more to measure beside its own, and a log of what is broken alone."""

from roastery.settings import *  # noqa: F403
from roastery.settings import LOGGING

ROOT_URLCONF = "tests.years.urls"
LOGGING["loggers"]["django"]["level"] = "ERROR"
