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
    "R104",
    "the log does not hold",
    "stop; keep a copy of the file; restore from a backup that passes its check",
)
UNKNOWN_KIND = ground(
    "R105", "this release does not know this kind of entry", "use the release that wrote it"
)
BUSY = ground("R106", "somebody else is writing", "try again")
CUT = ground(
    "R107",
    "the log does not reach the head printed on paper",
    "this file is older or was cut off: find the full one",
)
MALFORMED = ground("R108", "this entry cannot be used", "correct it and enter it again")
FUTURE = ground("R109", "this time is in the future", "enter when it really was, or check the clock")
LATE = ground("R110", "this is entered late without a reason", "say why it is entered late")

# people
NO_RIGHT = ground("R111", "this role may not do that", "ask a person whose role it is")
NOBODY = ground("R112", "there is no such person, or they were removed", "check the staff number")
WRONG_SECRET = ground("R113", "the secret is wrong", "try again; failures are recorded")
BACK_OFF = ground("R114", "too many wrong secrets", "wait until the time shown")
WEAK_SECRET = ground(
    "R115", "the secret is too weak", "use at least 12 characters, not the name or the staff number"
)
NO_AUTHORISATION = ground(
    "R116", "no authorisation for that is in force", "the keeper of accounts enters it with its paper"
)
CODE_USED = ground(
    "R117", "the enrolment code is wrong, used or too old", "ask the keeper of accounts for a new one"
)
OWN_RIGHTS = ground("R118", "nobody may give rights to themselves", "another keeper of accounts must do it")
LAST_KEEPER = ground("R119", "the last keeper of accounts cannot be removed", "add another keeper first")
TAKEN = ground("R120", "that number is already in use", "choose another; numbers are never used again")

# the job
NOT_READY = ground("R121", "nobody may work by this plan", "clear its findings first")
NO_SUCH = ground("R122", "there is no such job, step, lot or paper here", "check the number")
BLOCKED = ground("R123", "the step is blocked", "first do what it is waiting for")
LOCKED = ground("R124", "this is signed: it can be superseded, but never unlocked", "raise a deviation")
NOT_FILLED = ground("R125", "a blank is not filled in", "fill it in")
OUTSIDE = ground("R126", "outside its limit", "raise a deviation; an engineer must decide")
OWN_WORK = ground("R127", "nobody may accept their own work", "call a second person")
NOT_THEIRS = ground("R128", "this hold belongs to another role", "call the role the card names")
CHANGED = ground("R129", "this is not what was shown", "look at it again, then sign")
REPLAYED = ground("R130", "this signature was already used", "look at it again, then sign")
NO_VERDICT = ground("R131", "no verdict on the cure allows the bag to be opened", "judge the log first")
LOG_SERVED = ground("R132", "that cure log was already used for another cure", "find the log of this cure")
DEVIATION_OPEN = ground("R133", "a deviation is open", "an engineer must decide it")
NOT_AN_ANSWER = ground("R134", "this does not answer the blank", "see what the blank asks for")
NOT_INCLUDED = ground("R135", "nobody may decide on their own decision", "another engineer must decide")
CLOSED = ground("R136", "the job is closed", "open a new job that follows it")
FIELD_MISSING = ground("R137", "a field of the release entry is missing", "14 CFR 43.9(a) requires it")
OUT_OF_CALIBRATION = ground(
    "R138", "the instrument is out of calibration or not known", "use one that is in date"
)

# stores
EXPIRED = ground(
    "R141", "the lot is past its date", "quarantine it; only a documented re-test sets a new date"
)
OUT_TIME = ground("R142", "the lot is past its out-time", "scrap it; out-time is never reset")
OPENED = ground("R143", "the lot is past its life once opened", "scrap it")
TOO_LITTLE = ground("R144", "there is less than that", "count the stock; enter a correction")
BACKWARDS = ground(
    "R145",
    "this is before what is already entered for it",
    "enter things in the order in which they happened",
)
SAME_PERSON = ground("R146", "the second person is the same as the first", "a second person must decide it")
NO_PAPER = ground(
    "R147", "no paper is named, or it is not in the records", "keep the paper first, then name it"
)
NOT_SECOND = ground(
    "R148", "a re-test cannot give this date", "enter a later date, with its place in the approved data"
)

# since the second rules
NOT_LATE = ground(
    "R230", "this cannot be entered for an earlier time", "enter it now; the log says when it was"
)
TOO_MUCH = ground(
    "R231", "this is more than can be there", "count again; receive new stock with its own paper"
)
SAME_NAME = ground(
    "R232", "somebody already has that name", "write it so that the two can be told apart on paper"
)
OTHER_REPORT = ground(
    "R233", "the paper and the entry disagree", "judge the log, or plan the document, again"
)
NOT_DRAWN = ground("R234", "this lot was not drawn for this job", "issue it to the job from the stores")
NOT_THEIR_KEY = ground(
    "R235",
    "this is not sealed with the person's own key",
    "the person must sign; without a key they enrol again",
)

NOT_IN_PLAN = ground(
    "R237", "an earlier repair of this panel is not in the plan", "add it: panelmend records panel prints it"
)
NOT_GOVERNING = ground(
    "R236",
    "this copy of the records does not govern",
    "enter it where the records are kept, or have them handed over",
)

# since the third rules
RESERVED = ground(
    "R301", "this stock is kept for another job", "draw another lot, or have the other job's amount freed"
)
PAST_LIFE = ground("R302", "the batch is past its life", "throw it away; mix a new one")
OTHER_LABEL = ground(
    "R303", "this label is from another job, plan or piece", "put it aside; take the piece this card names"
)
NOT_HELD = ground(
    "R304",
    "the plan counts on more than the stores hold",
    "plan it from what is there: panelmend records stores",
)
NOT_ENTERED = ground(
    "R305",
    "labels or batches of this step are not entered",
    "enter them; if that is impossible, say why in the signature",
)
OTHER_CODE = ground(
    "R610",
    "this code is from another shop, or for another kind of thing",
    "scan the label of the lot or instrument itself, or type its number",
)

COUPON_WAITS = ground(
    "R611", "a witness coupon has no result", "enter its result, or an engineer has the work done again"
)
COUPON_OUTSIDE = ground(
    "R612", "a witness coupon has a result outside its limit", "raise a deviation that covers that result"
)

TWO_NAMES = ground(
    "R613", "the file of the records has a second name", "remove the other hard link; make copies with backup"
)

# packages
PACKAGE = ground("R149", "the package does not hold", "do not rely on it; ask for a new one")
