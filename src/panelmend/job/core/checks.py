"""Findings of the core stage."""

from __future__ import annotations

import math

from panelmend.derive import Ledger
from panelmend.errors import Finding, caution_code, note_code, stop_code
from panelmend.job.case import Case
from panelmend.job.core.part import CorePart
from panelmend.job.curved import percent
from panelmend.job.cutout.part import CutoutPart
from panelmend.job.plies.part import PliesPart
from panelmend.units import show

K102 = caution_code(
    "K102",
    "The core that the data accepts differs from the panel's core",
    "check that place in the data again before anyone cuts the core",
)
K103 = stop_code(
    "K103",
    "The data as typed neither replaces the core nor permits potting",
    "type the potting limit with its place, or ask the engineer",
)
K104 = stop_code(
    "K104",
    "No adhesive is named for the core, so no step mixes or spreads any",
    "type data.core.adhesive and floor_adhesive with their places",
)
K105 = note_code(
    "K105",
    "The plug sits on core that stays in the panel",
    "cut to the depth given, and do not touch the core below it",
)
K106 = caution_code(
    "K106",
    "No core sheet in the stores is as thick as the plug",
    "get a sheet of at least this thickness; this plan does not cover splicing core through its thickness",
)
K107 = caution_code(
    "K107",
    "A flat core plug does not seat on its curved floor",
    "form or carve the plug to the curve and try it dry before anyone mixes adhesive",
)
K108 = stop_code(
    "K108",
    "The double curve strains or shears the plug or the cap more than permitted",
    "have it formed on the panel or its mould, or ask the engineer",
)


K130 = caution_code(
    "K130",
    "Nothing fills the cut-out: the repair plies bridge it",
    "look up in the approved data what fills it: a ply over a hole sags under the bag, and resin runs into "
    "open cells",
)


def check(
    case: Case, ledger: Ledger, part: CorePart, cutout: CutoutPart, plies: PliesPart
) -> tuple[Finding, ...]:
    """The findings of the core: material, potting, adhesive, sheets in the stores."""
    if part.action == "none":
        return _unfilled(case, cutout, plies)
    data, found = case.document.data.core, list[Finding]()
    if part.action == "pot" and ("core.may_pot" not in ledger):
        found.append(K103("the data asks for no new core, and gives no potting limit", place="data.core"))
    if not part.adhesive:
        missing = {"pot": "potting compound", "replace": "splice and floor"}[part.action]
        found.append(K104(missing, place="data.core"))
    if part.plug is not None:
        if data.material is not None:
            found += _material(case, part.plug.material, data.material.place)
        found += _sheets(case, part.plug.material, float(part.plug.thickness))
        if float(cutout.core_depth) < case.geometry.core_thickness - 1e-9:
            view = case.view
            found.append(
                K105(
                    f"{show(float(cutout.core_depth), 'length', view)} of "
                    f"{show(case.geometry.core_thickness, 'length', view)} is removed",
                    place="damage.core_depth",
                )
            )
        found += _stands_off(case, part, float(part.plug.thickness))
        found += _bent(part, plies)
    return tuple(found)


def _bent(part: CorePart, plies: PliesPart) -> list[Finding]:
    found = []
    for b in part.bent:
        if plies.strain_most is not None and float(b.strain) > float(plies.strain_most) * (1.0 + 1e-9):
            most = percent(float(plies.strain_most), "most")
            words = f"{b.id}: strain {percent(float(b.strain), 'least')}, at most {most}"
            found.append(K108(words, place=b.strain.key))
        if (
            b.shear is not None
            and plies.shear_most is not None
            and float(b.shear) > float(plies.shear_most) * (1.0 + 1e-9)
        ):
            most = show(float(plies.shear_most), "angle", limit="most")
            sheared = show(float(b.shear), "angle", limit="least")
            found.append(K108(f"{b.id}: shear {sheared}, at most {most}", place=b.shear.key))
    return found


def _unfilled(case: Case, cutout: CutoutPart, plies: PliesPart) -> tuple[Finding, ...]:
    """A skin that is cut and laid over with nothing in the hole; a scarf is filled by its own plies."""
    deep = float(cutout.skin_depth)
    if deep <= 0.0 or plies.scheme == "scarf" or any(p.role == "fill" for p in plies.plies):
        return ()
    open_cells = "over the open cells"
    bare = {
        "plies": "over the plies that stay",
        "skin": open_cells,
        "skin and core": open_cells,
        "through": open_cells,
    }[case.document.damage.depth]
    words = f"{show(deep, 'depth', case.view, limit='least')} deep, {bare}"
    return (K130(words, place=f"data.plies.{cutout.side}.fill"),)


def _stands_off(case: Case, part: CorePart, thickness: float) -> list[Finding]:
    if part.sagitta is None or part.sagitta_most is None or float(part.sagitta) <= float(part.sagitta_most):
        return []
    off, most, carved = (
        show(v, "length", case.view)
        for v in (float(part.sagitta), float(part.sagitta_most), thickness + float(part.sagitta))
    )
    return [
        K107(
            f"{off} between its middle and its rim, at most {most}; carved out of a flat block it takes a "
            f"block {carved} thick",
            place="core.sagitta",
        )
    ]


def _material(case: Case, new: str, place: str) -> list[Finding]:
    old = case.document.panel.core.material
    a, b = case.catalogue.core(old), case.catalogue.core(new)
    differs = []
    if a.fibre != b.fibre:
        differs.append(f"{b.fibre} for {a.fibre}")
    if not math.isclose(a.cell_size.value, b.cell_size.value, rel_tol=1e-6):
        sizes = (show(m.cell_size.value, "length", case.view) for m in (b, a))
        differs.append("cell {} for {}".format(*sizes))
    if not math.isclose(a.density.value, b.density.value, rel_tol=1e-6):
        differs.append(
            "density {} for {}".format(*(show(m.density.value, "density", case.view) for m in (b, a)))
        )
    if not differs:
        return []
    return [K102(f"{', '.join(differs)} ({place})", place="data.core.material")]


def _sheets(case: Case, material: str, thickness: float) -> list[Finding]:
    sheets = [
        lot for lot in case.document.stores.lot if lot.material == material and lot.thickness is not None
    ]
    if not sheets or any(lot.thickness >= thickness - 1e-6 for lot in sheets if lot.thickness is not None):
        return []
    thickest = max(lot.thickness for lot in sheets if lot.thickness is not None)
    return [
        K106(
            f"plug {show(thickness, 'length', case.view)}, thickest sheet of {material} "
            f"{show(thickest, 'length', case.view, limit='most')}",
            place="stores.lot",
        )
    ]
