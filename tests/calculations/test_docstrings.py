"""Docstrings say what the signatures say, and their examples run."""

import doctest
import importlib
import inspect
import pkgutil
import re

import pytest

from guides import calculations

MODULES = [
    importlib.import_module(f"guides.calculations.{found.name}")
    for found in pkgutil.iter_modules(calculations.__path__)
]
# The stepping of the simulation is one machine in two files: its functions take the machine's own parts.
INNER = {"guides.calculations.slurry", "guides.calculations.moments"}
FUNCTIONS = [
    function
    for module in MODULES
    if module.__name__ not in INNER
    for name, function in vars(module).items()
    if inspect.isfunction(getattr(function, "__wrapped__", function))
    and function.__module__ == module.__name__
    and not name.startswith("_")
]
SECTION = re.compile(r"^(Args|Returns|Raises):\n((?: {4}.*\n|\n(?= {4}))+)", re.MULTILINE)


def sections(function) -> dict[str, str]:
    return dict(SECTION.findall((inspect.getdoc(function) or "") + "\n"))


def said_arguments(text: str) -> list[str]:
    return [name.lstrip("*") for name in re.findall(r"^ {4}(\*{0,2}\w+): \S", text, re.MULTILINE)]


@pytest.mark.parametrize("module", MODULES, ids=lambda module: module.__name__)
def test_examples_run(module):
    found = doctest.testmod(module, raise_on_error=False, report=True)
    assert found.failed == 0


@pytest.mark.parametrize("module", MODULES, ids=lambda module: module.__name__)
def test_each_module_says_what_it_is(module):
    assert inspect.getdoc(module)


@pytest.mark.parametrize("function", FUNCTIONS, ids=lambda each: f"{each.__module__}.{each.__name__}")
def test_docstring_and_signature_agree(function):
    signature = inspect.signature(function)
    said = sections(function)
    assert said_arguments(said.get("Args", "")) == list(signature.parameters)
    assert ("Returns" in said) == (signature.return_annotation not in (None, "None"))
    first = (inspect.getdoc(function) or "").splitlines()[0]
    assert first.endswith(".")


@pytest.mark.parametrize("function", FUNCTIONS, ids=lambda each: f"{each.__module__}.{each.__name__}")
def test_each_function_names_its_source_or_its_kind_and_shows_an_example(function):
    if function.__module__.endswith(("findings", "validity")):
        return
    text = inspect.getdoc(function) or ""
    assert ">>>" in text
    assert re.search(r"^Source: \S", text, re.MULTILINE)


@pytest.mark.parametrize("function", FUNCTIONS, ids=lambda each: f"{each.__module__}.{each.__name__}")
def test_a_function_that_can_refuse_says_when(function):
    """Those that check a range themselves; what they call says its own."""
    source = inspect.getsource(function)
    if "check_range(" in source.split('"""')[-1] or "raise OutOfRange" in source:
        assert "OutOfRange" in sections(function).get("Raises", "")


def test_the_check_itself_would_see_a_lie():
    def honest(dose_g: float) -> float:
        """Give it back.

        Args:
            water_g: not what the signature says.

        Returns:
            The same.
        """
        return dose_g

    assert said_arguments(sections(honest)["Args"]) != list(inspect.signature(honest).parameters)
