"""The questions about channels, and how answers change the description."""

from __future__ import annotations

import dataclasses
import re
from collections.abc import Mapping

from panelmend.curelog.clocks import LogQuestion
from panelmend.curelog.readas import SENSES, ColumnAs, ReadAs
from panelmend.curelog.roles import (
    role_by_name,
    same_unit,
    sense_in_name,
    shows_air,
    temperature_evidence,
    vacuum_evidence,
)
from panelmend.errors import InputError, UnitError
from panelmend.plan.judge.log import ChannelRole, FloatArray
from panelmend.units import KINDS, read

_HOT = (ChannelRole.THERMOCOUPLE, ChannelRole.AIR, ChannelRole.SET_POINT)
# units whose numbers are weak vacuums in others: whichever is suggested would be taken with --confirm
_STRONG_ELSEWHERE = {"inHg": "kPa", "kPa": "mbar or mmHg"}
_ZONE = re.compile(r"Z|UTC|local|[+-]\d{2}:\d{2}", re.ASCII)
SENSE_CHOICES = (
    ("below ambient", "the number is how far the bag is below the air outside: 22 inHg is strong"),
    ("below ambient, negative", "the same with a minus sign"),
    ("absolute", "the pressure in the bag itself: near the air pressure is weak, near 0 is strong"),
)


def questions_of(
    columns: tuple[ColumnAs, ...],
    samples: Mapping[str, FloatArray],
    grouped: str,
    hot_grouped: bool,
    above: str = "",
) -> tuple[LogQuestion, ...]:
    """The questions about channels, samples (n,) [as written]: decimal comma, temperature unit, vacuum
    unit, sense and ambient. ``above``: the temperature unit that the lines above the table name."""
    asked = []
    if grouped:
        asked.append(
            LogQuestion(
                "comma",
                f"is {grouped!r} a number with decimals or with thousands?",
                (
                    ("decimal", f"it means {grouped.replace(',', '.', 1)}"),
                    ("thousands", "the comma is a mark"),
                ),
                "decimal" if hot_grouped else "",
                "every comma stands before exactly three digits"
                + ("; as thousands, temperatures would be in the thousands" if hot_grouped else ""),
            )
        )
    hot = [c for c in columns if c.role in _HOT and not c.unit]
    if hot:
        unit, why = temperature_evidence([samples[c.name] for c in hot])
        if above:
            agree = unit in ("", above)
            why += f"; the lines above the table say {above}" + ("" if agree else f", not {unit}")
            unit = above if agree else ""
        words = f"in which unit are {', '.join(c.name for c in hot)}?"
        asked.append(
            LogQuestion(
                "temperature unit", words, (("C", "Celsius"), ("F", "Fahrenheit"), ("K", "kelvin")), unit, why
            )
        )
    for c in columns:
        if c.role is ChannelRole.VACUUM:
            asked += _vacuum(c, samples[c.name])
    return tuple(asked)


def _vacuum(column: ColumnAs, values: FloatArray) -> list[LogQuestion]:
    asked = []
    unit, sense, why = vacuum_evidence(values, column.unit)
    likely = unit
    if not column.unit:
        choices = tuple((u, u) for u in ("inHg", "kPa", "mbar", "psi", "mmHg", "bar", "Pa"))
        words = f"in which unit is {column.name}?"
        if unit in _STRONG_ELSEWHERE:
            unit, why = "", f"{why}: a strong vacuum in {unit}, a weak one in {_STRONG_ELSEWHERE[unit]}"
        asked.append(LogQuestion(f"unit of {column.name}", words, choices, unit, why))
    if not column.sense:
        words = f"how is the vacuum {column.name} counted?"
        if sense and not shows_air(values, column.unit or likely, sense):
            sense, why = "", f"{why}; neither its beginning nor its end shows the open bag that would tell"
        asked.append(LogQuestion(f"sense of {column.name}", words, SENSE_CHOICES, sense, why))
    if column.sense == "absolute":
        asked.append(ambient_question())
    return asked


def ambient_question() -> LogQuestion:
    """An absolute pressure says nothing about vacuum without the air pressure of the day."""
    return LogQuestion(
        "ambient",
        "what was the air pressure in the shop, such as 101.3 kPa or 29.92 inHg (not reduced to sea level)?",
        (),
        "",
        "a vacuum written as absolute pressure is compared with it",
    )


def read_as_answered(
    read_as: ReadAs, questions: tuple[LogQuestion, ...], answers: Mapping[str, str], file: str
) -> ReadAs:
    """The description changed by the answers, and confirmed.

    Raises:
        InputError: an answer that is none of its choices, answers no question, or is no zone.
    """
    for q in questions:
        if q.choices and answers[q.key] not in [c for c, _ in q.choices]:
            raise InputError(
                f"{q.key}: not one of the choices",
                where=file,
                read=repr(answers[q.key]),
                expected=", ".join(c for c, _ in q.choices),
            )
    columns = [_column(c, answers) for c in read_as.columns]
    set_aside, gauges_aside = (
        tuple(
            now.name
            for was, now in zip(read_as.columns, columns, strict=True)
            if was.role is role and now.role is not role
        )
        for role in (ChannelRole.THERMOCOUPLE, ChannelRole.VACUUM)
    )
    set_aside += tuple(  # such as a cold junction: one that follows the heat of the part is none
        now.name
        for was, now in zip(read_as.columns, columns, strict=True)
        if was.role is now.role is ChannelRole.OTHER
        and (was.unit in KINDS["temperature"].units or (not was.unit and role_by_name(was.name) in _HOT))
    )
    known = {q.key for q in questions} | {"ambient", "zone", "date order"}
    known |= {f"{w} of {c.name}" for w in ("role", "unit", "sense", "name") for c in read_as.columns}
    if answers.get("elapsed or clock") == "time of day":
        known.add("time unit")
    strange = sorted(set(answers) - known)
    if strange:
        raise InputError(f"answers to no question: {', '.join(strange)}", where=file)
    time = read_as.time
    if "date order" in answers:
        time = dataclasses.replace(time, order=answers["date order"])
    if any(q.key == "time unit" for q in questions):
        time = dataclasses.replace(time, unit=answers["time unit"])
    if "elapsed or clock" in answers:
        time = dataclasses.replace(time, form=answers["elapsed or clock"])
    if "zone" in answers:
        if not _ZONE.fullmatch(answers["zone"]):
            raise InputError("zone", where=file, read=repr(answers["zone"]), expected="Z, +02:00 or local")
        time = dataclasses.replace(time, zone=answers["zone"])
    decimal, thousands = read_as.decimal, read_as.thousands
    if answers.get("comma") == "decimal":
        decimal = ","
    elif answers.get("comma") == "thousands":
        decimal, thousands = ".", ","
    return dataclasses.replace(
        read_as,
        columns=tuple(columns),
        time=time,
        decimal=decimal,
        thousands=thousands,
        ambient=_ambient(answers, file) if "ambient" in answers else read_as.ambient,
        confirmed=True,
        set_aside=set_aside,
        gauges_aside=gauges_aside,
    )


def _ambient(answers: Mapping[str, str], file: str) -> float:
    try:
        value = read(answers["ambient"], "pressure")
    except UnitError as error:
        raise InputError(f"ambient: {error.sentence()}", where=file) from None
    if not 30e3 < value < 110e3:
        raise InputError("ambient: no air pressure people work at", where=file, read=answers["ambient"])
    return value


def _column(c: ColumnAs, answers: Mapping[str, str]) -> ColumnAs:
    role = c.role
    if f"role of {c.name}" in answers:
        try:
            role = ChannelRole(answers[f"role of {c.name}"])
        except ValueError:
            raise InputError(
                "not a role", where=c.name, read=answers[f"role of {c.name}"], expected=", ".join(ChannelRole)
            ) from None
    unit = c.unit
    if role in _HOT and unit not in KINDS["temperature"].units:
        unit = answers.get("temperature unit", "")
    unit = answers.get(f"unit of {c.name}", unit)
    gauge = ChannelRole.VACUUM in (role, c.role)  # one given another role is weighed in its own sense
    sense = answers.get(f"sense of {c.name}", c.sense) if gauge else ""
    if sense and sense not in SENSES:
        raise InputError("not a sense of a vacuum", where=c.name, read=sense, expected=", ".join(SENSES[1:]))
    return dataclasses.replace(
        c,
        role=role,
        unit=unit,
        sense=sense,
        sense_written=c.sense_written and sense == c.sense,
        name=answers.get(f"name of {c.name}", c.name),
        overruled=_overruled(c, unit, sense) if gauge else "",
    )


def _overruled(c: ColumnAs, unit: str, sense: str) -> str:
    """What the file says about a vacuum's unit and sense where these answers contradict it; "" for
    nothing."""
    written = c.sense if c.sense_written else "" if c.sense else sense_in_name(c.name)
    told = [c.unit] if c.unit in KINDS["pressure"].units and unit and not same_unit(unit, c.unit) else []
    told += [written] if written and sense and sense != written else []
    return ", ".join(told)
