"""What the supplier fills orders from."""

from __future__ import annotations

from hillwright.sheets.documents import Document, Drawn, printed, text
from hillwright.sheets.price import order_csv, order_lists
from hillwright.sheets.rows import takeoff_csv
from hillwright.sheets.setout import order_sheets


def supplier_papers(drawn: Drawn) -> tuple[Document, ...]:
    """Give the order lists."""
    return (
        printed(
            "supplier",
            "order-lists.pdf",
            "Order list of each supplier",
            "Packs to order from each, with prices, and how tubing is cut",
            drawn,
            order_lists,
            bool(drawn.plan.estimate.file),
        ),
        printed(
            "supplier",
            "order.pdf",
            "What to order",
            "Every item with its count and the rows that it is for",
            drawn,
            order_sheets,
        ),
        text(
            "supplier",
            "takeoff.csv",
            "What to order, as a table",
            "The same for a spreadsheet, each count with the cells that it came from",
            takeoff_csv,
        ),
        text(
            "supplier",
            "orders.csv",
            "Orders, as a table",
            "Supplier, packs and amount of every line; what has no price is told",
            order_csv,
        ),
    )
