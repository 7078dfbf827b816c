"""What each place lets be taken before the work; the statute stands beside each in the table."""

import datetime
from decimal import Decimal

import pytest
from pydantic import ValidationError

from hillwright.data import table
from hillwright.estimate.terms import law_lines, law_of, limit_words, payments
from hillwright.job.estimate import EstimateText

PLACES = {row["place"]: row for row in table("contract_law")["law"]}
PRICE = Decimal("40118.88")


def deposit(place, asked="60 %", price=PRICE, **terms):
    said = EstimateText(law=place, deposit=asked, **terms)
    found, warned = payments(price, {1: Decimal(7), 5: Decimal(3)}, said, law_of(said), 2)
    assert sum(p.amount for p in found) == price
    return found[0].amount, warned


# a third: Md. Bus. Reg. 8-617(b), M.G.L. c. 142A s. 2(a)(6), 10 M.R.S. 1487(5), 73 P.S. 517.9,
# Tenn. Code 62-6-510; the lesser of $1,000 and a tenth: Cal. B&P 7159(d)(8), NRS 624.970
@pytest.mark.parametrize(
    ("place", "most"),
    [
        *((p, Decimal("13372.96")) for p in ("MA", "MD", "ME", "PA", "TN")),
        *((p, Decimal(1000)) for p in ("CA", "NV")),
    ],
)
def test_a_deposit_over_the_limit_of_each_place_is_cut_to_it_and_told(place, most):
    amount, (warned,) = deposit(place)
    assert amount == most
    assert f"more than the {PLACES[place]['name']} allows: {most:,}" in warned


@pytest.mark.parametrize("place", PLACES)
def test_a_deposit_within_the_limit_stays_and_a_limit_is_not_rounded_over(place):
    assert deposit(place, "2 %") == (Decimal("802.37"), [])
    amount, _ = deposit(place, price=Decimal("100.00"))
    n, d = PLACES[place]["share"]
    assert amount <= Decimal(100) * n / d
    assert amount in (Decimal("10.00"), Decimal("33.33"), Decimal("60.00"))


def test_where_no_share_is_named_nothing_is_cut_and_the_escrow_account_is_told():
    assert deposit("NY") == (Decimal("24071.32"), [])
    law = law_of(EstimateText(law="NY"))
    assert "escrow" in law_lines(law, "USD")[0]
    assert limit_words(law, "USD") == "what is agreed"


# Md. Commercial Law 14-302.1: five business days, seven where the buyer is 65 or older
def test_a_buyer_of_65_has_longer_to_cancel_in_maryland_and_california():
    days = [
        law_of(EstimateText(law=place, senior_buyer=old)).cancel_days
        for place in ("MD", "CA")
        for old in (False, True)
    ]
    assert days == [5, 7, 3, 5]


@pytest.mark.parametrize("place", PLACES)
def test_each_place_says_its_statute_how_it_is_known_and_to_ask(place):
    row = PLACES[place]
    assert row["status"] in ("verified", "summary", "memory")
    assert datetime.date.fromisoformat(row["date"]).year >= 2025
    assert row["seen"].startswith("http")
    first, days = law_lines(law_of(EstimateText(law=place)), "USD")
    assert row["source"] in first
    assert "Ask the licence board or a lawyer" in first
    known = {"verified": "read on", "summary": "in a summary", "memory": "from memory"}
    assert known[row["status"]] in first
    assert "business days" in days


def test_a_place_that_is_not_known_and_a_currency_that_is_none_of_its_are_refused():
    with pytest.raises(ValidationError, match=r"rules of 'MX' are not known .*MD"):
        EstimateText(law="MX")
    with pytest.raises(ValidationError, match="keys that do not go together"):
        EstimateText(law="CA", currency="EUR")
