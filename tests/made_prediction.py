"""A made-up prediction of the right shape, to try pages with.

A warm plateau under the blanket, cooler at its rim and over a rib. The temperatures are invented for
tests; the product never uses them.
"""

from __future__ import annotations

import math

from panelmend.job.bag.part import BagOperation
from panelmend.job.cure.drying import NUMBER as DRYING
from panelmend.job.cure.prediction import (
    Advice,
    CureState,
    Driver,
    Extreme,
    HeatMap,
    Likelihood,
    Limit,
    LimitRow,
    PlannedSensor,
    Prediction,
    Trace,
)
from panelmend.job.cure.problem import HeatProblem, HeatSource, Leg, Point, Rib, Unknown
from panelmend.plan.plan import Plan
from panelmend.shapes import rectangle
from panelmend.units import show

AIR = 291.15
CELLS = (36, 30)


def made_problem(plan: Plan, bag: BagOperation) -> HeatProblem:
    """The problem of a bag, without its layers: pages read where things lie and what the recipe asks."""
    assert plan.work is not None
    g = plan.case.geometry
    centre, angle = bag.patch.centroid, float(plan.work.cutout.opening.angle)
    heated = rectangle(centre, float(bag.blanket_length), float(bag.blanket_width), angle)
    dwell = next(s for s in bag.cure.segment if s.kind == "dwell")
    high = dwell.high if dwell.high is not None else dwell.to + 6.0
    low = dwell.low if dwell.low is not None else dwell.to - 5.0
    return HeatProblem(
        operation=bag.name,
        number=bag.number,
        side=bag.side,
        frame=(centre, angle),
        panel=g.outline,
        sheets=(),
        core=None,
        curing=(),
        ribs=tuple(
            Rib(s.id, s.kind, False, s.outline, 0.002, 0.05, 120.0, 2.4e6, None, None) for s in g.structure
        ),
        source=HeatSource(bag.blanket or "none", heated, heated, 7750.0, 500.0),
        source_behind=None,
        larger=None,
        insulation_over=0.0,
        insulation_behind=0.0,
        attitude="repair up",
        air=AIR,
        pressure=98500.0,
        film=None,
        legs=(
            Leg(dwell.to, 2.0 / 60.0, dwell.least or 7200.0, low, high, "heat"),
            Leg(322.15, 3.0 / 60.0, 0.0, 322.15, None, "cool"),
        ),
        follow="lagging",
        ceiling=bag.cure.ceiling,
        panel_limit=None,
        least_sensors=3,
        bond=bag.patch,
        floor=None,
        seal_line=bag.seal_line,
        sensor_line=bag.sensor_line,
        sensors=tuple((s.id, s.at) for s in bag.sensors),
        unknowns=UNKNOWNS,
        view=plan.case.view,
        second=None,
        avoid=(),
        spread_most=None,
        release_below=None,
        rate_window=600.0,
        notes=(),
    )


UNKNOWNS = (
    Unknown(
        "draught over",
        "moving air over the bag",
        3.0,
        0.0,
        8.0,
        "W/(m2 K)",
        "assumed: a closed bay to an open door",
    ),
    Unknown("air", "bay air beside what was read", 0.0, -3.0, 3.0, "K", "assumed"),
    Unknown("rib contact", "contact of the rib", 1.0, 0.3, 3.0, "1", "assumed: bare to filled joint"),
    Unknown("cure heat", "heat of cure", 1.0, 0.85, 1.15, "1", "assumed: scatter between lots"),
)


class Made:
    """The invented temperatures of a problem at any place and time."""

    def __init__(self, problem: HeatProblem) -> None:
        self.problem = problem
        self.target = problem.legs[0].target
        self.ramp = (self.target - AIR) / problem.legs[0].rate
        self.hold = self.ramp + 900.0 + problem.legs[0].dwell
        self.end = self.hold + (self.target - 322.15) / problem.legs[1].rate

    def set_point(self, time: float) -> float:
        """Recipe [K]."""
        if time <= self.ramp:
            return AIR + (self.target - AIR) * time / self.ramp
        if time <= self.hold:
            return self.target
        return max(self.target - self.problem.legs[1].rate * (time - self.hold), 322.15)

    def shape(self, u: float, v: float) -> float:
        """Warmth of a place over that of the blanket's middle [1]: it falls off at the rim."""
        half_u, half_v = (
            0.5 * self.problem.source.heated.extent(self.problem.frame[1] + t) for t in (0.0, math.pi / 2)
        )
        edge = min(half_u - abs(u), half_v - abs(v))
        rim = 1.0 / (1.0 + math.exp(-(edge + 0.01) / 0.018))
        tilt = 1.0 + 0.12 * u / half_u
        return rim * tilt

    def kelvin(self, u: float, v: float, time: float, depth: float = 1.0) -> float:
        """Temperature [K]."""
        lag = 260.0 * (2.2 - self.shape(u, v))
        then = self.set_point(time) if time > self.hold else self.set_point(max(time - lag, 0.0))
        over = 1.0 + 0.05 * math.exp(-(((time - self.ramp - 700.0) / 500.0) ** 2))
        dip = 0.0
        for rib in self.problem.ribs:
            x, y = self.place(u, v)
            x0, y0, x1, y1 = rib.outline.bounds
            gap = max(x0 - x, x - x1, y0 - y, y - y1, 0.0)
            dip += 0.3 * math.exp(-gap / 0.05)
        return AIR + (then - AIR) * depth * over * self.shape(u, v) * (1.0 - min(dip, 0.6))

    def place(self, u: float, v: float) -> Point:
        """From the frame to standard axes."""
        (x, y), angle = self.problem.frame
        c, s = math.cos(angle), math.sin(angle)
        return (x + c * u - s * v, y + s * u + c * v)

    def frame(self, at: Point) -> Point:
        """From standard axes to the frame."""
        (x, y), angle = self.problem.frame
        c, s = math.cos(angle), math.sin(angle)
        return (c * (at[0] - x) + s * (at[1] - y), -s * (at[0] - x) + c * (at[1] - y))


def made_map(problem: HeatProblem, title: str, time: float, layer: str, depth: float = 1.0) -> HeatMap:
    """A map on grid lines: None beyond the panel's edge."""
    made = Made(problem)
    size = 0.62 * problem.source.heated.largest_extent()
    u = tuple(size * (2.0 * i / CELLS[0] - 1.0) for i in range(CELLS[0] + 1))
    v = tuple(size * (2.0 * j / CELLS[1] - 1.0) for j in range(CELLS[1] + 1))

    def cell(i: int, j: int) -> float | None:
        cu, cv = 0.5 * (u[i] + u[i + 1]), 0.5 * (v[j] + v[j + 1])
        return made.kelvin(cu, cv, time, depth) if problem.panel.contains(made.place(cu, cv)) else None

    rows = tuple(tuple(cell(i, j) for i in range(CELLS[0])) for j in range(CELLS[1]))
    return HeatMap(title, time, layer, u, v, rows)


def made_prediction(problem: HeatProblem) -> Prediction:
    """A whole prediction, consistent with :class:`Made`."""
    made = Made(problem)
    times = tuple(60.0 * i for i in range(int(made.end / 60.0) + 1))
    centre, half = problem.frame[0], 0.45 * problem.bond.largest_extent()
    turned = problem.bond.moved(-centre[0], -centre[1]).turned(-problem.frame[1])
    x0, y0, x1, y1 = turned.bounds
    hot, cold = (0.8 * x1, 0.0), (0.8 * x0, 0.6 * y0)
    between, check = (0.0, y1 + 0.012), (0.0, 0.0)

    def trace(at: Point, depth: float = 1.0) -> tuple[float, ...]:
        return tuple(made.kelvin(at[0], at[1], t, depth) for t in times)

    dwell = problem.dwell
    spots = [
        ("T1", cold, "coldest"),
        ("T2", hot, "hottest"),
        ("T3", between, "between"),
        ("T4", (x1 + 0.012, 0.3 * half), "between"),
    ]
    curves = {name: trace(at) for name, at, _ in spots}
    coldest, hottest = trace(cold), trace(hot)
    arrives = next((t for t, k in zip(times, coldest, strict=True) if k >= dwell.low), None)
    dwell_from = arrives if arrives is not None else None
    dwell_to = min(dwell_from + dwell.dwell, made.hold) if dwell_from is not None else None
    hottest_at = times[max(range(len(times)), key=lambda i: hottest[i])]
    start = dwell_from if dwell_from is not None else made.ramp

    def reads(values: tuple[float, ...]) -> tuple[float, float]:
        inside = [k for t, k in zip(times, values, strict=True) if start <= t <= (dwell_to or made.hold)]
        return min(inside), max(inside)

    sensors = []
    for name, at, role in spots:
        low, high = reads(curves[name])
        enters = next((t for t, k in zip(times, curves[name], strict=True) if k >= dwell.low), None)
        why = {
            "coldest": "beside the coldest place",
            "hottest": "beside the hottest place",
            "between": "between the two",
        }[role]
        sensors.append(
            PlannedSensor(
                name,
                made.place(*at),
                "repair side",
                role,
                why,
                low,
                high,
                enters,
                low - reads(coldest)[0],
                reads(hottest)[1] - high,
            )
        )
    sensors.append(
        PlannedSensor(
            "C1",
            made.place(*check),
            "far face",
            "check",
            "watches the far skin; never counts",
            340.0,
            345.0,
            None,
            -3.0,
            8.0,
        )
    )
    peak = max(hottest)
    least = reads(coldest)[0]
    limits = [
        LimitRow(
            "band, lower end",
            "bond line",
            dwell.low,
            least,
            "temperature",
            "above",
            least - dwell.low,
            Limit.COLDEST,
        ),
        LimitRow(
            "time to the band",
            "bond line",
            7200.0,
            arrives if arrives is not None else 9000.0,
            "time",
            "below",
            7200.0 - (arrives or 9000.0),
            Limit.HELD_LONG,
        ),
    ]
    if dwell.high is not None:
        limits.append(
            LimitRow(
                "band, upper end",
                "bond line",
                dwell.high,
                peak,
                "temperature",
                "below",
                dwell.high - peak,
                Limit.HOTTEST,
            )
        )
    if problem.ceiling is not None:
        limits.append(
            LimitRow(
                "ceiling",
                "under the blanket",
                problem.ceiling,
                peak + 2.0,
                "temperature",
                "below",
                problem.ceiling - peak - 2.0,
                Limit.PEAK,
            )
        )
    if problem.number == DRYING:
        limits.append(
            LimitRow(
                "hottest at any time", "panel", peak + 50.0, peak, "temperature", "below", 50.0, Limit.AROUND
            )
        )
    worst = min(r.margin for r in limits if r.kind == "temperature")
    likelihood = Likelihood(
        400,
        7,
        "reduced",
        0.4,
        1.3,
        40,
        1,
        322,
        380,
        310,
        350,
        301,
        0.708,
        0.794,
        (least - 3, least, least + 3),
        (peak - 2, peak, peak + 2),
        (
            Driver("draught over", -3.1, -1.2),
            Driver("air", 0.9, 0.8),
            Driver("rib contact", -2.2, -0.3),
            Driver("cure heat", 0.4, 1.6),
        ),
        2,
        330,
        ("draught over", "rib contact", "cure heat"),
        (61, 100),
        290,
        318,
        74,
    )
    ends = [Trace(r.id, "structure", trace((x0, y0), 0.5)) for r in problem.ribs]
    return Prediction(
        problem=problem.digest(),
        operation=problem.operation,
        times=times,
        set_point=tuple(made.set_point(t) for t in times),
        traces=(
            *(Trace(n, "sensor", c) for n, c in curves.items()),
            Trace("C1", "check", trace(check, 0.72)),
            Trace("hottest of the bond line", "hottest", hottest),
            Trace("coldest of the bond line", "coldest", coldest),
            Trace("far skin", "far skin", trace((0.0, 0.0), 0.7)),
            *ends,
        ),
        sensors=tuple(sensors),
        hottest=Extreme(peak, hottest_at, made.place(*hot), "bond line"),
        coldest=Extreme(least, start, made.place(*cold), "bond line"),
        dwell_from=dwell_from,
        dwell_to=dwell_to,
        coldest_arrives=arrives,
        duration=times[-1],
        finished=True,
        overshoot=peak - made.target,
        duty=(0.86, 0.34),
        limits=tuple(limits),
        cured=(CureState("laminating epoxy", 0.91, 0.96, 378.0),),
        maps=(
            made_map(
                problem, "when the coldest place of the bond line enters the band", start, "repair side"
            ),
            made_map(problem, "at the hottest moment of the bond line", hottest_at, "repair side"),
            made_map(problem, "at the hottest moment of the bond line", hottest_at, "far skin", 0.7),
        ),
        advice=(
            Advice(
                f"insulate the far face with {show(0.0127, 'length', problem.view)} of glass wool",
                "heating.insulation_behind",
                worst,
                worst + 4.0,
                17000.0,
                True,
                (12, 18, 20),
            ),
            Advice(
                "follow the average instead of the lagging thermocouple",
                "data.cure.control",
                worst,
                worst - 1.0,
                16500.0,
                False,
                (12, 12, 20),
            ),
        ),
        likelihood=likelihood,
        unknowns=problem.unknowns,
        worst=worst,
        energy_unbalanced=1e-6,
        cells=20000,
        step=10.0,
        notes=("The cross term of a slanted ribbon is left out.",),
        around=(("panel", peak), ("blanket", peak + 20.0)),
    )
