#!/usr/bin/env python3
"""The one way in. Outside a virtual environment it first makes one, `.venv`, with the pinned packages in it."""

import os
import sys

from roastery import start

if __name__ == "__main__":
    start.prepare(sys.argv)
    if sys.argv[1:2] == ["test"]:
        from roastery import testing

        sys.exit(testing.main(sys.argv[2:]))

    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "roastery.settings")
    from django.core.management import execute_from_command_line

    from roastery.environment import BadEnvironment

    try:
        execute_from_command_line(sys.argv)
    except BadEnvironment as problem:
        sys.exit(str(problem))
