"""The stores by the service: the rules and table of the records, a fresh secret, nobody in another's name."""

from __future__ import annotations

import pytest

from panelmend.records import events as e
from panelmend.records.rights import RIGHTS
from panelmend.screen import access
from panelmend.screen.api_stores import Stored
from records_made import Shop, secret_of, shop, who
from records_web import Web

LOT = {
    "kind": "lot received", "lot": "L1", "material": "film adhesive", "batch": "B 1", "certificate": "C-1",
    "amount": "10", "unit": "m2", "expires": "2026-12-31", "out_life": 36000, "frozen": True,
}  # fmt: skip


class Till:
    """The service with the invented shop's records."""

    def __init__(self) -> None:
        self.shop: Shop = shop()
        self.web = Web(self.shop.book, lambda n: 0)

    def enter(self, by: str, *, secret: str = "", signed: str = "", **what: object) -> tuple[int, str]:
        """Send an entry; status, and number or kind of refusal."""
        sent = {"person": by, "secret": secret or secret_of(by), "what": what}
        answer = self.web._as(self.web._token(who(signed or by)), "POST", "/api/stores/entries", sent)
        return answer.status, str(answer.json.get("number") or answer.json["type"])

    def lines(self, path: str) -> list[str]:
        """What is told to a technician."""
        return list(self.web._as(self.web._token(who("T1")), "GET", path).json["lines"])


@pytest.fixture
def till() -> Till:
    return Till()


def test_a_lot_goes_its_way_by_the_service_and_its_history_is_read_there(till: Till) -> None:
    for by, what in (
        ("S1", LOT),
        ("T1", {"kind": "lot moved", "lot": "L1", "frozen": False, "place": "bench"}),
        ("T1", {"kind": "lot opened", "lot": "L1"}),
        ("S1", {"kind": "lot corrected", "lot": "L1", "amount": "9", "why": "counted"}),
        ("S1", {"kind": "lot scrapped", "lot": "L1", "amount": "1", "why": "creased"}),
        ("I1", {"kind": "instrument known", "instrument": "TM-1", "what": "tensile machine",
                "certificate": "C-7", "due": "2027-01-31"}),
        ("S1", {"kind": "least stock set", "material": "film adhesive", "amount": "20", "unit": "m2"}),
    ):  # fmt: skip
        status, told = till.enter(by, **what)
        assert status == 200, (what, told)
    assert str(till.shop.state.lots["L1"].left) == "8"
    assert any("lot L1, film adhesive: 8 m2 left" in x for x in till.lines("/api/stores"))
    page = till.lines("/api/stores/history?thing=lot&named=L1&most=2")
    assert ("lot received" in page[0], page[-1][:14]) == (True, "3 MORE ENTRIES")
    assert till.shop.book.log.check().holds


def test_what_the_records_refuse_is_refused_there(till: Till) -> None:
    before = till.shop.state.number
    assert till.enter("T1", **LOT) == (409, "panelmend:R111")
    assert till.enter("K1", **LOT) == (403, "panelmend:role")
    assert till.enter("S1", signed="T1", **LOT)[0] == 403
    assert till.enter("S1", **{**LOT, "batch": " "})[0] in (409, 422)
    assert till.enter("S1", **{**LOT, "kind": "person added"})[0] == 422
    assert till.enter("S1", **{**LOT, "more": "1"})[0] == 422
    assert till.shop.state.number == before
    assert till.enter("S1", secret="another long secret", **LOT)[1] == "panelmend:R113"
    assert till.shop.state.number == before + 1, "a wrong secret is an entry"
    assert till.enter("S1", **{**LOT, "expires": "2026-11-25"})[0] == 200
    assert till.enter("S1", kind="lot reserved", lot="L1", job="none", amount="1") == (404, "panelmend:R122")


def test_every_kind_it_takes_is_unsigned_and_stands_in_the_table_of_calls() -> None:
    kinds = {str(t.model_fields["kind"].default): t for t in Stored.__args__}
    assert set(kinds) == set(access.STORES) <= set(RIGHTS)
    assert not [k for k, t in kinds.items() if {"signature", "paper"} & set(t.model_fields)]
    assert set(kinds) <= set(e.KINDS)
