"""The date code of a tyre, week and year of manufacture, and how old that makes it."""

from __future__ import annotations

import datetime


def made_on(code: str) -> datetime.date:
    """The day on which the week of a four-digit code began; the two digits of its year are of this century.

    Week 1 is the first full one, from Sunday (a vehicle manual; that weeks begin on Sunday is from memory). ISO weeks differ
    by up to six days: the earlier of the two is taken.
    """
    week, year = int(code[:2]), 2000 + int(code[2:])
    first = datetime.date(year, 1, 1)
    sunday = first + datetime.timedelta((6 - first.weekday()) % 7 + 7 * (week - 1))
    try:
        return min(sunday, datetime.date.fromisocalendar(year, week, 1))
    except ValueError:  # a year of 52 ISO weeks
        return sunday


def years_between(then: datetime.date, now: datetime.date) -> float:
    """Whole years by the calendar, and the share of the next one that has gone; below zero when ``then`` is to come."""

    def day(year: int) -> datetime.date:
        try:
            return then.replace(year=year)
        except ValueError:  # 29 February
            return datetime.date(year, 3, 1)

    whole = now.year - then.year - (now < day(now.year))
    last, coming = day(then.year + whole), day(then.year + whole + 1)
    return whole + (now - last) / (coming - last)
