"""Calendar days, as they are printed on a label: without a zone and without a clock."""

from __future__ import annotations

from typing import Any

DAY_MS = 86400000  # definition
LENGTHS = [4, 2, 2]  # definition: of year, month and day as they are written
MONTHS, LONGEST_MONTH = 12, 31  # definition
TO_1970 = 719468  # definition: days from the first of March of the year 0 to the first of January 1970


def end_of_day_ms(day: Any) -> int | None:
    """Return when a day like `2027-03-31` is over in UTC, in ms; nothing for what is no such day.

    Equation: the days of a date since 1970 by years that begin in March, so that the odd day comes last.
    >>> end_of_day_ms("1970-01-01")
    86400000

    Reference: definition.
    """
    parts = day.split("-") if isinstance(day, str) else []
    if [len(part) for part in parts] != LENGTHS or any(one not in "0123456789" for one in "".join(parts)):
        return None
    year, month, of_month = [int(part) for part in parts]
    if not (year > 0 and 1 <= month <= MONTHS and 1 <= of_month <= LONGEST_MONTH):
        return None
    march_year = year if month > len("jf") else year - 1
    before = (153 * ((month + 9) % MONTHS) + 2) // 5  # days of the months since March
    leap = march_year // 4 - march_year // 100 + march_year // 400
    return (365 * march_year + leap + before + of_month - TO_1970) * DAY_MS
