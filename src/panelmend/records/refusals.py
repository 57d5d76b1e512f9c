"""What the records refuse, each with a permanent code."""

from __future__ import annotations

from dataclasses import dataclass, field

from panelmend.errors import PanelmendError


@dataclass(frozen=True)
class RefusalGround:
    """Why an entry is not taken: permanent code, title, what to do."""

    code: str
    title: str
    todo: str

    def __call__(self, words: str = "") -> Refused:
        """A refusal on this ground; ``words`` say what it met."""
        return Refused(self, words)


class Refused(PanelmendError):
    """The records do not take an entry; nothing was written."""

    def __init__(self, ground: RefusalGround, words: str = "") -> None:
        self.ground, self.words = ground, words
        said = f"{ground.title}: {words}" if words else ground.title
        super().__init__(f"{ground.code} {said}; {ground.todo}")

    @property
    def code(self) -> str:
        """The ground's permanent code."""
        return self.ground.code


@dataclass
class _Book:
    grounds: dict[str, RefusalGround] = field(default_factory=dict)


_BOOK = _Book()


def ground(code: str, title: str, todo: str) -> RefusalGround:
    """Register a ground once."""
    made = RefusalGround(code, title, todo)
    if _BOOK.grounds.setdefault(code, made) != made:
        raise RuntimeError(f"code {code} is taken by {_BOOK.grounds[code].title!r}")
    return made


def all_grounds() -> tuple[RefusalGround, ...]:
    """Every ground in order of its code."""
    return tuple(_BOOK.grounds[k] for k in sorted(_BOOK.grounds))


# the log
READ_ONLY = ground(
    "R101", "the records are read-only", "see the reason; look at the disk before anything else"
)
NOT_LOCAL = ground("R102", "the records must lie on a disk of this machine", "move the file to a local disk")
SETTINGS = ground(
    "R103", "the database does not keep a setting it was given", "do not use it; ask who keeps it"
)
BROKEN = ground(
    "R104", "the log does not hold", "stop; keep a copy of the file; restore from a backup that holds"
)
UNKNOWN_KIND = ground(
    "R105", "an entry of a kind this release does not know", "use the release that wrote it"
)
BUSY = ground("R106", "somebody else is writing", "try again")
CUT = ground(
    "R107", "the log does not reach the head printed on paper", "the file is older or was cut: find the other"
)
MALFORMED = ground("R108", "an entry that cannot be used", "correct it and enter it again")
FUTURE = ground("R109", "a time that has not come yet", "enter when it really was, or look at the clock")
LATE = ground("R110", "entered late without a reason", "say why it is entered late")

# people
NO_RIGHT = ground("R111", "this role may not do that", "ask a person whose role it is")
NOBODY = ground("R112", "no such person, or one who was removed", "check the staff number")
WRONG_SECRET = ground("R113", "the secret is wrong", "try again; failures are recorded")
BACK_OFF = ground("R114", "too many wrong secrets", "wait until the time told")
WEAK_SECRET = ground(
    "R115", "the secret is too weak", "12 characters at least, not the name or the staff number"
)
NO_AUTHORISATION = ground(
    "R116", "no authorisation in force for that", "the keeper of accounts enters it with its paper"
)
CODE_USED = ground(
    "R117", "the enrolment code is wrong, used or too old", "ask the keeper of accounts for a new one"
)
OWN_RIGHTS = ground("R118", "nobody gives rights to themselves", "another keeper of accounts does it")
LAST_KEEPER = ground("R119", "the last keeper of accounts stays", "add another keeper first")
TAKEN = ground("R120", "that number is in use already", "choose another; numbers are never used again")

# the job
NOT_READY = ground("R121", "a plan that may not be worked from", "clear its findings first")
NO_SUCH = ground("R122", "no such job, step, lot or paper here", "check the number")
BLOCKED = ground("R123", "the step is blocked", "do first what it waits for")
LOCKED = ground("R124", "signed; it is superseded, never unlocked", "raise a deviation")
NOT_FILLED = ground("R125", "a blank is not filled in", "fill it in")
OUTSIDE = ground("R126", "outside its limit", "raise a deviation; an engineer decides")
OWN_WORK = ground("R127", "nobody accepts their own work", "a second person comes")
NOT_THEIRS = ground("R128", "this hold is another role's", "call the role the card names")
CHANGED = ground("R129", "not what was shown", "look at it again, then sign")
REPLAYED = ground("R130", "this signature was used already", "look at it again, then sign")
NO_VERDICT = ground("R131", "no verdict on the cure that lets the bag be opened", "judge the log first")
LOG_SERVED = ground("R132", "that cure log served another cure", "find the log of this cure")
DEVIATION_OPEN = ground("R133", "a deviation is open", "an engineer decides it")
NOT_AN_ANSWER = ground("R134", "not an answer to that", "see what the blank asks for")
NOT_INCLUDED = ground("R135", "a person's own decision cannot be decided by them", "another engineer decides")
CLOSED = ground("R136", "the job is closed", "open a new job that follows it")
FIELD_MISSING = ground("R137", "a field of the release entry is missing", "14 CFR 43.9(a) asks for it")
OUT_OF_CALIBRATION = ground(
    "R138", "the instrument is out of calibration or not known", "take one that is in date"
)

# stores
EXPIRED = ground(
    "R141", "the lot is past its date", "quarantine it; only a documented re-test sets a new date"
)
OUT_TIME = ground("R142", "the lot is past its out-time", "scrap it; out-time is never reset")
OPENED = ground("R143", "the lot is past its life once opened", "scrap it")
TOO_LITTLE = ground("R144", "less there than that", "count the stock; a correction is an entry")
BACKWARDS = ground(
    "R145", "before what is already entered for it", "enter things in the order in which they were"
)
SAME_PERSON = ground("R146", "the second person is the first", "a second person decides it")
NO_PAPER = ground("R147", "no paper named, or not in the records", "keep the paper first, then name it")
NOT_SECOND = ground(
    "R148", "not a date that a re-test can give", "a later date, with its place in the approved data"
)

# since the second rules
NOT_LATE = ground(
    "R230", "this is never entered for an earlier time", "enter it now; the log says when it was"
)
TOO_MUCH = ground(
    "R231", "more than can be there", "count again; what came in anew is received, by its own paper"
)
SAME_NAME = ground(
    "R232", "somebody has that name already", "write it so that the two can be told apart on paper"
)
OTHER_REPORT = ground(
    "R233", "the paper says something else than the entry", "judge the log, or plan the document, again"
)
NOT_DRAWN = ground("R234", "a lot that was not drawn for this job", "issue it to the job from the stores")
NOT_THEIR_KEY = ground(
    "R235", "not sealed with the person's own key", "the person signs; without a key they enrol anew"
)

NOT_IN_PLAN = ground(
    "R237", "an earlier repair of this panel is not in the plan", "add it: panelmend records panel prints it"
)
NOT_GOVERNING = ground(
    "R236",
    "this copy of the records does not govern",
    "enter it where they are kept; else have it handed over",
)

# since the third rules
RESERVED = ground("R301", "kept for another job", "draw another lot, or have the other job's amount freed")
PAST_LIFE = ground("R302", "the batch is past its life", "throw it away; mix another")
OTHER_LABEL = ground(
    "R303", "a label of another job, plan or piece", "put it aside; take the piece this card names"
)
NOT_HELD = ground(
    "R304",
    "the plan counts on more than the stores hold",
    "plan it from what is there: panelmend records stores",
)
NOT_ENTERED = ground(
    "R305",
    "labels or batches of this step are not entered",
    "enter them; where that cannot be, say why in the signature",
)
OTHER_CODE = ground(
    "R610",
    "a code of another shop, or of another kind of thing",
    "scan the label of the lot or instrument itself, or type its number",
)

COUPON_WAITS = ground(
    "R611", "a witness coupon has no result", "enter what it showed; else an engineer has the work done again"
)
COUPON_OUTSIDE = ground(
    "R612", "a witness coupon showed what is outside its limit", "raise a deviation that covers that result"
)

TWO_NAMES = ground(
    "R613",
    "the file of the records has a second name",
    "remove the other hard link; a copy is made by backup",
)

# packages
PACKAGE = ground("R149", "the package does not hold", "do not rely on it; ask for a new one")
