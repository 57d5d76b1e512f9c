"""What each hold means when it is signed. A hold is signed by a person who did not do the step (14 CFR 121.371(c),
125.251(b), 135.429(c))."""

from __future__ import annotations

from panelmend.job.card.part import Hold

SET = Hold(
    "H7",
    "inspector",
    "plug and cap lie as planned: ribbon, level, adhesive squeezed out all round, nothing left between",
)
"""H7 where a plug and a cap are set in one operation that lays no ply."""
PLUG_SET = Hold(
    "H7",
    "inspector",
    "the plug lies as planned: ribbon, level, adhesive squeezed out all round, nothing left between",
)
"""H7 where a plug alone is set."""
CAP_SET = Hold(
    "H7",
    "inspector",
    "the cap lies as planned: turned right, home on the plug, adhesive squeezed out all round, nothing left between",
)
"""H7 where a cap cured beforehand is bonded by itself."""
HOLDS = {
    h.code: h
    for h in (
        Hold(
            "H0",
            "planner",
            "this revision covers this part and serial number; the damage is within the data's limits on both skins, or an "
            "engineer's paper is attached",
        ),
        Hold(
            "H1",
            "inspector",
            "all damage is out, the far skin is sound (or open as planned), the cleaned size is within the limits",
        ),
        Hold("H2", "inspector", "taper length and every step are as drawn; no fibre is broken beyond them"),
        Hold("H3", "inspector", "no water was found by the method named; the dry-until time is written"),
        Hold("H4", "inspector", "it fits: ribbon, gap and level are within their limits"),
        Hold(
            "H5",
            "inspector",
            "the coldest and hottest places are known, thermocouples stand at them, the bag is tight when dry",
        ),
        Hold("H6", "inspector", "the surface is clean and dry; the time its acceptance ends is written"),
        Hold("H7", "inspector", "pieces, order and warp were read on the cloth; films out equal films in"),
        Hold("H8", "inspector", "vacuum and leak are within their limits, before the vacuum-on-by time"),
        Hold(
            "H9",
            "inspector",
            "the log is within the data; the bag may be opened. That does not mean that the bond is good",
        ),
        Hold(
            "H10",
            "inspector",
            "the bonds of this operation were inspected, voids mapped, all within the data's limits",
        ),
        Hold("H11", "inspector", "the whole repair is sound before finish covers it"),
        Hold("H12", "inspector", "weight and balance are within their limits"),
        Hold("H13", "inspector", "the card is complete; every deviation has its approval"),
        Hold(
            "H14",
            "certificate holder",
            "under their own certificate they return the work performed to service, that work only",
        ),
        Hold(
            "H15",
            "inspector",
            "what was cut away besides skin and core is back in place as the reference requires",
        ),
    )
}
SIGNED = (
    ("did", "I did this step to this card; the readings are mine."),
    ("checked", "I looked as the card says, and wrote down what I saw."),
    ("accepted", "What is there meets the limit printed here; work may go on."),
    ("rejected", "It does not. Nothing after this is done until a new step is written and approved."),
)
