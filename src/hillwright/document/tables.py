"""The large arrays, apart from the rest: tables of cells, rows, lines, stakes, bars, pipes, ground.

A table is a set of columns; every column's first axis is the table's own.
"""

from __future__ import annotations

from hillwright.document.base import Cube, Matrix, Part, Vector, axes, text

Counts = list[int]
Flags = list[bool]
Names = list[str]


class CellTable(Part):
    """Every cell, by row and then by number in the row."""

    row: Counts = axes("-", "cell", "1 is the top row.")
    number: Counts = axes("-", "cell", "From the left looking uphill, 1 is the first.")
    panel: Counts = axes("-", "cell", "1 is the first from the left.")
    corners_m: Cube = axes(
        "m", "cell corner xyz", "Base: upper left, upper right, lower right, lower left."
    )
    anchored: Flags = axes("-", "cell", "Hangs from anchors of its own.")
    trimmed: Flags = axes("-", "cell", "Must be cut to fit.")
    run_slope_rad: Vector = axes("rad", "cell", "Fall along the run, from horizontal.")
    cross_slope_rad: Vector = axes("rad", "cell", "Fall along the row, from horizontal.")
    void_m: Vector = axes("m", "cell", "Deepest void under the base, on ground as surveyed.")
    use: Names = axes("-", "cell", "open, walking or planted.")
    plant: Counts = axes("-", "cell", "Place in the list of plants, from 0; -1: none.")
    hydrozone: Counts = axes("-", "cell", "Place in the list of hydrozones, from 0; -1: none.")
    valve: Counts = axes("-", "cell", "Valve, from 0; -1 where nothing is watered.")
    mix: Names = axes("-", "cell", "Soil mix.")
    soil_settled_m3: Vector = axes("m3", "cell", "Soil in place.")
    soil_loose_m3: Vector = axes("m3", "cell", "Soil to put in.")
    mulch_m3: Vector = axes("m3", "cell", "Mulch.")
    lip_m: Vector = axes("m", "cell", "Soil at the downhill wall.")
    soaked_kg: Vector = axes("kg", "cell", "Soil and mulch with all pores full.")
    sun_s: Matrix = axes("s", "month cell", "Direct light in a mean clear day.")
    water_m3: Matrix = axes("m3", "cell month", "To give on a mean day of a typical year.")
    water_peak_m3: Vector = axes("m3", "cell", "To give on the hottest day of a dry year.")
    pull_n: Vector = axes("N", "cell", "Net pull down the slope, filled and soaked.")
    held_n: Vector = axes("N", "cell", "Most on its own bars, over all states but people.")
    bars: Counts = axes("-", "cell", "Bars at its upper edge.")
    leaves_m3: Vector = axes("m3", "cell", "Water that leaves the grid there in the storm.")


class RowTable(Part):
    """Every row, from the top down."""

    row: Counts = axes("-", "row", "1 is the top row.")
    cells: Counts = axes("-", "row", "Cells in it.")
    soil_settled_m3: Vector = axes("m3", "row", "Soil in place.")
    soil_loose_m3: Vector = axes("m3", "row", "Soil to put in.")
    mulch_m3: Vector = axes("m3", "row", "Mulch.")
    soaked_kg: Vector = axes("kg", "row", "Soil and mulch with all pores full.")


class LineTable(Part):
    """The set-out schedule; a row that is cut has several lines."""

    name: Names = axes("-", "line", "As on the sheets.")
    row: Counts = axes("-", "line", "Its row.")
    cells: Counts = axes("-", "line", "Whole cells in it.")
    start_m: Matrix = axes("m", "line xyz", "Upper left corner of the first cell.")
    end_m: Matrix = axes("m", "line xyz", "Upper right corner of the last cell.")
    tape_a_m: Matrix = axes("m", "line end", "From peg A to start and end.")
    tape_b_m: Matrix = axes("m", "line end", "From peg B to start and end.")
    along_m: Vector = axes("m", "line", "Taped from start to end.")


class StakeTable(Part):
    """Every set-out stake."""

    name: Names = axes("-", "stake", "As on the sheets.")
    at_m: Matrix = axes("m", "stake xyz", "Where.")
    note: Names = axes("-", "stake", "What it is.")


class BarTable(Part):
    """Every anchor and stake that cells hang from."""

    at_m: Matrix = axes("m", "bar xyz", "Head of the bar.")
    cell: Counts = axes("-", "bar", "Place of its cell, from 0.")


class PipeTable(Part):
    """Every piece of tubing; each leads to its node from the parent node."""

    valve: Counts = axes("-", "node", "Number of the valve.")
    parent: Counts = axes("-", "node", "Place in this table, from 0; -1 at the tap.")
    at_m: Matrix = axes("m", "node xyz", "Where the node lies.")
    part: Names = axes("-", "node", "tap, header, lateral or small.")
    length_m: Vector = axes("m", "node", "Of tubing, as walked.")
    bore_m: Vector = axes("m", "node", "Inside diameter.")
    head_m: Vector = axes("m", "node", "Pressure head at low supply.")
    flow_m3_s: Vector = axes("m3/s", "node", "At low supply.")


class EmitterTable(Part):
    """Every emitter."""

    valve: Counts = axes("-", "emitter", "Number of the valve.")
    node: Counts = axes("-", "emitter", "Place in the table of pipes, from 0.")
    cell: Counts = axes("-", "emitter", "Place in the table of cells, from 0.")
    kind: Names = axes("-", "emitter", "Its type.")
    row: Counts = axes("-", "emitter", "Row whose lateral it hangs on.")
    side: Names = axes("-", "emitter", "left or right of the header, looking uphill.")
    distance_m: Vector = axes("m", "emitter", "Along the lateral from the header.")
    flow_m3_s: Vector = axes("m3/s", "emitter", "At low supply.")


class GroundTable(Part):
    """The graded ground as a grid of heights, rows go north."""

    x_m: Vector = axes("m", "column", "Of each column.")
    y_m: Vector = axes("m", "row", "Of each row.")
    surveyed_m: Matrix = axes("m", "row column", "Height as surveyed; null outside the survey.")
    graded_m: Matrix = axes("m", "row column", "Height as graded; null outside the survey.")


class SlopeTable(Part):
    """Factor of safety of the top layer at places over the outline."""

    at_m: Matrix = axes("m", "place xy", "Where.")
    slope_rad: Vector = axes("rad", "place", "Steepest, from horizontal.")
    found: Vector = axes("-", "place", "Bare, as found.")
    soaked: Vector = axes("-", "place", "Bare, soaked.")
    cells_soaked: Vector = axes("-", "place", "With filled cells, soaked.")
    p10: Vector = axes("-", "place", "A tenth of all such soils stay below.")
    p90: Vector = axes("-", "place", "A tenth of all such soils go above.")


class Tables(Part):
    """The tables."""

    cells: CellTable = text("Every cell.")
    rows: RowTable = text("Soil by row.")
    lines: LineTable = text("The set-out schedule.")
    stakes: StakeTable = text("Set-out stakes.")
    bars: BarTable = text("Anchors and stakes of the cells.")
    pipes: PipeTable = text("The drip network.")
    emitters: EmitterTable = text("Its emitters.")
    slope: SlopeTable = text("Factors of safety over the outline.")
    ground: GroundTable = text("The ground.")
