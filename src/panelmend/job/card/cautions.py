"""The cautions, each put at the step where its hazard is.

Common practice where no source is named. Protective clothing by US Army TM 1-1500-204-23-11 table 2-1 (s.032); dust of
chromate and lead by NAVAIR 01-1A-509-2 4-5.1; skin effects of amines and epoxy by the OSHA Technical Manual III:1.
"""

from __future__ import annotations

from panelmend.job.card.part import Caution

AUTHORITY = Caution(
    "general",
    "This card is not approved data. The panel's own manual, the authority's rules and licensed people decide.",
)
WEAR = Caution(
    "general",
    "Wear at every step with its sign: goggles, gloves and coverall; for dust a respirator for 0.3 micron as well; "
    "for resin face shield, apron and sleeves. Eyewash and extinguisher within reach before the first step.",
)
FUEL = Caution(
    "fire",
    "Fuel vapour: power off, part and metal tools grounded, vapour measured. No work, no tool and no heat at or "
    "above the limit; measure again before drying and before every cure.",
    short="vapour measured again; no work, tool or heat at or above the limit.",
)
STATIC = Caution(
    "static",
    "Film and cloth pulled off a roll charge up: ground the part and yourself before vapour or solvent.",
    short="ground the part and yourself.",
)
DUST = Caution(
    "dust",
    "Dust of cured laminate and core harms lungs and eyes: respirator, goggles, gloves, extraction at the tool. "
    "Vacuum it up; never blow it.",
    short="respirator, goggles, gloves, extraction; vacuum it up, never blow.",
)
CARBON = Caution(
    "electricity",
    "Carbon dust conducts electricity: cover wiring and connectors, keep it out of electrical tools.",
    short="carbon dust: wiring, connectors and electrical tools covered.",
)
PAINT_DUST = Caution(
    "paint",
    "Dust of old paint and primer may contain chromate or lead: respirator, goggles, gloves, coverall, extraction. "
    "No chemical stripper on a composite.",
)
BLADE = Caution(
    "blade",
    "Cut away from hands; set the depth stop first; cut-resistant gloves.",
    short="away from hands; depth stop set; cut-resistant gloves.",
)
EDGES = Caution(
    "blade",
    "Cut skins have sharp edges and splinters: gloves, goggles.",
    short="sharp edges, splinters: gloves, goggles.",
)
SOLVENT = Caution(
    "solvent",
    "Solvent burns and harms: ventilation, gloves, goggles; no flame, spark or heat. Wipes into a closed metal bin, "
    "never left on the panel.",
    short="ventilation, gloves, goggles; no flame, spark or heat; wipes into the closed metal bin.",
)
ACID = Caution(
    "solvent", "Treatments of metal burn skin and eyes: face shield, gloves, apron; rinse is hazardous waste."
)
FILLER = Caution(
    "dust",
    "Filler is a fine powder that floats and harms lungs and eyes: respirator and goggles until it is stirred in; pour it "
    "slowly, out of any draught. Vacuum up what is spilt; never blow it.",
    short="filler: respirator, goggles until it is stirred in; vacuum up, never blow.",
)
RESIN = Caution(
    "resin",
    "Resin, hardener and adhesive burn and sensitise skin: face shield, gloves, apron and sleeves.",
    short="face shield, gloves, apron, sleeves.",
)
FILM = Caution(
    "film",
    "A film or backing left in the lay-up ruins the bond and cannot be seen later: count them as they come off; "
    "films out equal films in.",
    short="films and backings off and counted: out equals in.",
)
HEAT = Caution(
    "heat",
    "Hot blanket, panel and tools: heat-proof gloves. Never leave the heat unattended, never fold a blanket.",
    short="heat-proof gloves; never unattended, never folded.",
)
HOT_OVEN = Caution(
    "heat",
    "Hot oven, panel and tools: heat-proof gloves. Never leave the heat unattended.",
    short="heat-proof gloves; never unattended.",
)
MAINS = Caution(
    "electricity",
    "Check blanket, lead and earth before switching on: dry hands, no vapour, breaker within reach.",
    short="blanket, lead, earth checked; dry hands, no vapour, breaker in reach.",
)
TWO_BLANKETS = Caution(
    "electricity",
    "Two blankets: a circuit, a controller and thermocouples for each; mark each lead and its plug alike. If they are "
    "swapped, one blanket keeps heating while its controller reads the other side.",
)
STEAM = Caution(
    "pressure",
    "Water in the core turns to steam and can burst the skin: no heat above the drying temperature until it is proved dry.",
)
OVEN = Caution(
    "fire",
    "An oven ignites vapour: no solvent, no wet cloth, no closed container in it. Heat-proof gloves; nobody goes into a "
    "hot oven or stands in front of its door as it opens.",
    short="no solvent, wipe or closed container in the oven; heat-proof gloves; clear of its door.",
)
WHOLE_CORE = Caution(
    "pressure",
    "An oven heats the whole panel: water anywhere in its core turns to steam and can burst a skin far from the repair. "
    "Use it only for a panel whose whole core was checked for water.",
    short="only a panel whose whole core was checked for water.",
)
VACUUM = Caution(
    "vacuum",
    "A bag presses hard: support the panel, keep it off unsupported skins and bare cells.",
    short="panel supported; bag off unsupported skins and bare cells.",
)
PLATE = Caution(
    "vacuum", "A bag presses hard: lay the plate flat and hold it; keep hands clear as the bag draws down."
)
BURST = Caution("vacuum", "A bag crushes bare core: support its edges before vacuum goes on.")
PAINT = Caution(
    "paint",
    "Paint with isocyanate: supplied air, gloves, coverall, nobody else in the booth; no flame and no heat until cured.",
)
SEALANT = Caution("solvent", "Sealant and primer: gloves, ventilation, no ignition.")
WEIGHTS = Caution(
    "lifting",
    "Weights and clamps fall, slide and pinch; from the oven they stay hot long after the panel: heat-proof gloves, two "
    "people, feet clear. Spread them: an edge or a point crushes core.",
    short="weights, clamps: fall, pinch, stay hot; spread them.",
)
LIFTING = Caution("lifting", "Heavy or large part: two people, a clear way, padded trestles.")


def exotherm(batch: str) -> Caution:
    """The caution of a batch that heats itself, with the largest batch printed in it."""
    return Caution(
        "exotherm",
        f"A batch in a deep cup heats itself and can smoke or burn: never more than {batch} in one cup. "
        "Spread left-over resin out shallow, outdoors, until it is cold.",
        short=f"never more than {batch} in one cup; left-over resin spread shallow, outdoors, until it is cold.",
    )
