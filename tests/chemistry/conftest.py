"""The same examples at every run, and no limit of time on a busy machine."""

from hypothesis import settings

settings.register_profile("chemistry", derandomize=True, deadline=None)
settings.load_profile("chemistry")
