"""Finding codes of the cure log (V1..) and of the cure itself (V2..)."""

from __future__ import annotations

from panelmend.errors import Severity, finding_code
from panelmend.plan.judge import alarm_codes

_N, _C, _S = Severity.NOTE, Severity.CAUTION, Severity.STOP
_LOOK = "check the wiring and the instrument; do not judge the cure by this channel"
_ENGINEER = "hold the part; show the log to the engineer responsible for the repair data"

CLOCK_BACK = finding_code(
    "V101",
    _S,
    "The clock jumps back",
    "find out what set the clock; the order of the readings is not certain",
)
NEWEST_FIRST = finding_code(
    "V500", _S, "The log is written newest first", "export it with the oldest row first, then judge it again"
)
OUT_OF_ORDER = frozenset((CLOCK_BACK.code, NEWEST_FIRST.code))
CLOCK_HOUR = finding_code(
    "V102", _C, "The clock moved by an hour", "say whether somebody changed the clock by hand"
)
REPEATED = finding_code(
    "V103", _C, "Time stamps repeat", "set the logger to time stamps finer than its sampling time"
)
CLOCK_STOOD = finding_code(
    "V646",
    _C,
    "The clock stood still",
    "find out why; when these samples were read the log does not show",
)
GAP = finding_code(
    "V104", _C, "The log has a gap", "look for a second file; nothing is assumed inside the gap"
)
IRREGULAR = finding_code("V105", _N, "The sampling is uneven", "set the logger to one sampling time")
SPARSE = finding_code("V106", _C, "The samples are far apart", "sample every minute or faster")
ENDS_HOT = finding_code("V107", _C, "The log ends while the part is hot", "look for the rest of the log")
STARTS_HOT = finding_code(
    "V108", _C, "The log begins while the part is hot", "look for the beginning of the log"
)
IN_RAMP = finding_code(
    "V250", _C, "The log begins while the part is being heated", "look for the beginning of the log"
)
BEGINS_IN_HEAT = frozenset((STARTS_HOT.code, IN_RAMP.code))
BLANK = finding_code(
    "V109", _C, "All channels are missing at once", "check the logger's power supply and memory"
)
ODD_STAMP = finding_code(
    "V110", _C, "A time stamp is odd", "check whether these samples matter; the order of the file was kept"
)
LEFT_OUT = finding_code(
    "V645",
    _S,
    "A row that was left out holds a reading beyond a limit",
    "look at this line of the file, and find in the logger itself when it was read and by which sensor; then "
    "have an inspector or engineer decide",
)

DEAD = finding_code("V111", _C, "The channel has no readings at all", _LOOK)
OPEN = finding_code("V112", _C, "The circuit is open", _LOOK)
LOOSE = finding_code("V113", _C, "The contact is loose: readings come and go", _LOOK)
STOPPED = finding_code("V114", _C, "The channel stops reading", _LOOK)
MISSING = finding_code("V115", _N, "Readings are missing", "they are not filled in: check whether it matters")
STUCK = finding_code("V116", _C, "The channel is stuck at one value", _LOOK)
CLIPPED = finding_code("V117", _C, "The channel is cut off at the end of its range", _LOOK)
SPIKE = finding_code(
    "V118",
    _N,
    "The channel has a spike",
    "ignore it: no part can follow a reading like this, and it is not counted",
)
COARSE = finding_code(
    "V119", _N, "The channel reads in coarse steps", "keep the step in mind when you compare with limits"
)
NOISY = finding_code("V120", _C, "The channel is noisy", "look for a loose joint or a heater lead beside it")
SWAPPED = finding_code("V121", _C, "The polarity is reversed", "swap the two legs back; " + _LOOK)
WRONG_WIRE = finding_code(
    "V122", _C, "The input is set to another thermocouple type", "set the input to match the wire; " + _LOOK
)
UNIT = finding_code("V123", _C, "The unit is mixed up", "read the file again with this channel's own unit")
CAME_OFF = finding_code("V124", _C, "The thermocouple came off the part", _LOOK)
COLD = finding_code("V125", _C, "The thermocouple does not follow the heat", _LOOK)
TWIN = finding_code(
    "V126", _C, "Two channels are the same", "check whether one sensor feeds both inputs; it counts once"
)
OFFSET = finding_code(
    "V127", _C, "The thermocouple reads off from the start", "compare it with the others in still air"
)
SLOW = finding_code(
    "V128",
    _N,
    "The thermocouple is slow to follow",
    "check whether it touches the part; it is judged as it reads",
)
DRIFT = finding_code("V129", _C, "The thermocouple drifts away from the others", _LOOK)
UNDECIDED = finding_code(
    "V130",
    _C,
    "Thermocouples disagree, and the log does not show which of them is wrong",
    "check the wiring of every one of them",
)
FEW_TOLD = finding_code(
    "V570",
    _N,
    "Fewer than three thermocouples are reading: one wrong wire or input would not show",
    "check the type of each wire and input; a good log of two does not prove that both are right",
)
LEAD_SWAPPED = finding_code(
    "V149",
    _N,
    "The channel reads as if its lead were reversed at both ends, or as if it lay in a cold place",
    "check both ends of its lead",
)

V_IMPOSSIBLE = finding_code(
    "V131", _C, "No pump can draw this vacuum", "check unit, sense and zero of the gauge"
)
V_SENSE = finding_code(
    "V132", _C, "The vacuum has the wrong sense", "read the file again with the other sense"
)
V_STUCK = finding_code(
    "V133", _C, "The vacuum is stuck at one value", "check gauge and hose; this log does not show the vacuum"
)
V_UNIT = finding_code("V134", _C, "The vacuum is too low for a working pump", "check the unit of the gauge")
V_MISSING = finding_code(
    "V135", _C, "Vacuum readings are missing", "look for that time on the gauge's own record"
)
FROZEN = finding_code(
    "V136", _C, "Nothing in the log moves", "check logger and gauge; these readings are no evidence"
)
STOOD = finding_code(
    "V576",
    _C,
    "All thermocouples stayed at one value for a long time",
    "compare with the controller's own display or chart for that time: a logger card that has stopped reads "
    "the same; log in tenths next time",
)
STOOD_TOGETHER = finding_code(
    "V579",
    _C,
    "Several thermocouples stopped together",
    "compare with the controller's own display or chart for that time: an input card that has stopped reads "
    "the same; what they show meanwhile is no evidence",
)
STOOD_BESIDE = finding_code(
    "V578",
    _C,
    "Thermocouples stood at one value in a dwell while others moved",
    "look at these thermocouples in the controller's own display or chart for that time: an input that has "
    "stopped reads the same, and the verdict rests on them",
)
MOVED = finding_code(
    "V370",
    _C,
    "Readings may be under the wrong names",
    "check these rows in the logger itself; they are no evidence",
)
FILLED = finding_code(
    "V371",
    _C,
    "Rows were filled in with the readings before them",
    "export only the readings that the logger took; rows that were filled in are no evidence",
)
DRAWN = finding_code(
    "V455",
    _C,
    "Rows lie on straight lines drawn between two readings",
    "export only the readings that the logger took; rows that were drawn in are no evidence",
)
REPEATS = finding_code(
    "V372",
    _N,
    "Rows repeat the readings before them",
    "only rows with readings of their own count; set the export to the logger's own step",
)
REPLAYED = finding_code(
    "V138",
    _C,
    "The same readings appear twice",
    "check the logger's buffer and the export; the repeat is no evidence",
)
LATE = finding_code(
    "V240",
    _C,
    "The thermocouple starts to read only after the heat is on",
    "find out when it was connected; it counts as lost until then, and its later readings are judged",
)
JUMPED = finding_code(
    "V241",
    _C,
    "All thermocouples jump at once",
    "check whether somebody changed unit or scale in the logger; export both parts, each with its own units",
)
JOINED = finding_code(
    "V373",
    _C,
    "Thermocouples jump apart at the same moment",
    "check whether the logs of two jobs were joined, or plugs swapped, and judge only the log of this job",
)
SET_ASIDE = finding_code(
    "V242",
    _C,
    "A channel that looks like a thermocouple, by its name and readings, was given another role",
    "have an inspector or engineer say what it measures; the verdict is made with it and without it",
)
GAUGE_ASIDE = finding_code(
    "V534",
    _C,
    "A channel that looks like a vacuum gauge, by its name or unit, was given another role",
    "have an inspector or engineer say which vacuum it reads; the verdict is made with it and without it",
)
SENSE_ANSWERED = finding_code(
    "V560",
    _C,
    "Only one person has said how the vacuum gauge counts",
    "have an inspector or engineer who did not run the cure say it from its certificate (--gauge-seen "
    "'CHANNEL; below ambient; certificate; name; inspector'); next time start the logger before the pump, "
    "so that the log shows the open bag",
)
OVERRULED = finding_code(
    "V577",
    _C,
    "The vacuum gauge is read in another unit or sense than the file says",
    "confirm the reading again as the file says, or have an inspector or engineer who did not run the cure "
    "say from its certificate that the file is wrong (--gauge-seen 'CHANNEL; below ambient; certificate; "
    "name; inspector')",
)
AIR_FOLLOWS = finding_code(
    "V535",
    _C,
    "A channel taken as air follows the heat like one on the part",
    "check where it lies; if it is on the part, it is a thermocouple: confirm the reading again with that "
    "role; the verdict is made with it and without it",
)
POINT_FOLLOWS = finding_code(
    "V571",
    _C,
    "A channel taken as set point is outside the band it should call for and follows the heat",
    "check which column is the set point: columns may be swapped; confirm the reading again with the right "
    "roles; the verdict is made with it as a thermocouple and without it",
)
CLOCK_ALONE = finding_code(
    "V573",
    _N,
    "The times come from the logger's clock, and nobody has checked it",
    "write down from a clock on the wall when the slowest was in the band and when the dwell was ended "
    "(--dwell-watch 'began; ended')",
)
CLOCK_DIFFERS = finding_code(
    "V574",
    _S,
    "The clock on the wall and the logger's clock do not agree",
    "find out which of them is right; " + _ENGINEER,
)
OTHER_STEP = finding_code(
    "V575",
    _S,
    "The readings are not as far apart as the logger was set to",
    "check the setting in the logger and export the log again, as the logger took it",
)
READS_AGAIN = finding_code(
    "V300",
    _S,
    "A lost thermocouple reads again, and its readings are not as the cure cycle requires",
    "have an inspector or engineer say whether its contact was still bad or its place really was as it reads",
)
LOST_SAME = finding_code(
    "V314", _N, "A lost thermocouple is still reading", "find out why the contact failed"
)
LOST_BELOW = finding_code(
    "V315",
    _S,
    "A thermocouple was lost, and its place may not have stayed in the band for the dwell",
    "have the engineer decide: nobody knows whether its place was in the band for long enough",
)
LOST_ABOVE = finding_code(
    "V340",
    _S,
    "A thermocouple was lost, and its place may have become too hot",
    "have the engineer decide: nobody knows how hot its place became",
)
STOOD_MOVING = finding_code(
    "V650",
    _S,
    "A thermocouple stopped at one value while its place was moving, and its place may not have kept a limit",
    "have the engineer decide: an input that stops reads the same; nobody knows where its place went",
)
STOOD_JUMPED = finding_code(
    "V651",
    _S,
    "A thermocouple stood at one value in a dwell and then jumped",
    "have the engineer decide: no place stands and then jumps; nobody knows where it was meanwhile",
)
BACKWARDS = finding_code(
    "V243",
    _S,
    "The thermocouple reads lower than at the start while the part is heated",
    "heat off; check its polarity: with its legs swapped it falls while the part gets hotter",
)
UNANSWERED = finding_code(
    "V244",
    _S,
    "The set point calls for heat, but no thermocouple rises",
    "heat off now; check blanket, leads, polarity and channels before you go on",
)
V_AMBIENT = finding_code(
    "V137",
    _C,
    "The air pressure does not match",
    "read the barometer on the day; do not use a pressure at sea level",
)

RAMP_FAST = finding_code("V201", _S, "The part was heated too fast", _ENGINEER)
RAMP_SLOW = finding_code("V202", _S, "The part was heated too slowly", _ENGINEER)
NOT_REACHED = finding_code("V203", _S, "The band was not reached", _ENGINEER)
DWELL_SHORT = finding_code("V204", _S, "The dwell was too short", _ENGINEER)
DWELL_LONG = finding_code("V205", _S, "The dwell was too long", _ENGINEER)
CEILING = finding_code("V206", _S, "The maximum temperature was exceeded", _ENGINEER)
ABOVE_BAND = finding_code("V207", _S, "The part was above the band in the dwell", _ENGINEER)
BELOW_BAND = finding_code(
    "V208", _C, "The part fell below the band in the dwell", "see the dwell's own verdict"
)
SPREAD = finding_code("V209", _S, "The thermocouples were too far apart", _ENGINEER)
LAG = finding_code("V210", _S, "The last thermocouple entered the band too late", _ENGINEER)
COOL_FAST = finding_code("V211", _S, "The part was cooled too fast", _ENGINEER)
RELEASED_HOT = finding_code("V212", _S, "The vacuum was released while the part was hot", _ENGINEER)
VACUUM_LOW = finding_code("V213", _S, "The vacuum was too low", _ENGINEER)
VACUUM_DIP = finding_code(
    "V214", _N, "The vacuum dipped, but no more than allowed", "find the cause before the next bag"
)
LEAK = finding_code("V215", _S, "The leak test failed", "find and seal the leak before heat goes on")
SENSORS_FEW = finding_code("V216", _S, "Too few thermocouples were left", _ENGINEER)
SENSORS_LOST = finding_code("V217", _S, "More thermocouples were lost than allowed", _ENGINEER)
SENSOR_NEEDED = finding_code("V218", _S, "A thermocouple that must work was lost", _ENGINEER)
INTERRUPTED = finding_code("V219", _C, "The cure was interrupted", _ENGINEER)
DEGREE = finding_code("V220", _S, "The degree of cure is too low", _ENGINEER)
GLASS = finding_code("V221", _S, "The glass transition is too low", _ENGINEER)
COOL_SLOW = finding_code("V222", _S, "The part was cooled too slowly", _ENGINEER)
UNKNOWN = finding_code("V223", _S, "This cannot be judged", "find the missing evidence, or have it decided")
NEAR = finding_code(
    "V224", _N, "The reading is closer to a limit than a thermocouple can tell", "have the engineer decide"
)
PROGRAM = finding_code(
    "V225", _C, "The set point does not follow the cure cycle", "check the controller's program"
)
IN_DOUBT = finding_code(
    "V226",
    _C,
    "A thermocouple is in doubt",
    "have it checked; its readings count in the judgement until an inspector or engineer decides",
)
UNCONFIRMED = finding_code(
    "V227",
    Severity.CONFIRM,
    "The verdict uses a default where the approved data gives no value",
    "find the value in the approved data, or have a named person confirm it",
)
CONFIRMED = finding_code(
    "V229", _N, "A named person confirmed a default", "check that this person may confirm it"
)
OTHER_JOB = finding_code(
    "V228", _S, "The log is from another time or another operation", "find the log of this cure"
)

HEATS = finding_code("V231", _S, "The log holds more than one heat", _ENGINEER)
WINDOW = finding_code(
    "V230",
    _S,
    "The times of the job do not match the log",
    "ask for the true times of vacuum-on and bag opening",
)

FAILURES = (
    RAMP_FAST, RAMP_SLOW, NOT_REACHED, DWELL_SHORT, DWELL_LONG, CEILING, ABOVE_BAND, SPREAD, LAG, COOL_FAST,
    RELEASED_HOT, VACUUM_LOW, LEAK, SENSORS_FEW, SENSORS_LOST, SENSOR_NEEDED, DEGREE, GLASS, COOL_SLOW,
)  # fmt: skip

# those of the watch, under one name with all others
TOP_SOON = alarm_codes.TOP_SOON
TOP_NEARS = alarm_codes.TOP_NEARS
RAMP_SOON = alarm_codes.RAMP_SOON
RAMP_SLOWS = alarm_codes.RAMP_SLOWS
BAND_SOON = alarm_codes.BAND_SOON
BAND_NEARS = alarm_codes.BAND_NEARS
VACUUM_SOON = alarm_codes.VACUUM_SOON
SENSOR_NOW = alarm_codes.SENSOR_NOW
SILENT = alarm_codes.SILENT
COOL_SOON = alarm_codes.COOL_SOON
HOLD_VACUUM = alarm_codes.HOLD_VACUUM
TOP_NOW = alarm_codes.TOP_NOW
VACUUM_NOW = alarm_codes.VACUUM_NOW
BAND_NOW = alarm_codes.BAND_NOW
LEFT_EARLY = alarm_codes.LEFT_EARLY
TOP_WAS = alarm_codes.TOP_WAS
UNJUDGED_OUT = alarm_codes.UNJUDGED_OUT
BEHIND = alarm_codes.BEHIND
AHEAD_OF_IT = alarm_codes.AHEAD_OF_IT
DONE = alarm_codes.DONE
