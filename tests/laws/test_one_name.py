"""A function's name means one thing: no public one stands in two modules but with its reason.

Verbs, and answers of the server, are named by what is typed and by their addresses: nobody reads them in.
No further name is read in bare from two homes.
``check`` and ``make`` of the stages, and what is called by its module, may stand as often as they like. What
was read in bare from two homes when this was counted stands in a closed list, which may only get shorter.
"""

from __future__ import annotations

import ast
from collections import defaultdict
from pathlib import Path

from source_trees import trees

# Every stage has them, and each is read in by its own package alone.
OF_EVERY_STAGE = {"check", "make", "main"}
# Names that stand in two modules on purpose, or still, with the reason. A formula keeps the name that plans
# in hand carry: where its name stands elsewhere too, the other one would have to go.
STAGES = "every stage has one, called by the name of its stage"
FORMULA = "a formula, and what works it out: the same thing"
ALONE = "the program beside a package stands alone, and reads nothing of ours in"
ONE_ACT = "the same act on two things, each called by the name of its module or inside its own room"
TWICE = {
    "check": STAGES,
    "make": STAGES,
    "main": "what a program of its own runs",
    "diffusivity": FORMULA,
    "likelihood": FORMULA,
    "longest_trim": FORMULA,
    "sealed": ALONE,
    "sha": ALONE,
    "may": "whether somebody may: by the records' rule, and at the screen's door",
    "pages_data": ONE_ACT,
    "show": ONE_ACT,
}
HANDED_OVER = {"command", "group", "verb", "get", "post", "put", "delete"}
LISTED = set(
    (Path(__file__).parent / "names_of_two_homes.txt").read_text("utf8").split(),
)


def homes(trees: dict[str, ast.Module]) -> dict[str, set[str]]:
    """Modules that a function is read in from by its bare name; a package that hands it on is its module.

    Args:
        trees: source by the name of the module; of a package with ``.__init__``.
    """
    own = {
        (name, node.name)
        for name, tree in trees.items()
        for node in tree.body
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)
    }
    passed_on = {
        (name.removesuffix(".__init__"), a.asname or a.name): (node.module, a.name)
        for name, tree in trees.items()
        if name.endswith(".__init__")
        for node in ast.walk(tree)
        if isinstance(node, ast.ImportFrom) and node.module
        for a in node.names
    }
    found: defaultdict[str, set[str]] = defaultdict(set)
    for tree in trees.values():
        for node in ast.walk(tree):
            if not (isinstance(node, ast.ImportFrom) and node.module):
                continue
            for a in node.names:
                home = (node.module, a.name)
                seen = set()
                while home in passed_on and home not in seen:
                    seen.add(home)
                    home = passed_on[home]
                if a.asname in (None, a.name) and home in own:
                    found[a.name].add(home[0])
    return {name: at for name, at in found.items() if len(at) > 1}


def _handed_over(node: ast.FunctionDef | ast.AsyncFunctionDef) -> bool:
    calls = [d.func for d in node.decorator_list if isinstance(d, ast.Call)]
    return any(
        c.attr in HANDED_OVER if isinstance(c, ast.Attribute) else getattr(c, "id", "") in HANDED_OVER
        for c in calls
    )


def twice(trees: dict[str, ast.Module]) -> dict[str, list[str]]:
    """Public functions at the top of more than one of these modules, by name, with the modules."""
    found: defaultdict[str, list[str]] = defaultdict(list)
    for name, tree in trees.items():
        for node in tree.body:
            function = isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)
            if function and not node.name.startswith("_") and not _handed_over(node):
                found[node.name].append(name)
    return {name: at for name, at in found.items() if len(at) > 1}


def test_a_public_function_has_its_name_to_itself_or_is_listed() -> None:
    found = twice(trees())
    assert {n: at for n, at in found.items() if n not in TWICE} == {}, (
        "give it a name that needs no look inside"
    )
    assert set(TWICE) - set(found) == set(), "these stand once now: off the list with them"


def test_functions_of_one_name_are_found() -> None:
    texts = {
        "a.py": "def grid(): ...\ndef _own(): ...\n@router.get('/x')\ndef page(): ...\n",
        "b.py": "async def grid(): ...\ndef _own(): ...\ndef page(): ...\n"
        "class A:\n    def grid(self): ...\n",
    }
    assert twice({name: ast.parse(text) for name, text in texts.items()}) == {"grid": ["a.py", "b.py"]}


def test_no_further_name_is_read_in_from_two_homes() -> None:
    modules = {f"panelmend.{n.removesuffix('.py').replace('/', '.')}": t for n, t in trees().items()}
    found = {name: at for name, at in homes(modules).items() if name not in OF_EVERY_STAGE}
    assert {name: at for name, at in found.items() if name not in LISTED} == {}, "give it a name of its own"
    assert LISTED - set(found) == set(), "these mean one thing now: off the list with them"


def test_names_of_two_homes_are_found() -> None:
    texts = {
        "p.a": "def held(): ...\ndef kept(): ...\n",
        "p.b": "def held(): ...\ndef kept(): ...\n",
        "p.c.__init__": "from p.a import kept\n",
        "p.x": "from p.a import held\nfrom p.c import kept\n",
        "p.y": "from p.b import held\nfrom p.a import kept\nimport p.b\n",
        "p.z": "from p.b import kept as other\n",
    }
    assert homes({name: ast.parse(text) for name, text in texts.items()}) == {"held": {"p.a", "p.b"}}
