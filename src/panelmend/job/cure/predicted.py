"""Numbers read from a prediction, each a figure of its own."""

from __future__ import annotations

from panelmend.derive import Formula, Source, formula
from panelmend.job.cure.prediction import Prediction

SOLVER = Source("heat through the layers under the bag", "docs/method/cure.md")


@formula("hottest of the bond line at any time", source=SOLVER, kind="temperature")
def hottest(prediction: Prediction) -> float:
    """Hottest the bond line gets.

    prediction: the run with likely values [prediction]
    return: temperature [K]
    """
    return prediction.hottest.kelvin


@formula("coldest of the bond line in the dwell", source=SOLVER, kind="temperature")
def coldest(prediction: Prediction) -> float:
    """Coldest of the bond line in the longest dwell.

    prediction: the run with likely values [prediction]
    return: temperature [K]
    """
    return prediction.coldest.kelvin


@formula("hottest less set point", source=SOLVER, kind="temperature difference")
def overshoot(prediction: Prediction) -> float:
    """How far the hottest of the bond line passes the set point.

    prediction: the run with likely values [prediction]
    return: difference [K]
    """
    return prediction.overshoot


@formula("time at which the coldest of the bond line enters the band", source=SOLVER, kind="time")
def coldest_arrives(prediction: Prediction) -> float | None:
    """When the coldest of the bond line enters the band; none where it never does.

    prediction: the run with likely values [prediction]
    return: time from the start of heat [s]
    """
    return prediction.coldest_arrives


@formula("end of the cure cycle", source=SOLVER, kind="time")
def duration(prediction: Prediction) -> float:
    """How long the whole cycle takes.

    prediction: the run with likely values [prediction]
    return: time from the start of heat [s]
    """
    return prediction.duration


@formula("least margin of all limits on temperature", source=SOLVER, kind="temperature difference")
def worst_margin(prediction: Prediction) -> float:
    """The least margin of all limits on temperature; below zero one is passed.

    prediction: the run with likely values [prediction]
    return: difference [K]
    """
    return prediction.worst


@formula("least degree of cure at the end", source=SOLVER, kind="ratio")
def least_degree(prediction: Prediction) -> float | None:
    """Least degree of cure of everything that cures; none where no constants are given.

    prediction: the run with likely values [prediction]
    return: degree of cure [1]
    """
    return min((c.least for c in prediction.cured), default=None)


@formula("cases that hold everything / cases tried", source=SOLVER, kind="ratio")
def likelihood(prediction: Prediction) -> float | None:
    """Share of the cases tried that hold every limit; none where no cases were tried, or where a range that
    drives the result was measured by nobody.

    prediction: the run with likely values and its cases [prediction]
    return: share [1]
    """
    found = prediction.likelihood
    return found.share if found is not None and found.measured else None


@formula("cases that hold everything", source=SOLVER)
def cases_held(prediction: Prediction) -> int:
    """How many of the cases tried hold every limit.

    prediction: the run with likely values and its cases [prediction]
    return: cases [1]
    """
    assert prediction.likelihood is not None, "no cases were tried"
    return prediction.likelihood.everything


@formula(
    "coldest of the foot of the core round the opening, at its warmest", source=SOLVER, kind="temperature"
)
def foot_reaches(prediction: Prediction) -> float:
    """How warm the coldest place of the core's foot gets while drying.

    prediction: of drying, with likely values [prediction]
    return: temperature [K]
    """
    return max(next(t for t in prediction.traces if t.kind == "coldest").kelvin)


@formula("time from which the coldest of the foot is near the drying temperature", source=SOLVER, kind="time")
def foot_arrives(prediction: Prediction) -> float | None:
    """When the coldest place of the core's foot comes near the drying temperature; none where it never does.

    prediction: of drying, with likely values [prediction]
    return: time from the start of heat [s]
    """
    return prediction.coldest_arrives


@formula("hottest of the skins at any time", source=SOLVER, kind="temperature")
def skin_hottest(prediction: Prediction) -> float:
    """Hottest a skin gets while drying: so hot may a closed cell under it be.

    prediction: of drying, with likely values [prediction]
    return: temperature [K]
    """
    return dict(prediction.around)["panel"]


@formula(
    "coldest of the foot of the core, at its warmest, in the coldest case", source=SOLVER, kind="temperature"
)
def foot_least(prediction: Prediction) -> float | None:
    """How warm the coldest place of the core's foot gets in the coldest case tried; none where none was.

    prediction: of drying, with its cases [prediction]
    return: temperature [K]
    """
    return prediction.tried.foot[0] if prediction.tried is not None else None


@formula("hottest of the skins in the hottest case", source=SOLVER, kind="temperature")
def skin_most(prediction: Prediction) -> float | None:
    """Hottest a skin gets while drying in the hottest case tried; none where none was.

    prediction: of drying, with its cases [prediction]
    return: temperature [K]
    """
    return prediction.tried.skin[1] if prediction.tried is not None else None


@formula("time from which the coldest of the foot is near, in the last case", source=SOLVER, kind="time")
def foot_late(prediction: Prediction) -> float | None:
    """When the coldest place of the core's foot comes near the drying temperature in the slowest case tried;
    none where in one of them it never does.

    prediction: of drying, with its cases [prediction]
    return: time from the start of heat [s]
    """
    return prediction.tried.late if prediction.tried is not None else None


DRIED: dict[str, Formula] = {
    "reaches": foot_reaches,
    "arrives": foot_arrives,
    "hottest": skin_hottest,
    "least": foot_least,
    "most": skin_most,
    "late": foot_late,
}

READ: dict[str, Formula] = {
    "hottest": hottest,
    "coldest": coldest,
    "overshoot": overshoot,
    "coldest_arrives": coldest_arrives,
    "duration": duration,
    "worst_margin": worst_margin,
    "least_degree": least_degree,
    "likelihood": likelihood,
}
