"""A draft as it stands in the form, saved or not: what can be read of it, and what cannot."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from django import forms
from django.core.exceptions import NON_FIELD_ERRORS, ValidationError
from django.utils.translation import gettext as _

from guides.models import GuideVersion, Step

from .acts import Reason
from .step_inline import StepFormSet, counts


@dataclass(frozen=True)
class Typed:
    """``broken`` names the fields of the version that hold nothing readable, ``steps`` is ``None`` if a row does.

    ``prefixes`` are the names of the rows in the form, in the order of the plan.
    """

    version: GuideVersion
    steps: tuple[Step, ...] | None
    prefixes: tuple[str, ...]
    broken: frozenset[str]
    problems: tuple[Reason, ...]
    missing: tuple[str, ...]


def read(form: forms.ModelForm, formset: StepFormSet) -> Typed:
    """Bind and check a form with its rows, and write nothing.

    Args:
        form: of the version, bound.
        formset: of its steps, bound.
    """
    form.is_valid()
    formset.is_valid()
    rows = sorted((row for row in formset.forms if counts(row)), key=lambda row: row.instance.position)
    problems = [*_problems(form), *(Reason(str(text), "") for text in formset.non_form_errors())]
    missing = [_label(form, name) for name in _empty(form)]
    for number, row in enumerate(rows, start=1):
        step = _("Step %(number)s") % {"number": number}
        problems += [Reason(f"{step}: {problem.text}", problem.address) for problem in _problems(row)]
        missing += [f"{step}: {_label(row, name)}" for name in _empty(row)]
    readable = not any(row.errors for row in rows)
    return Typed(
        version=form.instance,
        steps=tuple(row.instance for row in rows) if readable else None,
        prefixes=tuple(str(row.prefix) for row in rows),
        broken=frozenset(form.errors),
        problems=tuple(problems),
        missing=tuple(missing),
    )


def _errors(form: forms.ModelForm) -> Iterator[tuple[str, ValidationError]]:
    for name, errors in form.errors.as_data().items():
        for error in errors:
            yield name, error


def _problems(form: forms.ModelForm) -> Iterator[Reason]:
    for name, error in _errors(form):
        if error.code == "required":
            continue
        for message in error.messages:
            if name == NON_FIELD_ERRORS:
                yield Reason(message, "")
            else:
                # What a rule of ours says begins with the field it names.
                text = message if error.code is None else f"{_label(form, name).capitalize()}: {message}"
                yield Reason(text, f"#{form[name].id_for_label}")


def _empty(form: forms.ModelForm) -> Iterator[str]:
    return (name for name, error in _errors(form) if error.code == "required")


def _label(form: forms.ModelForm, name: str) -> str:
    return str(form.fields[name].label).lower()
