"""The system libraries that the PDF engine loads. Looked at without loading the engine itself."""

from __future__ import annotations

from ctypes import CDLL

# What the engine loads, and the Debian and Ubuntu packages that hold it.
_LIBRARIES = {
    "libpango-1.0.so.0": "libpango-1.0-0",
    "libpangoft2-1.0.so.0": "libpangoft2-1.0-0",
    "libharfbuzz.so.0": "libharfbuzz0b",
    "libharfbuzz-subset.so.0": "libharfbuzz-subset0",
    "libfontconfig.so.1": "libfontconfig1",
    "libgobject-2.0.so.0": "libglib2.0-0",
}


def missing_packages() -> list[str]:
    """Give the Debian packages that the engine needs and this machine lacks; empty when all is well."""
    return [package for library, package in _LIBRARIES.items() if not _loads(library)]


def install_line() -> str:
    """Give the line to type for what is missing; empty when all is well."""
    missing = missing_packages()
    return f"sudo apt-get install {' '.join(missing)}" if missing else ""


def _loads(library: str) -> bool:
    try:
        CDLL(library)
    except OSError:
        return False
    return True
