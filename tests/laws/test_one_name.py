"""A function's name means one thing where it is read: no further name is read in bare from two homes.

``check`` and ``make`` of the stages, and what is called by its module, may stand as often as they like. What
was read in bare from two homes when this was counted stands in a closed list, which may only get shorter.
"""

from __future__ import annotations

import ast
from collections import defaultdict
from pathlib import Path

import panelmend

SOURCES = Path(panelmend.__file__).parent
# Every stage has them, and each is read in by its own package alone.
OF_EVERY_STAGE = {"check", "make", "main"}
LISTED = set(
    (Path(__file__).parent / "names_of_two_homes.txt").read_text("utf8").split(),
)


def homes(texts: dict[str, str]) -> dict[str, set[str]]:
    """Modules that a function is read in from by its bare name; a package that hands it on is its module.

    Args:
        texts: source by the name of the module; of a package with ``.__init__``.
    """
    trees = {name: ast.parse(text) for name, text in texts.items()}
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
                if a.asname is None and home in own:
                    found[a.name].add(home[0])
    return {name: at for name, at in found.items() if len(at) > 1}


def test_no_further_name_is_read_in_from_two_homes() -> None:
    texts = {
        "panelmend." + ".".join(p.relative_to(SOURCES).with_suffix("").parts): p.read_text("utf8")
        for p in sorted(SOURCES.rglob("*.py"))
    }
    found = {name: at for name, at in homes(texts).items() if name not in OF_EVERY_STAGE}
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
    assert homes(texts) == {"held": {"p.a", "p.b"}}
