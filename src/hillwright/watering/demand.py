"""What every cell wants, litre by litre: plants, slope, growth and rain put together."""

from __future__ import annotations

import numpy as np

from hillwright.arrays import Array, Mask, frozen
from hillwright.watering import landscape, rain
from hillwright.watering.model import Climate, Demand, Planted, Rules, Soil, Store, Valves
from hillwright.watering.skyday import sky_day
from hillwright.watering.sloping import (
    diffuse_share,
    light_in_place,
    light_on_slope,
    slope_factor,
)
from hillwright.watering.tables import DAYS
from hillwright.watering.yearclimate import MIDDLE

YEARS = 5  # after planting that growth is told for
_YEAR = 365.25 * 86400  # [s]
_STEEPEST = 1.2  # [rad]
_CLEAR_SHARE = 0.15  # diffuse share of a clear day: common practice
_WIDER = 1.5  # canopy over the area of its cell from which a plant roots below it [-]
_NOTHING = 1e-12  # of a depth: rounding, not thirst [m]


def factors_of_slope(
    climate: Climate,
    slope: Array,
    aspect: Array,
    north_known: bool,
    clear: Array | None = None,
    latitude: float | None = None,
) -> Array:
    """Give reference ET on each cell's own slope over that on level ground, by month (n, 12).

    Parameters
    ----------
    climate : Climate
        Of the place.
    slope, aspect : (n,) array
        Of each cell: from level, compass bearing that it faces. [rad], [rad]
    north_known : bool
        Else no slope counts. [-]
    clear : (n, 12) array, optional
        A clear day's light on the cell itself, with ground, far horizon and grown trees in its way,
        over that on open level ground. Without it the horizon is level and nothing shades. [-]
    latitude : float, optional
        That `clear` was worked out for. [rad]
    """
    n = len(slope)
    if not north_known:
        return np.ones((n, 12))
    # nothing grows on ground steeper than this: a cell there is a slip of the survey
    plane = np.minimum(slope, _STEEPEST)[:, None]
    if clear is None or latitude is None:
        light = light_on_slope(climate.latitude, MIDDLE, plane, aspect[:, None], climate.clearness)
        return slope_factor(light.ratio, climate.sun_share)
    sunset = sky_day(latitude, MIDDLE).sunset
    share = diffuse_share(climate.clearness, sunset)
    ratio = light_in_place(clear, plane, _CLEAR_SHARE, share)
    return slope_factor(ratio, climate.sun_share)


def effective_rain(rules: Rules, total: Array, use: Array, storage: Array) -> Array:
    """Give the effective rain of months [m] by the method that the job names.

    Parameters
    ----------
    rules : Rules
        With the method's name.
    total : (12,) array
        Rain of each month. [m]
    use : (n, 12) array
        What the plants use in it. [m]
    storage : (n,) array
        Usable storage of the soil. [m]
    """
    if rules.rain_method == "fao46":
        found = np.broadcast_to(rain.effective_rain_fao46(total), use.shape)
    elif rules.rain_method == "fao rule":
        found = np.broadcast_to(rain.effective_rain_rule(total), use.shape)
    elif rules.rain_method == "share":
        found = np.broadcast_to(rain.effective_rain_share(total, rules.rain_share), use.shape)
    else:
        held = np.clip(storage, 0.0, 7 * 0.0254)[:, None]
        found = rain.effective_rain_scs(total, np.minimum(use, 1.0), held)
    return np.minimum(found, use)


def demand_of(
    climate: Climate,
    planted: Planted,
    rules: Rules,
    area: Array,
    slope: Array,
    aspect: Array,
    factor_of_slope: Array,
    storage: Array,
) -> Demand:
    """Put each cell's demand together.

    Parameters
    ----------
    climate : Climate
        Of the place.
    planted : Planted
        What grows where.
    rules : Rules
        Efficiency and how rain counts.
    area : (n,) array
        Of each cell on the map. [m2]
    slope, aspect : (n,) array
        Of each cell: from level, compass bearing that it faces. [rad], [rad]
    factor_of_slope : (n, 12) array
        Reference ET on the cell over that on level ground. [-]
    storage : (n,) array
        Readily available water, as a depth over the plants' area. [m]
    """
    there = planted.kind >= 0
    factor = np.where(there[:, None], planted.factor[planted.kind], 0.0)
    coefficient = factor * factor_of_slope
    days = np.array(DAYS)
    catch = np.where(there, np.minimum(area / np.maximum(planted.canopy, 1e-9), 1.0), 0.0)

    def net(reference: Array, months_rain: Array) -> tuple[Array, Array]:
        use = landscape.water_need(reference, coefficient)
        wet = effective_rain(rules, months_rain, use * days, storage) / days * catch[:, None]
        short = np.maximum(use - wet, 0.0)
        short = np.where(short > _NOTHING, short, 0.0)
        return np.asarray(short * planted.canopy[:, None]), np.asarray(wet)

    typical, wet = net(climate.reference, climate.rain)
    dry, dry_wet = net(climate.dry_reference, climate.dry_rain)
    bare = climate.dry_reference * coefficient * planted.canopy[:, None] / rules.efficiency
    month = int(np.argmax(bare.sum(axis=0)))
    growth = _growth(planted, (typical * days).sum(axis=1))
    e = rules.efficiency
    return Demand(
        area=frozen(area),
        slope=frozen(slope),
        aspect=frozen(aspect),
        slope_factor=frozen(factor_of_slope),
        coefficient=frozen(coefficient),
        net=frozen(typical),
        daily=frozen(typical / e),
        dry_daily=frozen(dry / e),
        wet=frozen(wet),
        dry_wet=frozen(dry_wet),
        peak=frozen(bare.max(axis=1)),
        peak_month=month,
        growth=growth,
    )


def _growth(planted: Planted, year: Array) -> Array:
    """Give the year's demand in the years after planting over that of grown plants."""
    ages = (np.arange(YEARS) + 0.5) * _YEAR  # the middle of each year stands for it
    there = (planted.kind >= 0) & (planted.canopy > 0)
    if not there.any() or year[there].sum() <= 0:
        return frozen(np.ones(YEARS))
    young, grown = (2 * np.sqrt(c[there] / np.pi) for c in (planted.young_canopy, planted.canopy))
    time = planted.grown[planted.kind[there]]
    now = landscape.canopy_area(ages[:, None], np.minimum(young, grown), grown, time)
    share = now / planted.canopy[there]
    return frozen(np.asarray((share * year[there]).sum(axis=1) / year[there].sum()))


def spreads(planted: Planted, area: Array) -> Mask:
    """Tell which cells hold a plant that shades far more than the cell: it roots below, and wider.

    An open-bottom cell is where such a plant begins, not where its roots end.
    """
    return (planted.kind >= 0) & (planted.canopy > _WIDER * area)


def store_of(planted: Planted, soil: Soil, valves: Valves, wetted: Array, area: Array) -> Store:
    """Give the soil of each cell as a store, in depths over the plants' own area.

    Parameters
    ----------
    planted : Planted
        Roots, canopy and allowed depletion.
    soil : Soil
        What it holds, and how deep.
    valves : Valves
        The flow of each cell's emitters.
    wetted : (n,) array
        Ground that the emitters wet. [m2]
    area : (n,) array
        Of each cell on the map. [m2]
    """
    there = planted.kind >= 0
    kind = np.maximum(planted.kind, 0)
    canopy = np.where(there, np.maximum(planted.canopy, 1e-6), 1.0)
    volume = soil.available * root_depth(planted, soil, area) * wetted
    return Store(
        total=frozen(np.where(there, np.maximum(volume / canopy, 1e-6), 1.0)),
        depletion=frozen(np.where(there, planted.depletion[kind], 0.5)),
        catch=frozen(np.where(there, np.minimum(area / canopy, 1.0), 0.0)),
        rate=frozen(np.where(there, valves.flow / canopy, 0.0)),
    )


def root_depth(planted: Planted, soil: Soil, area: Array) -> Array:
    """Give how deep the roots of each cell draw water: to its base, or their own depth [m]."""
    roots = planted.roots[np.maximum(planted.kind, 0)]
    wide = spreads(planted, area)
    return np.asarray(np.where(wide, np.maximum(roots, soil.depth), np.minimum(roots, soil.depth)))
