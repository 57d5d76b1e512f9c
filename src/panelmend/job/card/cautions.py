"""The cautions, each put at the step where its hazard is. They are common practice, no source."""

from __future__ import annotations

from panelmend.job.card.part import Caution

DUST = Caution(
    "dust",
    "Dust of cured laminate and core harms lungs and eyes: respirator, goggles, gloves and extraction at the tool. "
    "Vacuum it up, never blow it off.",
)
CARBON = Caution(
    "electricity",
    "Carbon dust conducts: keep it out of electrical equipment and connectors, and cover those nearby.",
)
BLADE = Caution(
    "blade", "Cutters and blades: cut away from hands, set the depth stop first, wear cut-resistant gloves."
)
SOLVENT = Caution(
    "solvent",
    "Solvent vapour burns and harms: ventilation, gloves, goggles, no flame, spark or heat near it. "
    "Used wipes go into a closed metal bin.",
)
RESIN = Caution(
    "resin",
    "Uncured resin and hardener burn and sensitise skin: gloves, sleeves and goggles. "
    "A large pot heats itself and can smoke: keep to the pot sizes given here.",
)
HEAT = Caution(
    "heat",
    "Hot blanket, panel and tools: heat-proof gloves. Never leave a heated bag alone, and never fold a blanket.",
)
MAINS = Caution(
    "electricity",
    "Check the blanket, its lead and earth before switching on; dry hands, no solvent vapour, a breaker within reach.",
)
TWO_BLANKETS = Caution(
    "electricity",
    "Two blankets: a circuit, a controller and thermocouples for each, leads and plugs marked alike. Swapped, one "
    "heats without end while its controller watches the other face.",
)
STEAM = Caution(
    "pressure",
    "Water in the core turns to steam and can burst the skin: do not heat above the drying temperature until dry.",
)
VACUUM = Caution(
    "vacuum",
    "A bag presses with several tonnes on a square metre: support the panel, and keep it off unsupported skins.",
)
AUTHORITY = Caution(
    "general",
    "This card is no approved data. The panel's own manual, the authority's rules and licensed people decide.",
)
