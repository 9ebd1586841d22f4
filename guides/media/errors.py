"""Why an upload was not taken."""

from __future__ import annotations

from django.core.exceptions import ValidationError


class NotTaken(ValidationError):
    """An upload is refused; the message says what, why and what to do. A form shows it beside its field."""
