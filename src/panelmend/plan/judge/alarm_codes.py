"""Finding codes of the watch on a running cure (V3.., and later ones)."""

from __future__ import annotations

from panelmend.errors import Severity, finding_code

_N, _C, _S = Severity.NOTE, Severity.CAUTION, Severity.STOP

TOP_SOON = finding_code(
    "V301",
    _S,
    "The temperature is about to pass a limit",
    "lower the set point now; take insulation off if it goes on rising",
)
TOP_NEARS = finding_code(
    "V313",
    _C,
    "The temperature is getting closer to its limit",
    "watch the hottest one; check that the controller brings it back, and be ready to lower the set point",
)
RAMP_SOON = finding_code("V302", _C, "The heating rate is close to its limit", "slow down the set point")
RAMP_SLOWS = finding_code(
    "V303", _C, "The part heats too slowly", "check blanket, insulation and supply; raise the rate"
)
BAND_SOON = finding_code(
    "V304",
    _S,
    "The slowest thermocouple is about to leave the band",
    "raise the set point by as much as it is short; look for insulation that came off",
)
BAND_NEARS = finding_code(
    "V561",
    _C,
    "The slowest thermocouple is getting closer to the low end of the band",
    "watch the slowest one; check that the controller brings it back, and be ready to raise the set point",
)
VACUUM_SOON = finding_code(
    "V305", _S, "The vacuum is falling", "look for the leak along the seal; do not stop the pump"
)
SENSOR_NOW = finding_code(
    "V306", _C, "A thermocouple is lost", "do not control by it; check whether enough are left"
)
SILENT = finding_code(
    "V307", _S, "No readings are coming in", "check the logger, its lead and the network; the gap stays a gap"
)
COOL_SOON = finding_code(
    "V308",
    _C,
    "The cooling rate is close to its limit",
    "lower the set point more slowly; keep the insulation on",
)
HOLD_VACUUM = finding_code(
    "V309",
    _N,
    "Vacuum is still needed",
    "do not release it until the hottest thermocouple is below the limit",
)
TOP_NOW = finding_code(
    "V330",
    _S,
    "A temperature is above its limit",
    "lower the set point now; heat off if it does not fall; tell the engineer",
)
VACUUM_NOW = finding_code(
    "V331", _S, "The vacuum is below its minimum", "look for the leak along the seal; do not stop the pump"
)
BAND_NOW = finding_code(
    "V332",
    _S,
    "The slowest thermocouple is below the band",
    "raise the set point by as much as it is short; look for insulation that came off",
)
LEFT_EARLY = finding_code(
    "V456",
    _S,
    "The part left its band before the dwell was over",
    "keep the vacuum and the bag on; tell the engineer before anyone heats again or opens the bag",
)
TOP_WAS = finding_code(
    "V333", _C, "A temperature limit was exceeded", "hold the part; tell the engineer before you go on"
)
UNJUDGED_OUT = finding_code(
    "V572",
    _C,
    "A channel that is not judged follows the heat and is outside the limits",
    "check now where it lies; if it is on the part, it is a thermocouple and the verdict will be made with "
    "it too: treat it as one, and confirm the reading again with that role",
)
BEHIND = finding_code(
    "V311",
    _C,
    "The part is colder than predicted",
    "check blanket, leads, insulation and bag; read the thermocouple again",
)
AHEAD_OF_IT = finding_code(
    "V312",
    _C,
    "The part is hotter than predicted",
    "check whether a thermocouple came loose; watch the hottest one closely",
)
DONE = finding_code("V310", _N, "The dwell is complete", "go on to the next stage of the cure cycle")
