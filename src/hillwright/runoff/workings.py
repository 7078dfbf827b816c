"""How the figures of the runoff room came about."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from hillwright.job.water import Rain
from hillwright.method import Number, Working
from hillwright.runoff.concentration import sheet_time
from hillwright.runoff.curvenumber import runoff_depth, weighted_runoff
from hillwright.runoff.model import HillState, Runoff
from hillwright.runoff.peak import graphical_peak
from hillwright.runoff.rational import rational_peak
from hillwright.runoff.rowworkings import row_workings
from hillwright.runoff.soilloss import soil_loss


def workings(found: Runoff, asked: Rain) -> Runoff:
    """Give the result with the workings of its figures."""
    made = [_rain(found), *_above(found)]
    for state in found.states:
        made += _state(found, state, asked)
    if found.storm is not None:
        made += row_workings(found)
    return replace(found, workings=tuple(made))


def _rain(found: Runoff) -> Working:
    rain = found.rain
    given = [Number("return period", rain.period, "years"), Number("duration", rain.duration, "s")]
    if np.isfinite(rain.low):
        given += [
            Number("90 % interval from", rain.low, "m.small"),
            Number("90 % interval to", rain.high, "m.small"),
        ]
    return Working(
        "runoff.rain",
        "Rain of the storm that rows and drains are held against",
        "P of the return period; straight on log paper between tabled values",
        tuple(given),
        Number("rain", rain.depth, "m.small"),
        rain.source,
        "" if rain.given else "Invented, for comparison: no rain was given.",
    )


def _above(found: Runoff) -> list[Working]:
    above = found.above
    area = Number("area", above.area, "m2")
    how = {
        "given": ("as the job gives it", "rain.water_from_above"),
        "surface": ("multiple flow on the surveyed ground", "Freeman 1991 (from memory)"),
        "map": ("multiple flow on the height map", "Freeman 1991 (from memory)"),
    }[above.how]
    least = "" if above.whole else "The survey ends below the divide: at least so much."
    made = [
        Working(
            "runoff.above.area",
            "Area that drains onto row 1",
            how[0],
            (),
            area,
            how[1],
            least,
        )
    ]
    if above.area > 0:
        made.append(
            Working(
                "runoff.above.peak",
                "Peak of the water from above",
                "A dQ/dt, Q by curve number of the rain fallen so far; no time on the way",
                (
                    Number("area", above.area, "m2"),
                    Number("curve number", above.curve_number, "-"),
                    Number("rain", found.rain.depth, "m.small"),
                ),
                Number("peak", above.peak, "m3/s"),
                "USDA SCS 1986, TR-55 2nd ed., equations 2-1 to 2-4",
                least,
            )
        )
    return made


def _state(found: Runoff, s: HillState, asked: Rain) -> list[Working]:
    rain, key = found.rain, s.key
    whole = not s.rows or found.cells >= found.area
    beside = "" if whole else (
        "The ground beside the cells stays as it is today; its runoff is weighted by its area."
    )  # fmt: skip
    number = s.curve_number[1]
    covers: dict[str, float | int | str] = {"rain": rain.depth, "curve_number": number}
    if not whole:
        bare = found.states[0].curve_number[1]
        covers["curve_number"] = f"{number:g}; beside {bare:g}"
        covers["area"] = found.cells / found.area
    made = [
        Working.of(
            f"runoff.depth.{key}",
            runoff_depth if whole else weighted_runoff,
            covers,
            s.runoff[1],
            output="runoff",
            unit="m.small",
            note=f"{s.words}. What rows hold is not in it. Dry to wet weather before: curve number "
            f"{s.curve_number[0]:.0f} to {s.curve_number[2]:.0f}. {beside}".strip(),
        ),
        Working.of(
            f"runoff.rational.{key}",
            rational_peak,
            {"coefficient": s.coefficient, "intensity": s.intensity, "area": found.area},
            s.rational,
            note="Coefficients end at 30 % of slope. Intensity of the rain of the time of "
            "concentration, no shorter than 5 minutes.",
        ).tagged(intensity="m/s.small"),
    ]
    # areas may be in any unit: here the share of the hill that lies under cells
    made[0] = made[0].tagged(area="%", rain="m.small")
    if np.isfinite(s.peak):
        given: dict[str, float | int | str] = {
            "area": found.area,
            "curve_number": number,
            "time": s.time,
            "rain": rain.depth,
            "shape": rain.peak_shape,
        }
        made.insert(
            1,
            Working.of(
                f"runoff.peak.{key}",
                graphical_peak,
                given,
                s.peak,
                output="peak",
                note=f"A time under 0.1 h counts as 0.1 h. {beside}".strip(),
            ).tagged(rain="m.small"),
        )
    if key == "bare":
        n, sheet, fall = s.sheet
        time = float(sheet_time(n, sheet, fall, rain.two_year))
        rest = f" {(s.time - time) / 60:.1f} min more below the sheet." if s.time > time else ""
        made.append(
            Working.of(
                "runoff.time",
                sheet_time,
                {"roughness": n, "length": sheet, "gradient": fall, "rain": rain.two_year},
                time,
                unit="s.small",
                note="Down the hill as it is today; under 0.1 h counts as 0.1 h in TR-55." + rest,
            ).tagged(rain="m.small")
        )
    made.append(_soil(found, s, asked))
    return made


def _soil(found: Runoff, s: HillState, asked: Rain) -> Working:
    given: dict[str, float | int | str] = {
        "erodibility": found.soil.erodibility[1],
        "ls": s.ls[1],
        "cover": s.cover[1],
        "practice": s.practice[1],
    }
    spread = f"Slope length {s.length:.2f} m."
    if s.rows:
        spread += (
            " The length of a cell's run, not of the hill, is the credit of the rows; P is not "
            "lowered for them. The ground beside the cells stays as it is today."
        )
    if asked.erosivity is None:
        share = s.loss[1] / found.states[0].loss[1] if found.states[0].loss[1] > 0 else 1.0
        return Working.of(
            f"runoff.soil.{s.key}",
            soil_loss,
            given,
            share,
            unit="%",
            note=f"R is not given: a share of what the hill loses today. {spread}",
        )
    low, high = s.loss[0] / s.loss[1], s.loss[2] / s.loss[1]
    given = {"erosivity": asked.erosivity, **given}
    made = Working.of(
        f"runoff.soil.{s.key}",
        soil_loss,
        given,
        s.loss[1] / found.area,
        note=f"Mean of the hill in a year; {low:.0%} to {high:.0%} of it is as likely. {spread}",
    )
    beside = found.area - found.cells
    if not s.rows or beside <= 0:
        return made
    parts = (
        Number("a, under cells", found.cells / found.area, "%"),
        Number("B, beside them", s.loss_beside / beside, "kg/m2"),
    )
    equation = "A = a R K LS C P + (1 - a) B"
    return replace(made, equation=equation, given=(*made.given, *parts))
