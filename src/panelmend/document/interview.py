"""Making a new document by asking: which question comes next, and whether an answer can be used.

Nothing is read or printed here: whoever asks keeps the answers, a mapping from a question's path to the text
that was typed ("" for "not given"), and calls :func:`next_question` until it answers None.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from itertools import takewhile
from typing import Any

from pydantic import TypeAdapter, ValidationError

from panelmend.document import approved, panel
from panelmend.document.answer_lists import plies_of, points_of, words_listed
from panelmend.document.fields import choices, inner_model, plain_kind, quantity_kind, wrapper
from panelmend.document.model import People, Repair
from panelmend.document.people import is_plain_name
from panelmend.document.ply_kinds import PLY_KINDS
from panelmend.document.raw import clean
from panelmend.document.shape import Shape, TracedShape
from panelmend.document.wording import plain_complaint
from panelmend.errors import InputError, MissingError
from panelmend.materials import Catalogue, MaterialSet, builtin
from panelmend.materials.meanings import meaning_of
from panelmend.materials.quantities import Typed
from panelmend.units import KINDS
from panelmend.units.written import as_read

Answers = Mapping[str, str]
FORMS = ("circle", "ellipse", "oval", "rectangle", "outline")
PLACED = "its place in the approved data: figure, table, note"
SECOND = ("second_radius", "second_bulges")


@dataclass(frozen=True)
class Question:
    """One question: where its answer goes, its words, what is wanted, and why it is asked.

    ``said`` tells something of each choice; ``usual`` is taken where nothing is typed; a ``quiet`` question
    is not put: its usual answer is shown with the others, to be corrected.
    """

    path: str
    words: str
    kind: str
    example: str
    choices: tuple[str, ...] = ()
    why: str = ""
    needed: bool = True
    said: tuple[str, ...] = ()
    usual: str = ""
    quiet: bool = False
    before: str = ""


SAME = "same"


def next_question(answers: Answers) -> Question | None:
    """The next question that has no answer yet; None when nothing more is needed."""
    return next((q for q in questions(answers) if q.path not in answers), None)


def questions(answers: Answers) -> Iterator[Question]:
    """Every question in order that the answers so far call for, answered ones too."""
    yield from asks_of(
        Repair, "repair", ("number", "title", "operator", "aircraft", "registration", "work_date", "units")
    )
    yield from asks_of(People, "people", ("technician", "inspector"))
    yield from panel_questions(answers)
    yield from _damage(answers)
    yield from data_questions(answers)
    yield from material_questions(answers)


def accept(question: Question, text: str) -> str:
    """The answer as it is kept.

    Raises:
        InputError: it cannot be used; what was read, what was expected and what to do.
    """
    text = " ".join(text.split())
    if question.kind in KINDS or question.kind in ("point", "points", "plies"):
        text = as_read(text)
    if not text:
        if question.needed:
            raise InputError("an answer is needed", read="nothing", expected=question.example)
        return ""
    _, hidden = clean(text)
    if hidden:
        raise hidden[0][1]
    if question.path.endswith((".place", ".source")) and text.casefold() == SAME:
        raise InputError(
            "this does not name a place", read=repr(text), expected=question.example or "where it stands"
        )
    if question.kind == "plies":
        plies_of(text)
    elif question.kind == "points":
        points_of(text)
    elif question.choices and question.kind == "words":
        for word in words_listed(text):
            _one_of(word, question.choices)
    elif question.choices:
        _one_of(text, question.choices)
    else:
        _typed(question, text)
    if question.path.startswith("people.") and not is_plain_name(text):
        raise InputError("this is not a name", read=repr(text[:60]), expected="such as R. Osk")
    return text


def answer_value(question: Question, text: str) -> Any:
    """An accepted answer as a value of the TOML text."""
    if question.kind == "plies":
        return [{"cloth": cloth, "warp": warp} for cloth, warp in plies_of(text)]
    if question.kind == "points":
        return [list(p) for p in points_of(text)]
    if question.kind == "words":
        return words_listed(text)
    if question.kind == "yes or no":
        return text.lower() in ("yes", "true")
    if question.kind == "count":
        return int(text)
    return text


def _one_of(word: str, permitted: tuple[str, ...]) -> None:
    if word not in permitted:
        raise InputError("not one of the permitted words", read=repr(word), expected=" or ".join(permitted))


def _typed(question: Question, text: str) -> None:
    """Check an answer by the typed field it will stand in."""
    model, name = _field_of(question.path)
    field = model.model_fields[name]
    wrapped = wrapper(field.annotation)
    if wrapped is not None:
        field = wrapped.model_fields["value"]
    value: Any = text
    if question.kind == "count":
        value = int(text) if re.fullmatch(r"-?\d{1,9}", text) else text
    elif question.kind == "yes or no":
        value = {"yes": True, "true": True, "no": False, "false": False}.get(text.lower(), text)
        if value is text:
            raise InputError("neither yes nor no", read=repr(text), expected="yes or no")
    try:
        TypeAdapter(field.rebuild_annotation()).validate_python(value)
    except ValidationError as error:
        first: dict[str, Any] = dict(error.errors(include_url=False)[0])
        raise plain_complaint({**first, "loc": (name,)}, {name: value})[1] from None


_MODELS: dict[str, type[Typed]] = {
    "repair": Repair,
    "people": People,
    "panel": panel.Panel,
    "panel.core": panel.PanelCore,
    "panel.curvature": panel.Curvature,
    "damage": panel.Damage,
    "data": approved.ApprovedData,
    "data.manual": approved.Manual,
    **{
        f"data.{name}": model
        for name, field in approved.ApprovedData.model_fields.items()
        if (model := inner_model(field.annotation)[0]) is not None
    },
}


def _field_of(path: str) -> tuple[type[Typed], str]:
    """The model and field an answer's path means."""
    if path.endswith(".place"):
        return approved.Given[str], "place"
    owner, _, name = path.removesuffix(".value").rpartition(".")
    parts = owner.split(".")
    if parts[0] == "materials":
        found = inner_model(MaterialSet.model_fields[parts[1]].annotation)[0]
        assert found is not None
        return found, name
    if len(parts) > 1 and parts[-1] in FORMS:
        found = inner_model(Shape.model_fields[parts[-1]].annotation)[0]
        assert found is not None
        return found, name
    return _MODELS[owner], name


def asks_of(model: type[Typed], owner: str, names: tuple[str, ...], why: str = "") -> Iterator[Question]:
    """Questions for fields of a model, made from what the model says of them."""
    for name in names:
        field = model.model_fields[name]
        wrapped = wrapper(field.annotation)
        inside = wrapped.model_fields["value"] if wrapped is not None else field
        kind = quantity_kind(inside)
        permitted = choices(inside.annotation)
        if kind in KINDS:
            example = KINDS[kind].example
        else:
            examples = {"point": "420 mm, 310 mm", "day": "2026-03-02"}
            example = examples.get(kind, " or ".join(permitted))
        kind = kind or ("one word" if permitted else plain_kind(inside.annotation))
        words = (meaning_of(model, name) or name).rstrip(".")
        yield Question(f"{owner}.{name}", words, kind, example, permitted, why, field.is_required())


_IN_A_LINE = (
    "one word, or with size and centre: rectangle 600 x 400 mm at 300, 200 mm; circle 60 mm at 310, 190 mm"
)


def _shape(owner: str, words: str, answers: Answers) -> Iterator[Question]:
    form = Question(f"{owner}.form", words, "one word", " or ".join(FORMS), FORMS, _IN_A_LINE)
    yield form
    chosen = answers.get(form.path, "")
    if chosen not in FORMS:
        return
    here = f"{owner}.{chosen}"
    if chosen == "outline":
        yield from asks_of(TracedShape, here, ("unit",))
        yield Question(
            f"{here}.points",
            "Points in order",
            "points",
            "412, 377; 437, 352; 478, 341",
            why="it closes by itself",
        )
        return
    model = inner_model(Shape.model_fields[chosen].annotation)[0]
    assert model is not None
    names = tuple(n for n in model.model_fields if model.model_fields[n].is_required() or n == "angle")
    yield from asks_of(model, here, names)
    if chosen == "rectangle":
        yield from asks_of(model, here, ("corner_radius",))


def panel_questions(answers: Answers) -> Iterator[Question]:
    yield from asks_of(panel.Panel, "panel", ("name", "part_number", "serial"))
    yield from _shape("panel.outline", "Form of the panel's edge", answers)
    yield from asks_of(panel.Panel, "panel", ("seen_from", "zero"), "angles and coordinates are turned by it")
    example = "glass-7781: 0, 45, 0 deg; glass-120: 90 deg"
    for side, words in (("outer_skin", "the outer skin"), ("inner_skin", "the inner skin")):
        why = "listed from the outside of the panel in; cloth id, then the warp angle of each ply"
        yield Question(f"panel.{side}.plies", f"Plies of {words}", "plies", example, why=why)
        if _holds_carbon(answers.get(f"panel.{side}.plies", "")):
            why = "a mesh or foil by the panel's drawing; none where there is none; empty where nobody looked"
            yield from asks_of(panel.Skin, f"panel.{side}", ("metal",), why)
    yield from asks_of(panel.PanelCore, "panel.core", ("material", "thickness", "ribbon"))
    yield from asks_of(panel.Panel, "panel", ("edge_band",), "a repair must not run into it unseen")
    yield from _bend(answers)


def _holds_carbon(plies: str) -> bool:
    """Whether plies as they were answered hold carbon: its metal then matters, for carbon corrodes it."""
    try:
        named = [cloth for cloth, _ in plies_of(plies)] if plies else []
        known = Catalogue(builtin())
        return any(known.cloth(i).fibre == "carbon" for i in named if i in known)
    except (InputError, MissingError):
        return False


def _bend(answers: Answers) -> Iterator[Question]:
    """Flat or bent; the radii where it is bent. Left empty, the plan asks again."""
    yield from asks_of(
        panel.Panel, "panel", ("surface",), "lay a straight edge on it along and across; nobody else can tell"
    )
    surface = answers.get("panel.surface", "")
    names = {"single": ("radius", "axis", "bulges"), "double": ("radius", "axis", "bulges", *SECOND)}
    for question in asks_of(panel.Curvature, "panel.curvature", names.get(surface, ())):
        yield replace(question, needed=True)


def _damage(answers: Answers) -> Iterator[Question]:
    yield from _shape("damage.shape", "Form of the damage after clean-up", answers)
    yield from asks_of(panel.Damage, "damage", ("depth",))
    if answers.get("damage.depth") == "plies":
        q = next(iter(asks_of(panel.Damage, "damage", ("plies",))))
        yield Question(q.path, q.words, "count", "2", why=q.why)
    yield from asks_of(panel.Damage, "damage", ("side", "moisture"))


def data_questions(answers: Answers) -> Iterator[Question]:
    yield from asks_of(
        approved.Manual, "data.manual", ("title", "number", "revision", "dated"), "every page names it"
    )
    yield from asks_of(approved.ApprovedData, "data", ("repair",))
    depth = answers.get("damage.depth", "")
    if depth == "surface":
        return
    yield from _given("limits", ("repairable", "edge_distance"), answers)
    yield from _given("cutout", ("forms", "margin"), answers)
    yield from _given("plies", ("first_margin", "further_margin", "margins_are"), answers)
    sides = ("outside", "inside") if depth == "through" else (answers.get("damage.side", ""),)
    example = "glass-7781: 0, 45, 0 deg"
    for side in sides:
        if not side:
            continue
        for kind in sorted((k for k in PLY_KINDS if k.asked), key=lambda k: k.name != "repair"):
            path = f"data.plies.{side}.{kind.name}"
            words, needed = f"{kind.asked} on the {side}, first to last", kind.name == "repair"
            ask = Question(f"{path}.value", words, "plies", example, needed=needed)
            yield from _with_place(ask, path, answers)
    if depth in ("skin and core", "through"):
        yield from _given("core", ("splice_gap", "adhesive"), answers)
    yield from _given("resin", ("system", "resin_to_cloth"), answers)
    yield from _given("bag", ("least_vacuum",), answers)


_STANDS_IN = "the usual value of the trade stands in, marked"
# Of these the trade has no usual value: an empty answer is no limit, no resin, no adhesive.
_UNSAID = {
    "limits.repairable": "nothing stands in, the size is NOT CHECKED, and the plan says so",
    "limits.edge_distance": "nothing stands in, the distance is NOT CHECKED, and the plan says so",
    "core.adhesive": "nothing stands in; where the repair bonds core, the plan stops",
    "resin.system": "nothing stands in; where dry cloth is laid, the plan stops",
}


def _given(section: str, names: tuple[str, ...], answers: Answers) -> Iterator[Question]:
    """An approved value and, if there is one, its place."""
    model = _MODELS[f"data.{section}"]
    for name in names:
        field = model.model_fields[name]
        inside = wrapper(field.annotation).model_fields["value"]
        kind = quantity_kind(inside)
        permitted = choices(inside.annotation)
        several = permitted and name in ("forms",)
        example = KINDS[kind].example if kind in KINDS else ", ".join(permitted)
        path = f"data.{section}.{name}"
        ask = Question(
            f"{path}.value",
            (meaning_of(model, name) or name).rstrip("."),
            "words" if several else kind or ("one word" if permitted else plain_kind(inside.annotation)),
            example,
            permitted,
            f"leave it empty where the data does not give it: {_UNSAID.get(f'{section}.{name}', _STANDS_IN)}",
            needed=False,
        )
        yield from _with_place(ask, path, answers)


def _with_place(ask: Question, path: str, answers: Answers) -> Iterator[Question]:
    yield ask
    if answers.get(ask.path):
        words = f"Where that stands ({PLACED})"
        last = _last(answers, ".place", f"{path}.place")
        ask = Question(f"{path}.place", words, "text", "52-10-17 fig 204", why="every page prints it")
        yield replace(ask, before=last)


def _last(answers: Answers, ending: str, path: str) -> str:
    """The last answer before a question whose path ends so."""
    before = takewhile(lambda row: row[0] != path, answers.items())
    return next(iter([text for key, text in before if key.endswith(ending) and text][::-1]), "")


def material_questions(answers: Answers, at_hand: frozenset[str] = frozenset()) -> Iterator[Question]:
    """Fields of the materials that are named but are neither in a table nor at hand elsewhere."""
    known = {m.id for kind in MaterialSet.model_fields for m in getattr(builtin(), kind)} | at_hand
    asked: set[str] = set()
    for kind, ident in named_materials(answers):
        if ident in known or ident in asked:
            continue
        asked.add(ident)
        model = inner_model(MaterialSet.model_fields[kind].annotation)[0]
        assert model is not None
        names = tuple(n for n, f in model.model_fields.items() if f.is_required() and n != "id")
        extra = ("prepreg",) if kind == "cloth" else ()
        here = f"materials.{kind}.{ident}"
        for ask in asks_of(model, here, (*names, *extra), f"{ident!r} is in no table"):
            _, _, name = ask.path.rpartition(".")
            repeated = name in ("source", "dated")
            yield replace(ask, before=_last(answers, f".{name}", ask.path)) if repeated else ask
        if kind == "adhesive" and answers.get(f"{here}.form") == "paste":
            yield from asks_of(model, here, _PASTE, "a paste of two parts is weighed by them; else empty")
            if answers.get(f"{here}.resin_parts") or answers.get(f"{here}.hardener_parts"):
                timed = asks_of(model, here, ("pot_life",), "without it nothing says until when it is laid")
                yield from timed


_PASTE = ("resin_parts", "hardener_parts")


def named_materials(answers: Answers) -> Iterator[tuple[str, str]]:
    """Kind and id of every material the answers name, in order."""
    for path, text in answers.items():
        if not text:
            continue
        if re.fullmatch(r"panel\.\w+_skin\.plies|data\.plies\.(outside|inside)\.\w+\.value", path):
            yield from (("cloth", cloth) for cloth, _ in plies_of(text))
        elif path == "panel.core.material":
            yield "core", text
        elif path == "data.core.adhesive.value":
            yield "adhesive", text
        elif path == "data.resin.system.value":
            yield "resin", text
