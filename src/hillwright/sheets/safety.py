"""The site and safety sheet: whom to ask, an emergency, what every day begins with; smoothing."""

from __future__ import annotations

from typing import TYPE_CHECKING

from hillwright.sheets import figures, tables, words
from hillwright.sheets.blocks import Block, Checks, Form, RoomSheet, Table, Text

if TYPE_CHECKING:
    from hillwright.plan import Plan

# common practice, no source; local rules and licensed people come first
DAILY = (
    "Marks of buried lines seen by everybody; nobody digs or drives over them or beside them.",
    "Weather looked at: no work on the slope while it is wet, in lightning, or in strong wind.",
    "Walked the slope: no new cracks, bulges, leaning trees, springs or loose stones. Any of them: "
    "everybody off, and ask.",
    "Anchors, stakes and strings looked at; nobody stands below a row that is hung or filled.",
    "Way up and down clear, footing sure, edges marked; tools tied or set down where they stay.",
    "Water, shade and a place to rest are there; the first-aid box is there and full.",
    "Gloves, boots, eyes and, near dust, masks; the fill line is on every bucket.",
    "Everybody knows the signal to stop, and that anybody may give it.",
)
NOTICE = (
    "In the United States call 811 (free) or use the state's web page; elsewhere ask the local "
    "utility locating service. Give notice the full working days that the law asks before digging, "
    "not counting the day of the notice (two or three in most states; common practice, the state's "
    "law decides).",
    "Mark the place in white. Wait for every owner's answer. Keep the marks up. Dig by hand beside "
    "them. Private lines (irrigation, yard lights, septic) are not marked by anybody else.",
)
_SEEN = {"yes": "seen", "no": "looked for, not seen", "unknown": "NOT LOOKED FOR"}


def safety_sheets(plan: Plan) -> tuple[RoomSheet, ...]:
    """Give what hangs on the site: stops, emergency box, utility notice, checklists, cautions."""
    job = plan.opened.job
    blocks: list[Block] = []
    stopped = [a for a in plan.answers if a.verdict == "stop"]
    if stopped:
        lines = tuple(f"{a.short} {a.caution}" for a in stopped)
        blocks.append(Text("STOP", lines, listed=True, strong=True))
    where = job.site.address or "no address in the job: write it here"
    blocks.append(
        Form(
            f"In an emergency. Site: {where}",
            (
                ("Emergency number, and where a telephone works here", 1),
                ("How an ambulance gets in; who meets it, and where", 1),
                ("Nearest hospital, and the way to it", 1),
                ("First aider today, and where the first-aid box is", 1),
                ("Who leads here today, and telephone", 1),
                ("Water, gas and power are shut off at", 1),
                ("Owner's telephone", 1),
                ("Everybody gathers at", 1),
            ),
        )
    )
    notice: list[str] = list(NOTICE)
    if plan.work.call_by:
        notice.insert(0, f"Notice must be given by {plan.work.call_by} for the first day of work.")
    blocks.append(Text("Notice to the utilities", tuple(notice), listed=True))
    blocks.append(
        Form("", (("Ticket number", 1), ("Good from / until", 1), ("Marked by, on", 1)), 3)
    )
    blocks.append(Checks("Every morning, before anybody goes up", DAILY))
    seen = tuple(
        (name.replace("_", " "), _SEEN[str(answer)])
        for name, answer in job.checklist.model_dump().items()
    )
    notes = ("What nobody looked for is taken as there. Look, then write it into the job.",)
    table = Table("Seen on the site", ("what", "answer"), seen, (), (), notes)
    # contracts and deposits (question 9) are no matter of the crew's safety
    told = (a.caution for a in plan.answers if a.caution and a.number != 9)
    cautions = dict.fromkeys((*words.CAUTIONS, *told))
    beware = Text("Beware", tuple(cautions), listed=True)
    # the first page is filled in and hung up; the second is read once by everybody
    return (
        RoomSheet("Site and safety", tuple(blocks), alone=True),
        RoomSheet("What was seen, and what to beware of", (table, beware), alone=True),
    )


def smoothing_sheets(plan: Plan) -> tuple[RoomSheet, ...]:
    """Give what must be smoothed, what was left out, and what the plan warns of."""
    system = plan.opened.job.units
    unit = figures.unit(system)
    rows = tuple(tuple(row) for row in tables.spot_rows(plan))
    tapes = tuple(f"{t} [{unit}]" for t in ("from A", "from B", "station", "offset"))
    head = ("spot", "what", "depth", *tapes, "area", "to trim", "to fill")
    notes = (
        "Depth: of the dip under, or the hump above, what a cell bridges. Tapes are pulled along "
        "the slope, as for the rows. Pack what is filled; throw nothing down the slope.",
    )
    nothing = (
        "No spot of the ground by itself; what single cells need stands in the warnings below."
        if plan.layout.warnings
        else "Nothing: every cell's base lies within its tolerance."
    )
    heading = "To smooth before cells are laid"
    blocks: list[Block] = [
        Table(heading, head, rows, (0, *range(2, 10)), (), notes)
        if rows
        else Text(heading, (nothing,))
    ]
    if left := left_out(plan):
        blocks.append(Text("Cells left out", tuple(left), listed=True))
    if plan.warnings:
        blocks.append(Text("What the plan warns of", tuple(plan.warnings), listed=True))
    return (RoomSheet("Smoothing", tuple(blocks)),)


def left_out(plan: Plan) -> list[str]:
    """Count the cells left out by reason."""
    reasons: dict[str, int] = {}
    for cell in plan.layout.left_out:
        reasons[cell.why] = reasons.get(cell.why, 0) + 1
    return [f"{figures.plural(n, 'cell')}: {why}." for why, n in reasons.items()]
