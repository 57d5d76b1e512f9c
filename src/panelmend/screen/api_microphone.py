"""The microphone of a device at the survey: pieces of sound in, what each tap would be told as out."""

from __future__ import annotations

from typing import Annotated, Literal

from fastapi import APIRouter, Body, Query, Request
from pydantic import BaseModel, Field

from panelmend.screen.answers import DOCUMENTED
from panelmend.screen.api import Name
from panelmend.screen.guard import TOKEN, UPLOAD
from panelmend.screen.hearing import LEAST_RATE, MOST_RATE

router = APIRouter(prefix="/api", responses=DOCUMENTED)
Rate = Annotated[int, Query(ge=LEAST_RATE, le=MOST_RATE, description="samples in a second")]
Part = Annotated[int, Query(ge=0, le=1_000_000, description="number of the piece; 0 begins anew")]
Samples = Annotated[bytes, Body(media_type=UPLOAD, min_length=2)]


class HeardItem(BaseModel):
    """A tap that was heard."""

    frequency: float = Field(description="dominant frequency [Hz]")
    told: Literal["dull", "sound", ""] = Field(description="what it would be; empty where it is not told")


class HeardAnswer(BaseModel):
    """What a piece of sound came to; nothing of it is taken down."""

    heard: list[HeardItem]
    reference_taps: int = Field(description="taps on the sound place that can be told")
    reference: float | None = Field(description="their frequency [Hz]; null while it is not known")
    doubt: str = Field(description="why the sound place is not known or not believed")


@router.post("/repairs/{name}/microphone", operation_id="hear")
def hear(
    request: Request, name: Name, part: Part, rate: Rate, on: Literal["sound-place", "panel"], data: Samples
) -> HeardAnswer:
    """Listen to a piece of sound: samples of 16 bit, little-endian, one channel, at most a second."""
    request.app.state.workshop.open(name)
    told = request.app.state.hearing.take(
        request.scope[TOKEN], name, part, rate, data, on_sound=on == "sound-place"
    )
    words: dict[bool | None, Literal["dull", "sound", ""]] = {True: "dull", False: "sound", None: ""}
    return HeardAnswer(
        heard=[HeardItem(frequency=round(h.frequency, 1), told=words[h.dull]) for h in told.heard],
        reference_taps=told.count,
        reference=told.reference,
        doubt=told.doubt,
    )
