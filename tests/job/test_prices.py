"""The price book: read whole, or told what is wrong with each line."""

import datetime
from decimal import Decimal

import pytest

from hillwright.errors import SurveyError
from hillwright.job.prices import parse

HEAD = "kind,item,unit,pack,low,price,high,currency,date,good until,supplier,note\n"
OFFER = datetime.date(2026, 3, 16)


def one(row, offer=OFFER, today=None):
    return parse(HEAD + row, "prices.csv", "USD", offer, today)


def test_a_row_is_read_with_exact_money_and_its_pack_in_si():
    book = one('material,"tubing, 1/2 in",ft,100,28,"1,032.10",1100,USD,2026-03-01,2026-05-01,A,')
    (row,) = book.rows
    assert (row.low, row.likely, row.high) == (Decimal(28), Decimal("1032.10"), Decimal(1100))
    assert row.tag == "m"
    assert row.holds == pytest.approx(30.48)
    assert row.line == 2


def test_a_blank_price_is_not_known_and_no_zero():
    assert one("material,clip,each,,,,,,,,,").rows[0].likely is None
    assert one("material,clip,each,,,0,,,,,,").rows[0].likely == 0


def test_remarks_and_blank_lines_do_not_count_but_keep_their_numbers():
    book = parse("# invented\n\n" + HEAD + "material,clip,each,50,,18,,,,,,\n", "prices.csv")
    assert book.rows[0].line == 4


@pytest.mark.parametrize(
    ("row", "what", "right"),
    [
        ("material,clip,eech,,,1,,,,,,", "'eech' is not a unit", "each"),
        ("material,soil,yrd3,,,1,,,,,,", "'yrd3' is not a unit", "yd3"),
        ("material,clip,,,,1,,,,,,", "has no unit", "write one of"),
        ("material,clip,each,,,-1,,,,,,", "price -1 is negative", "0 or more"),
        ("material,clip,each,,,(1.50),,,,,,", "is negative", "0 or more"),
        ("material,clip,each,,,1,,EUR,,,,", "in EUR, and the job counts in USD", "USD"),
        ('material,clip,each,,,"12,5",,,,,,', "decimal comma", "a point"),
        ("material,clip,each,,,$12.50,,,,,,", "is not a number", "write 12.50"),
        ("material,clip,each,,,twelve,,,,,,", "is not a number", "as in 12.50"),
        ("material,clip,each,0,,1,,,,,,", "'0' is not a number above zero", "as in 100"),
        ("material,clip,each,,3,2,4,,,,,", "not in that order", "lowest first"),
        ("material,clip,each,,1,,2,,,,,", "has a range and no price", "likeliest"),
        ("material,clip,each,,,1,,,16.3.2026,,,", "is not a date", "2026-05-04"),
        ("material,clip,each,,,1,,,2026-03-01,2026-03-10,,", "ran out on 2026-03-10", "new price"),
        ("material,clip,each,,,1,,,2026-04-01,,,", "after the offer of 2026-03-16", "correct"),
        ("material,clip,each,,,1,,,2026-03-02,2026-03-01,,", "before its own date", "correct"),
        ("matter,clip,each,,,1,,,,,,", "'matter' is no kind of price", "material"),
        ("labour,lead,day,,,300,,,,,,", "labour is paid by the hour", "write h"),
        ("material,,each,,,1,,,,,,", "names no item", "write what it is"),
    ],
)
def test_what_is_wrong_with_a_line_is_told_with_its_number_and_what_would_be_right(
    row, what, right
):
    with pytest.raises(SurveyError) as caught:
        one(row)
    (problem,) = caught.value.problems
    assert problem.where == "prices.csv line 2"
    assert what in problem.what
    assert right in problem.right


def test_everything_wrong_is_told_at_once():
    with pytest.raises(SurveyError) as caught:
        one("material,clip,eech,,,-1,,EUR,,,,\nmaterial,peg,each,x,,1,,,,,,")
    assert len(caught.value.problems) == 4


def test_a_price_that_ran_out_before_today_is_told_and_used_where_the_offer_has_no_day():
    book = one("material,clip,each,,,1,,,2026-01-01,2026-02-01,,", None, OFFER)
    assert book.rows[0].likely == 1
    assert "ran out before today" in book.remarks[0]
    assert "clip on 2026-02-01 (prices.csv line 2)" in book.remarks[0]


def test_the_same_pack_of_one_supplier_twice_is_refused():
    with pytest.raises(SurveyError, match="is on line 2 too"):
        one("material,clip,each,50,,1,,,,,A,\nmaterial,Clip,each,50,,2,,,,,A,")


def test_a_header_without_prices_or_with_an_unknown_column_is_refused():
    with pytest.raises(SurveyError, match="no column 'price'"):
        parse("item,unit\nclip,each\n", "p.csv")
    with pytest.raises(SurveyError, match="did you mean supplier"):
        parse("item,unit,price,suplier\nclip,each,1,A\n", "p.csv")
    with pytest.raises(SurveyError, match="holds no price"):
        parse("# nothing\n", "p.csv")


@pytest.mark.parametrize("price", ["-11.50", "eleven", "12,50"])
def test_a_price_that_cannot_be_read_is_one_problem_even_with_a_range(price):
    with pytest.raises(SurveyError) as error:
        parse(f'item,unit,low,price,high\nclip,each,10.80,"{price}",13.20\n', "p.csv")
    assert len(error.value.problems) == 1
