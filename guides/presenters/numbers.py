"""Numbers as people read them: the language's decimal mark, a unit after a no-break space, clock times as m:ss.

Decimal marks, grouping, unit signs and dates come from CLDR through Babel. Where CLDR writes "92°C" and "1.35%" the SI
brochure (9th edition, 5.4.3 and 5.4.7) wants a space, and so does this site, in every language.
"""

from __future__ import annotations

import datetime
import re
from dataclasses import dataclass
from typing import Literal

from babel.dates import format_date, format_skeleton, format_time, get_datetime_format
from babel.numbers import format_decimal
from babel.units import format_unit
from django.utils.translation import gettext, override

from guides.calculations.rounding import round_half_up, to_five_seconds
from guides.calculations.units import (
    FAHRENHEIT_PER_KELVIN,
    fahrenheit_from_celsius,
    feet_from_metres,
    imp_fluid_ounces_from_ml,
    ounces_from_grams,
    us_fluid_ounces_from_ml,
)
from guides.calculations.validity import Window

from .units import METRIC, Altitude, Mass, Temperature, Units, Volume

NO_BREAK = "\N{NO-BREAK SPACE}"
EN_DASH = "\N{EN DASH}"
# Day before month in every language offered: bags are read across a counter by people from anywhere.
_DATES = {"en": "en_GB"}


@dataclass(frozen=True)
class Figures:
    """Formats for one language and one reader's units; everything handed in is in g, mL and degrees C.

    ``language`` is a code of ``settings.LANGUAGES``, which is a CLDR locale too.
    """

    language: str
    units: Units = METRIC

    def number(self, value: float, digits: int = 1) -> str:
        """A bare number, rounded half up, without trailing zeros."""
        rounded = round_half_up(value, 10.0**-digits)
        return format_decimal(round(rounded, digits), "#,##0." + "#" * digits, locale=self.language)

    def fixed(self, value: float, digits: int) -> str:
        """A bare number that keeps its zeros, so that columns and ranges line up."""
        rounded = round_half_up(value, 10.0**-digits)
        return format_decimal(round(rounded, digits), "#,##0." + "0" * digits, locale=self.language)

    def grams(self, value: float, digits: int = 1) -> str:
        """A mass. In ounces always to a hundredth, which is finer than the gram that every target was rounded to."""
        if self.units.mass is Mass.OUNCE:
            return self._unit(self.fixed(ounces_from_grams(value), 2), "mass-ounce")
        return self._unit(self.number(value, digits), "mass-gram")

    def reading(self, value: float) -> str:
        """A mass as a scale shows it, without its unit."""
        if self.units.mass is Mass.OUNCE:
            return self.fixed(ounces_from_grams(value), 2)
        return self.number(value)

    def ounces(self, value_oz: float) -> str:
        """A mass that is round in ounces, such as a mark on an axis."""
        return self._unit(self.number(value_oz), "mass-ounce")

    def gram_span(self, low: float, high: float) -> str:
        if self.units.mass is Mass.OUNCE:
            ends = (self.fixed(ounces_from_grams(value), 1) for value in (low, high))
            return self._unit(span(*ends), "mass-ounce")
        return self._unit(span(self.number(low, 0), self.number(high, 0)), "mass-gram")

    def grams_per_second(self, value: float) -> str:
        return self.grams(value) + "/s"

    def millilitres(self, value: float) -> str:
        match self.units.volume:
            case Volume.US_OUNCE:
                return self._unit(self.number(us_fluid_ounces_from_ml(value)), "volume-fluid-ounce")
            case Volume.IMPERIAL_OUNCE:
                return self._unit(self.number(imp_fluid_ounces_from_ml(value)), "volume-fluid-ounce-imperial")
            case _:
                return self._unit(self.number(value, 0), "volume-milliliter")

    def celsius(self, value: float) -> str:
        """A temperature; in degrees F to the whole one that kettles show."""
        if self.units.temperature is Temperature.FAHRENHEIT:
            return self._unit(self.number(fahrenheit_from_celsius(value), 0), "temperature-fahrenheit")
        return self._unit(self.number(value), "temperature-celsius")

    def degrees(self, value: float) -> str:
        """A temperature without its unit."""
        if self.units.temperature is Temperature.FAHRENHEIT:
            return self.number(fahrenheit_from_celsius(value), 0)
        return self.number(value)

    def kelvin(self, value: float) -> str:
        """How far two temperatures are apart, in the reader's degrees."""
        if self.units.temperature is Temperature.FAHRENHEIT:
            return self._unit(self.number(value * FAHRENHEIT_PER_KELVIN), "temperature-fahrenheit")
        return self._unit(self.number(value), "temperature-celsius")

    def milligrams_per_litre(self, value: float) -> str:
        return self.number(value, 0) + NO_BREAK + "mg/L"

    def metres(self, value: float) -> str:
        """An altitude."""
        if self.units.altitude is Altitude.FOOT:
            return self._unit(self.number(feet_from_metres(value), 0), "length-foot")
        return self._unit(self.number(value, 0), "length-meter")

    def micrometres(self, value: float) -> str:
        return self._unit(self.number(value, 0), "length-micrometer")

    def millimetres(self, value: float) -> str:
        return self._unit(self.number(value, 0), "length-millimeter")

    def seconds(self, value: float) -> str:
        return self.number(value, 0) + NO_BREAK + "s"

    def percent(self, fraction: float, digits: int = 2) -> str:
        return self._unit(self.fixed(100 * fraction, digits), "concentr-percent")

    def percent_span(self, low: float, high: float, digits: int = 2) -> str:
        return self._unit(span(self.fixed(100 * low, digits), self.fixed(100 * high, digits)), "concentr-percent")

    def ratio(self, parts: float) -> str:
        """Coffee to water, one decimal: "1:16", "1:16.5"."""
        return "1:" + self.number(parts)

    def time_window(self, window: Window) -> str:
        """When something is expected, to 5 s: "2:20–2:45"."""
        return clock_span(to_five_seconds(window.low), to_five_seconds(window.high))

    def about(self, value: str) -> str:
        """Mark a predicted value, so that it never passes for a measured one."""
        with override(self.language):
            return gettext("about %(value)s") % {"value": value}

    def day(self, day: datetime.date, today: datetime.date) -> str:
        """Day and month, with the year only where it is another one."""
        if day.year == today.year:
            return _spaced(format_skeleton("MMMMd", day, locale=self._date_locale))
        return self.date(day)

    def date(self, day: datetime.date) -> str:
        """Day, month and year, for paper that is read later."""
        return _spaced(format_date(day, "long", locale=self._date_locale))

    def short_date(self, day: datetime.date) -> str:
        """Day, month and year where room is dear."""
        return _spaced(format_date(day, "medium", locale=self._date_locale))

    def short_day(self, day: datetime.date) -> str:
        """Day and month where room is dear."""
        return _spaced(format_skeleton("MMMd", day, locale=self._date_locale))

    def moment(self, at: datetime.datetime) -> str:
        """Day, month and year, and the time of day as it is."""
        return self._at("long", self.date(at), at)

    def short_moment(self, at: datetime.datetime) -> str:
        """The same where room is dear."""
        return self._at("medium", self.short_date(at), at)

    def _at(self, length: Literal["long", "medium"], day: str, at: datetime.datetime) -> str:
        time = format_time(at.time(), "short", locale=self._date_locale)
        both = get_datetime_format(length, locale=self._date_locale)
        return str(both).replace("'", "").replace("{1}", day).replace("{0}", time)

    @property
    def _date_locale(self) -> str:
        return _DATES.get(self.language, self.language)

    def _unit(self, number: str, unit: str) -> str:
        said = format_unit(number, unit, length="short", locale=self.language)
        # Arabic, for one, has a word for "one gram" without a number in it, and Babel takes every text for one.
        return _spaced(said if number in said else f"{number} {said}")


def clock(time_s: float) -> str:
    """Minutes and seconds since the start of the brew: "0:05", "12:00"."""
    minutes, seconds = divmod(int(round_half_up(time_s)), 60)
    return f"{minutes}:{seconds:02d}"


def clock_span(start_s: float, end_s: float) -> str:
    """From and to on the clock, or the one moment where both are the same."""
    return span(clock(start_s), clock(end_s))


def span(low: str, high: str) -> str:
    """Two numbers with a dash between, or one where they read the same."""
    return low if low == high else f"{low}{EN_DASH}{high}"


def _spaced(text: str) -> str:
    """Put a no-break space between number and unit, whatever CLDR has there."""
    return re.sub(r"\s+|(?<=\d)(?=[°%])", NO_BREAK, text)
