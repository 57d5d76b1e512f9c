"""Finding codes of the cure log (V1..) and of the cure itself (V2..)."""

from __future__ import annotations

from panelmend.errors import Severity, finding_code

_N, _C, _S = Severity.NOTE, Severity.CAUTION, Severity.STOP
_LOOK = "look at the wiring and the instrument; do not judge the cure by this channel"
_ENGINEER = "hold the part; show the log to the engineer who owns the repair data"

CLOCK_BACK = finding_code(
    "V101", _S, "The clock jumps back", "find out what set the clock; order is not certain"
)
NEWEST_FIRST = finding_code(
    "V500", _S, "The log is written newest first", "export it with the oldest row first, then judge it again"
)
OUT_OF_ORDER = frozenset((CLOCK_BACK.code, NEWEST_FIRST.code))
CLOCK_HOUR = finding_code(
    "V102", _C, "The clock moved by an hour", "say whether the clock was changed by hand"
)
REPEATED = finding_code("V103", _C, "Time stamps repeat", "set the logger to stamps finer than its samples")
GAP = finding_code(
    "V104", _C, "The log has a gap", "look for a second file; nothing is assumed inside the gap"
)
IRREGULAR = finding_code("V105", _N, "The sampling is uneven", "set one sampling time for the logger")
SPARSE = finding_code("V106", _C, "The samples lie far apart", "sample every minute or faster")
ENDS_HOT = finding_code("V107", _C, "The log ends while the part is hot", "look for the rest of the log")
STARTS_HOT = finding_code(
    "V108", _C, "The log begins while the part is hot", "look for the beginning of the log"
)
IN_RAMP = finding_code(
    "V250", _C, "The log begins while the part is heated", "look for the beginning of the log"
)
BEGINS_IN_HEAT = frozenset((STARTS_HOT.code, IN_RAMP.code))
BLANK = finding_code("V109", _C, "All channels are missing at once", "look at the logger's supply and memory")
ODD_STAMP = finding_code(
    "V110", _C, "A time stamp is odd", "see whether the samples matter; the order of the file was kept"
)

DEAD = finding_code("V111", _C, "The channel reads nothing at all", _LOOK)
OPEN = finding_code("V112", _C, "The circuit is open", _LOOK)
LOOSE = finding_code("V113", _C, "The contact is loose: readings come and go", _LOOK)
STOPPED = finding_code("V114", _C, "The channel stops reading", _LOOK)
MISSING = finding_code("V115", _N, "Readings are missing", "nothing is filled in; see whether it matters")
STUCK = finding_code("V116", _C, "The channel is stuck at one value", _LOOK)
CLIPPED = finding_code("V117", _C, "The channel is cut off at the end of its range", _LOOK)
SPIKE = finding_code(
    "V118", _N, "The channel has a spike", "a single reading no part can follow; it is not counted"
)
COARSE = finding_code("V119", _N, "The channel reads in coarse steps", "read limits with the step in mind")
NOISY = finding_code("V120", _C, "The channel is noisy", "look for a loose joint or a heater lead beside it")
SWAPPED = finding_code("V121", _C, "The polarity is swapped", "swap the two legs back; " + _LOOK)
WRONG_WIRE = finding_code(
    "V122", _C, "The input is set to another thermocouple type", "set the input to the wire; " + _LOOK
)
UNIT = finding_code("V123", _C, "The unit is mixed up", "read the file again with this channel's own unit")
CAME_OFF = finding_code("V124", _C, "The thermocouple came off the part", _LOOK)
COLD = finding_code("V125", _C, "The thermocouple does not follow the heat", _LOOK)
TWIN = finding_code("V126", _C, "Two channels are the same", "one sensor on two inputs counts once")
OFFSET = finding_code(
    "V127", _C, "The thermocouple reads off from the start", "compare it with the others in still air"
)
SLOW = finding_code(
    "V128",
    _N,
    "The thermocouple is slow to follow",
    "see whether it lies on the part; it is judged as it reads",
)
DRIFT = finding_code("V129", _C, "The thermocouple drifts away from the others", _LOOK)
UNDECIDED = finding_code(
    "V130",
    _C,
    "Thermocouples disagree, and which of them is wrong cannot be told",
    "look at the wiring of every one of them",
)
FEW_TOLD = finding_code(
    "V570",
    _N,
    "Fewer than three thermocouples read: one wire or input that is wrong cannot be told from them",
    "look at the type of each wire and input; a good log of two does not prove that both are right",
)
LEAD_SWAPPED = finding_code(
    "V149",
    _N,
    "The channel reads as with a lead swapped at both ends, or as at a cold place",
    "look at both ends of its lead",
)

V_IMPOSSIBLE = finding_code("V131", _C, "There is no such vacuum", "check unit, sense and zero of the gauge")
V_SENSE = finding_code(
    "V132", _C, "The vacuum has the wrong sense", "read the file again with the other sense"
)
V_STUCK = finding_code(
    "V133", _C, "The vacuum is stuck at one value", "look at gauge and hose; vacuum is not shown"
)
V_UNIT = finding_code("V134", _C, "The vacuum is too small for a pump", "check the unit of the gauge")
V_MISSING = finding_code("V135", _C, "Vacuum readings are missing", "nothing is filled in")
FROZEN = finding_code(
    "V136", _C, "Nothing in the log moves", "look at logger and gauge; what stands there is no evidence"
)
STOOD = finding_code(
    "V576",
    _C,
    "All thermocouples stood at one value for long",
    "compare with the controller's own display or chart for that time: a card that stopped reads the same; "
    "log in tenths next time",
)
MOVED = finding_code(
    "V370",
    _C,
    "Readings may stand under the wrong names",
    "look at these rows in the logger itself; they are no evidence",
)
FILLED = finding_code(
    "V371",
    _C,
    "Rows were filled up with the readings before",
    "export the readings alone, as the logger took them; what was filled up is no evidence",
)
DRAWN = finding_code(
    "V455",
    _C,
    "Rows lie on straight lines drawn between two readings",
    "export the readings alone, as the logger took them; what was drawn is no evidence",
)
REPEATS = finding_code(
    "V372",
    _N,
    "Rows repeat the readings before",
    "only the rows with readings of their own are counted; set the export to the logger's own step",
)
REPLAYED = finding_code(
    "V138",
    _C,
    "Readings come twice",
    "look at the logger's buffer and the export; the repeat is no evidence",
)
LATE = finding_code(
    "V240",
    _C,
    "The thermocouple begins to read when the heat is on",
    "see when it was connected; it counts as lost until then, and what it read later is judged",
)
JUMPED = finding_code(
    "V241",
    _C,
    "All thermocouples jump at once",
    "see whether unit or scale was changed in the logger; export both parts with their own units",
)
JOINED = finding_code(
    "V373",
    _C,
    "Thermocouples step against one another at once",
    "see whether the logs of two jobs were joined, or plugs exchanged, and judge the log of this job alone",
)
SET_ASIDE = finding_code(
    "V242",
    _C,
    "A thermocouple by its name and readings was given another role",
    "have an inspector or engineer say what it measures; the verdict is made with it and without",
)
GAUGE_ASIDE = finding_code(
    "V534",
    _C,
    "A vacuum gauge by its name or unit was given another role",
    "have an inspector or engineer say of what it reads the vacuum; the verdict is made with it and without",
)
SENSE_ANSWERED = finding_code(
    "V560",
    _C,
    "How the vacuum gauge counts rests on one person's answer",
    "have an inspector or engineer who did not run the cure say it from its certificate (--gauge-seen "
    "'CHANNEL; below ambient; certificate; name; inspector'); "
    "start the logger before the pump next time, so that the log shows the open bag",
)
AIR_FOLLOWS = finding_code(
    "V535",
    _C,
    "A channel taken as air follows the heat as one on the part does",
    "see where it lies; on the part it is a thermocouple: confirm the reading again with that role; "
    "the verdict is made with it and without",
)
POINT_FOLLOWS = finding_code(
    "V571",
    _C,
    "A channel taken as set point is outside the band it should ask for and follows the heat",
    "see which column is the set point's: columns may be exchanged; confirm the reading again with the right "
    "roles; the verdict is made with it as a thermocouple and without",
)
CLOCK_ALONE = finding_code(
    "V573",
    _N,
    "Time rests on the logger's clock; nobody compared it",
    "write down by a watch on the wall when the slowest was in the band and when the dwell was ended "
    "(--dwell-watch 'began; ended')",
)
CLOCK_DIFFERS = finding_code(
    "V574",
    _S,
    "A watch on the wall and the logger's clock do not agree",
    "find out which of them is right; " + _ENGINEER,
)
OTHER_STEP = finding_code(
    "V575",
    _S,
    "The readings do not lie as far apart as the logger was set to",
    "look at the setting in the logger and export the log again, as the logger took it",
)
READS_AGAIN = finding_code(
    "V300",
    _S,
    "A lost thermocouple reads on, and not as the cure cycle asks",
    "have an inspector or engineer say whether its contact or its place was at fault",
)
LOST_SAME = finding_code("V314", _N, "A lost thermocouple reads on", "see what made the contact fail")
LOST_BELOW = finding_code(
    "V315",
    _S,
    "A thermocouple was lost, and its place may not have been in the band for the dwell",
    "have the engineer decide: whether its place was in the band for long enough is not known",
)
LOST_ABOVE = finding_code(
    "V340",
    _S,
    "A thermocouple was lost, and its place may have become too hot",
    "have the engineer decide: how hot its place became is not known",
)
BACKWARDS = finding_code(
    "V243",
    _S,
    "The thermocouple reads below where it began while the part is heated",
    "heat off; look at its polarity: with its legs swapped it falls while the part gets hotter",
)
UNANSWERED = finding_code(
    "V244",
    _S,
    "Heat is asked for and no thermocouple rises",
    "heat off now; look at blanket, leads, polarity and channels before it goes on",
)
V_AMBIENT = finding_code(
    "V137",
    _C,
    "The air pressure does not fit",
    "read the barometer of the day; do not use a pressure at sea level",
)

RAMP_FAST = finding_code("V201", _S, "The part was heated too fast", _ENGINEER)
RAMP_SLOW = finding_code("V202", _S, "The part was heated too slowly", _ENGINEER)
NOT_REACHED = finding_code("V203", _S, "The band was not reached", _ENGINEER)
DWELL_SHORT = finding_code("V204", _S, "The dwell was too short", _ENGINEER)
DWELL_LONG = finding_code("V205", _S, "The dwell was too long", _ENGINEER)
CEILING = finding_code("V206", _S, "The maximum temperature was passed", _ENGINEER)
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
    "V214", _N, "The vacuum dipped within what is allowed", "find the cause before the next bag"
)
LEAK = finding_code("V215", _S, "The leak test failed", "find and seal the leak before heat goes on")
SENSORS_FEW = finding_code("V216", _S, "Too few thermocouples were left", _ENGINEER)
SENSORS_LOST = finding_code("V217", _S, "More thermocouples were lost than may be", _ENGINEER)
SENSOR_NEEDED = finding_code("V218", _S, "A thermocouple that must work was lost", _ENGINEER)
INTERRUPTED = finding_code("V219", _C, "The cure was interrupted", _ENGINEER)
DEGREE = finding_code("V220", _S, "The degree of cure is too low", _ENGINEER)
GLASS = finding_code("V221", _S, "The glass transition is too low", _ENGINEER)
COOL_SLOW = finding_code("V222", _S, "The part was cooled too slowly", _ENGINEER)
UNKNOWN = finding_code("V223", _S, "This cannot be judged", "find the missing evidence, or have it decided")
NEAR = finding_code(
    "V224", _N, "The reading is closer to a limit than a thermocouple can tell", "have the engineer weigh it"
)
PROGRAM = finding_code(
    "V225", _C, "The set point is not the cure cycle's", "check the program of the controller"
)
IN_DOUBT = finding_code(
    "V226",
    _C,
    "A thermocouple is in doubt",
    "have it looked at; its readings stay in the judgement until an inspector or engineer decides",
)
UNCONFIRMED = finding_code(
    "V227",
    Severity.CONFIRM,
    "A default is used where the approved data gives none",
    "find it in the approved data, or have it confirmed",
)
CONFIRMED = finding_code(
    "V229", _N, "A default was confirmed by a named person", "check that the person may confirm it"
)
OTHER_JOB = finding_code("V228", _S, "The log is of another time or operation", "find the log of this cure")

HEATS = finding_code("V231", _S, "There is more than one heat in the log", _ENGINEER)
WINDOW = finding_code(
    "V230",
    _S,
    "The times of the job do not fit the log",
    "ask for the true times of vacuum-on and bag opening",
)

FAILURES = (
    RAMP_FAST, RAMP_SLOW, NOT_REACHED, DWELL_SHORT, DWELL_LONG, CEILING, ABOVE_BAND, SPREAD, LAG, COOL_FAST,
    RELEASED_HOT, VACUUM_LOW, LEAK, SENSORS_FEW, SENSORS_LOST, SENSOR_NEEDED, DEGREE, GLASS, COOL_SLOW,
)  # fmt: skip

TOP_SOON = finding_code(
    "V301", _S, "A temperature limit is ahead", "lower the set point now; take insulation off if it goes on"
)
TOP_NEARS = finding_code(
    "V313",
    _C,
    "The temperature comes nearer to its limit",
    "watch the hottest; see that the controller takes it back, and be ready to lower the set point",
)
RAMP_SOON = finding_code(
    "V302", _C, "The heating rate runs towards its limit", "lower the rate of the set point"
)
RAMP_SLOWS = finding_code(
    "V303", _C, "The part heats too slowly", "look at blanket, insulation and supply; raise the rate"
)
BAND_SOON = finding_code(
    "V304",
    _S,
    "The slowest thermocouple is about to leave the band",
    "raise the set point by what it lacks; look for lost insulation",
)
BAND_NEARS = finding_code(
    "V561",
    _C,
    "The slowest thermocouple comes nearer to the low end of the band",
    "watch the slowest; see that the controller takes it back, and be ready to raise the set point",
)
VACUUM_SOON = finding_code(
    "V305", _S, "The vacuum is falling", "look for the leak along the seal; do not stop the pump"
)
SENSOR_NOW = finding_code(
    "V306", _C, "A thermocouple is lost", "do not control by it; see whether enough are left"
)
SILENT = finding_code(
    "V307", _S, "No readings come in", "look at the logger, its lead and the network; the gap stays a gap"
)
COOL_SOON = finding_code(
    "V308",
    _C,
    "The cooling rate runs towards its limit",
    "lower the set point more slowly; keep the insulation on",
)
HOLD_VACUUM = finding_code(
    "V309", _N, "Vacuum is still needed", "do not release it before the hottest is below the limit"
)
TOP_NOW = finding_code(
    "V330",
    _S,
    "A temperature is above its limit",
    "lower the set point now, heat off if it does not fall; tell the engineer",
)
VACUUM_NOW = finding_code(
    "V331", _S, "The vacuum is below its least", "look for the leak along the seal; do not stop the pump"
)
BAND_NOW = finding_code(
    "V332",
    _S,
    "The slowest thermocouple is below the band",
    "raise the set point by what it lacks; look for lost insulation",
)
LEFT_EARLY = finding_code(
    "V456",
    _S,
    "The part left its band before the dwell was over",
    "keep the vacuum and the bag; tell the engineer before heat comes on again or the bag is opened",
)
TOP_WAS = finding_code(
    "V333", _C, "A temperature limit was passed", "hold the part; tell the engineer before it goes on"
)
UNJUDGED_OUT = finding_code(
    "V572",
    _C,
    "A channel that is not judged follows the heat and is out of the limits",
    "see now where it lies; on the part it is a thermocouple and the verdict will be made with it too: "
    "treat it as one, and confirm the reading again with that role",
)
BEHIND = finding_code(
    "V311",
    _C,
    "The part is colder than predicted",
    "look at blanket, leads, insulation and bag; read the thermocouple anew",
)
AHEAD_OF_IT = finding_code(
    "V312",
    _C,
    "The part is hotter than predicted",
    "look whether a thermocouple came loose; watch the hottest closely",
)
DONE = finding_code("V310", _N, "The dwell is reached", "go on to the next stage of the cure cycle")
