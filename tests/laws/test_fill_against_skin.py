"""Fill plies against the plies whose place they take: turned, in another order, confirmed."""

from __future__ import annotations

import pytest

from examples_here import case_from, text
from panelmend.derive import Ledger
from panelmend.plan.asked import check_asked, keys_asked

KEY = "plies.outside.fill_against_skin"
SKIN = (0, 45, 0)  # of the gear door's outer skin
LINE = "[data.plies.outside]\n"


def _document(*warps: float, more: str = "") -> str:
    plies = ", ".join(f'{{ cloth = "demo-glass-8h", warp = "{w} deg" }}' for w in warps)
    whole = text("gear_door")
    assert whole.count(LINE) == 1
    return whole.replace(LINE, f'{LINE}fill = {{ place = "fig 9", value = [ {plies} ] }}\n') + more


def _asked(document: str, code: str = "J152") -> list[str]:
    return [f.words for f in check_asked(case_from(document), Ledger()) if f.code == code and f.place == KEY]


@pytest.mark.parametrize(
    "warps",
    [SKIN, (0,), (45,), (0, 0), (0, 45), (10, 45, -10), (0, 45, 0, 45), (180, 45, 0)],
)
def test_fill_plies_along_the_plies_of_the_skin_are_not_asked_about(warps: tuple[float, ...]) -> None:
    assert _asked(_document(*warps)) == []


@pytest.mark.parametrize(
    ("warps", "said"),
    [
        ((90, 45, 0), "1 ply with the warp along 90° has no ply of the skin that lies that way"),
        ((0, -45, 0), "1 ply with the warp along -45° has no ply"),
        ((11, 45, 0), "along 11°"),
        ((45, 45), "1 ply with the warp along 45° has no ply"),
        (
            (90, -45, 90),
            "3 plies with the warp along 90° and -45° have no plies of the skin that lie that way",
        ),
        ((0, 0, 45), "another order"),
        ((0, 0, 0, 0), "none lies along 45° as the skin does"),
        ((0, 45, 0, 90), "1 ply with the warp along 90°"),
    ],
)
def test_fill_plies_that_lie_otherwise_are_asked_about(warps: tuple[float, ...], said: str) -> None:
    (words,) = _asked(_document(*warps))
    assert said in words
    assert words.startswith("outside, fill plies: ")


def test_a_confirmation_settles_these_fill_plies_and_no_others() -> None:
    def confirmed(value: str) -> str:
        line = f'\n[[confirm]]\nfigure = "{KEY}"\nby = "D. Aune"\non = 2026-11-24\nvalue = "{value}"\n'
        return _document(90, 45, 0, more=line)

    said = "demo-glass-8h 90, 45, 0 for demo-glass-8h 0, 45, 0"
    assert f'(value = "{said}")' in _asked(_document(90, 45, 0))[0]
    assert _asked(confirmed(said)) == []
    assert "confirmed by D. Aune" in _asked(confirmed(said), "J151")[0]
    assert _asked(confirmed("demo-glass-8h 90, 0 for demo-glass-8h 0, 45, 0"))
    assert KEY in keys_asked(case_from(_document(*SKIN)))


@pytest.mark.parametrize("example", ["root_fairing", "flap_rib_bay"])
def test_fill_plies_of_the_examples_lie_as_their_skins_do(example: str) -> None:
    found = check_asked(case_from(text(example)), Ledger())
    assert [f.words for f in found if f.code == "J152"] == []
