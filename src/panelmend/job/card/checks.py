"""Findings of the card."""

from __future__ import annotations

from panelmend.derive import Ledger
from panelmend.derive.ledger import words_for, words_of
from panelmend.errors import Finding, caution_code, note_code, stop_code
from panelmend.job.bag.part import BagOperation
from panelmend.job.card.apart import beneath, beside_metal, on_core
from panelmend.job.card.heating import not_held
from panelmend.job.card.laid import laid_in
from panelmend.job.card.lasting import check_lasting
from panelmend.job.card.part import CardPart
from panelmend.job.card.pressed_checks import check_pressed
from panelmend.job.card.put_back_checks import check_put_back
from panelmend.job.card.taken import hinge_beside, hinge_crossed, lying_in_cutout, put_back_in_vain
from panelmend.job.card.warm_air import check_warm_air
from panelmend.job.case import Case
from panelmend.job.kit.part import CAP
from panelmend.job.openings import cap_alone
from panelmend.job.work import Work
from panelmend.units import show

J010 = stop_code(
    "J010",
    "No cure operation includes this piece",
    "add it to the lays of a [[data.cure]] operation, as the approved data says",
)
J011 = caution_code(
    "J011", "Nobody is named yet for a role that must sign the card", "name the person under [people]"
)
J013 = caution_code(
    "J013", "An instrument is out of calibration on the day of the work", "use one that is in calibration"
)
J015 = stop_code(
    "J015",
    "The card says not to switch a blanket on",
    "settle it before anyone starts work: cure-plan.pdf says what would change it",
)
J020 = stop_code(
    "J020",
    "The mix cannot be laid up, bagged and accepted within its pot life",
    "split the operation or the batch, use a longer pot life that the data allows, or more hands; rehearse "
    "again",
)
J021 = note_code(
    "J021",
    "Whether the work fits the pot life is not checked",
    "rehearse with dry material and type the minutes under [bay.pace]",
)

J330 = caution_code(
    "J330",
    "A cap that extends past the opening is cured together with the plies over it: nobody can cut its rim "
    "back",
    "give the cap a cure of its own before the plies, make its margin zero, or have the engineer say that "
    "its rim stays",
)
J360 = caution_code(
    "J360",
    "Carbon lies on aluminium core, and nothing typed says what keeps them apart",
    "look up what goes between them (a glass ply, for example), type it as data.finishing.isolate and check "
    "that the plies have it",
)
J440 = caution_code(
    "J440",
    "Carbon lies on, over or near aluminium, or plain or plated steel, and nothing typed says what keeps "
    "them apart",
    "look up what goes between them (sealant or a glass ply, for example) and type it as "
    "data.finishing.isolate",
)
J441 = caution_code(
    "J441",
    "Carbon lies over or near an edge band or a solid area, and its metal is not typed",
    "look at the panel's drawing and type it: panel.edge_metal, or metal of the solid area (none if there "
    "is none)",
)
J450 = caution_code(
    "J450",
    "Carbon lies near a fastener or an insert, or on a skin, and its metal is not typed",
    "look at the panel's drawing and type the metal of the fastener, the insert or the skin (none if there "
    "is none)",
)
J485 = stop_code(
    "J485",
    "A cap cured beforehand goes into an operation that has no step to spread its adhesive or set it",
    'bond it with the plug, both in the lays of one operation, or by itself (lays = ["cap"]) in one after '
    "the plug's and before the plies', with a two-part paste as data.core.adhesive; for any other way ask "
    "the engineer for the steps",
)
J494 = note_code(
    "J494",
    "Only a skin that stays keeps the carbon off aluminium or steel",
    "make sure that nobody sands or drills through that skin; if it is not whole, ask the engineer",
)
J590 = stop_code(
    "J590",
    "The cut removes more than skin and core, and no step of this card puts it back",
    "leave it in the document; type how the data puts it back, once, as [[data.put_back]] with its place "
    "and who does it; if the data says nothing, ask the engineer; or keep the cut clear of it",
)
J591 = stop_code(
    "J591",
    "The document says how to put back something that this cut does not remove",
    "check kind and id against the panel's own list and the damage's outline; remove what is not cut away. "
    "A sound insert or fastener in the way of the plies comes out only where the data orders a cut-out that "
    "includes it: type that as choice.cutout",
)
J592 = caution_code(
    "J592",
    "The data has a reference for putting back what the cut removes: this plan checks none of it",
    "have the engineer say that the reference applies to a repair of this size: the plan does not count it "
    "in the room for plies round it, in strength or in heat",
)
J593 = stop_code(
    "J593",
    "The hinge line runs through the cut-out",
    "check the line on the panel's drawing; if it does run there, the cut goes through hinges and what "
    "carries them: ask the engineer, and type them as fasteners, inserts or solid areas, and how each is "
    "put back",
)
J594 = stop_code(
    "J594",
    "The cut would leave less core than can be left",
    "measure the depth of the damage again; if the core is damaged down to the far skin, leave out "
    "damage.core_depth, and all of it comes out",
)
J640 = caution_code(
    "J640",
    "Plies lie over the hinge line, or over its run past the two points that were typed",
    "check on the panel's drawing what sits along the whole line (hinges, fittings, a rod): type each as a "
    "fastener, insert, solid area or structure, so that plies keep clear of it; check that the part still "
    "turns",
)
J595 = stop_code(
    "J595",
    "No batch on this card mixes the adhesive for plug or potting, so no step spreads or lays it",
    "for a two-part paste type its parts by weight (resin_parts, hardener_parts); for a film or a one-part "
    "paste ask the engineer for the steps: this card has none",
)
LEAST_CORE_LEFT = 1e-3
"""[m] of core below a cut that goes into it in part: less tears out with the knife (common practice, no source)."""
METAL = {"structure": J440, "spot": J450, "skin": J450, "area": J441}
"""What is told by what kind of thing carbon lies by, where its metal is not typed."""


def check(case: Case, ledger: Ledger, card: CardPart, work: Work | None) -> tuple[Finding, ...]:
    """The findings of the card: what it still lacks."""
    found: list[Finding] = []
    for role in ("technician", "inspector"):
        if not getattr(case.document.people, role):
            found.append(J011(f"no {role} is named", place=f"people.{role}"))
    for i, instrument in enumerate(case.document.bay.instrument):
        if instrument.calibrated_until < case.document.repair.work_date:
            found.append(
                J013(
                    f"{instrument.kind} {instrument.id} was calibrated until {instrument.calibrated_until}, "
                    f"the work is on {case.document.repair.work_date}",
                    place=f"bay.instrument[{i + 1}]",
                )
            )
    if work is None:
        return tuple(found)
    found += _heat(work) + _pot_lives(case, card)
    found += check_warm_air(case, card, {m.id: m.material for m in work.kit.mixes})
    found += check_pressed(case, work)
    found += check_lasting(case, work)
    if case.document.data.finishing.isolate is None:
        found += [
            J360(f"{p.id} ({p.role}, {p.side}) is carbon", place="data.finishing.isolate")
            for p in on_core(case, work)
        ]
        for b in beside_metal(case, work):
            told = J440 if b.metal is not None else METAL[b.kind]
            place = "data.finishing.isolate" if b.metal is not None else b.path
            found.append(told(b.words(case.view), place=place))
    found += [J494(b.words(), place=f"plies.{b.ply.id}.outline") for b in beneath(case, work)]
    for t in lying_in_cutout(case, work):
        if t.back is None:
            found.append(J590(f"the cut-out lies over {t.words}", place=t.path))
        else:
            found.append(J592(f"{t.words}, {t.back.when}: {t.back.how} ({t.back.place})", place=t.path))
    found += check_put_back(case, work)
    found += [J591(what, place=path) for what, path in put_back_in_vain(case, work)]
    found += _cut(case, work)
    found += _unspread(case, work)
    laid = {p.id for bag in work.bag.operations for p in laid_in(work, bag)}
    for ply in (*work.plies.plies, *work.core.cap):
        if ply.id not in laid:
            found.append(
                J010(f"{ply.id} ({ply.role}, {ply.side}) is laid in no operation", place="data.cure")
            )
    for bag in work.bag.operations:
        if bag.bonds_cap and "core" not in bag.lays and not _cap_mixed(work, bag):
            found.append(J485(f"{bag.name}: {', '.join(p.id for p in work.core.cap)}", place="data.cure"))
        covered = {"plies", "fill"} & set(bag.lays) and "cap" in bag.lays and not bag.bonds_cap
        past = [p for p in work.core.cap if float(p.margin) > 0.0]
        if covered and past and not bag.cure.on_plate:
            far = words_of(past[0].margin, case.view)
            found.append(J330(f"{bag.name}: {past[0].id} reaches {far} past the opening", place="data.cure"))
    done = {part for bag in work.bag.operations for part in bag.lays}
    if work.core.action == "replace" and "core" not in done:
        found.append(J010("the core plug is bonded in no operation", place="data.cure"))
    if work.core.action == "pot" and not done & {"core", "potting"}:
        found.append(J010("the potting is cured in no operation", place="data.cure"))
    return tuple(found)


def _unspread(case: Case, work: Work) -> list[Finding]:
    """A plug or potting whose adhesive no step spreads: no batch of it is mixed, or it is a film under the plug."""
    core = work.core
    bag = next((b for b in work.bag.operations if {"core", "potting"} & set(b.lays)), None)
    if bag is None or core.action == "none":
        return []
    mixed = {m.material for m in work.kit.mixes if m.operation == bag.name}
    named = ((core.adhesive, "data.core.adhesive"), (core.floor_adhesive, "data.core.floor_adhesive"))
    found = {name: path for name, path in reversed(named) if name and name not in mixed}
    return [J595(f"{bag.name}: {case.catalogue.adhesive(n).name}", place=path) for n, path in found.items()]


def _cap_mixed(work: Work, bag: BagOperation) -> bool:
    """Whether adhesive is mixed for a cap that is bonded by itself."""
    alone = cap_alone(bag, work.bag.operations, work.core)
    return alone and any(m.operation == bag.name and m.purpose == CAP for m in work.kit.mixes)


def _cut(case: Case, work: Work) -> list[Finding]:
    """A hinge line in the cut-out, and a cut that leaves next to no core below it."""
    found, cut, view = [], work.cutout, case.view
    line = case.geometry.hinge
    if line is not None and hinge_crossed(case, work, line):
        found.append(J593(f"{cut.opening.form}, {cut.side}", place="panel.hinge"))
    elif line is not None:
        for side, past in hinge_beside(case, work, line):
            words = f"the largest ply, {side}, lies over " + ("its run past the points" if past else "it")
            found.append(J640(words, place="panel.hinge"))
    left = case.geometry.core_thickness - float(cut.core_depth)
    if work.core.action != "none" and cut.far is None and 1e-9 < left < LEAST_CORE_LEFT - 1e-9:
        words = f"{show(left, 'thickness', view)} of {show(case.geometry.core_thickness, 'thickness', view)} stays, "
        words += f"at least {show(LEAST_CORE_LEFT, 'thickness', view)} is usual (common practice, no source)"
        found.append(J594(words, place="damage.core_depth"))
    return found


def _heat(work: Work) -> list[Finding]:
    """Cures whose step says not to switch on: the prediction breaks a limit, or no circuit carries the blanket."""
    found = []
    for heated in work.cure.operations:
        place = f"cure.{heated.number}"
        broken = not_held(heated)
        if broken:
            found.append(J015(f"{heated.name}: not held in the prediction: {'; '.join(broken)}", place=place))
        found += [
            J015(f"{heated.name}: no free circuit carries blanket {b.blanket} for hours", place=place)
            for b in heated.blankets
            if b.checked and not b.holds
        ]
    return found


def _pot_lives(case: Case, card: CardPart) -> list[Finding]:
    found = []
    for clock in card.clocks:
        if clock.needed is None:
            found.append(J021(clock.batch, place=f"kit.{clock.batch}"))
        elif not clock.fits:
            needs = words_for(clock.needed.value, "time", case.view, "least")
            life = words_of(clock.life, case.view)
            found.append(
                J020(
                    f"{clock.batch}: the bench needs {needs}, the pot life is {life}",
                    place=f"kit.{clock.batch}",
                )
            )
    return found
