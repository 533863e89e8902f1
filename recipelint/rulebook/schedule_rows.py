"""Rows of the tables about when and in what: rests, steps, stages, vessels, packages, promises, style."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Any

from recipelint.brewing.gas import KEG_RATING, mark_of
from recipelint.brewing.heat import heating_rate, mash_heat
from recipelint.brewing.package import relief_of, shut
from recipelint.recipe import forms
from recipelint.recipe.model import Step
from recipelint.recipe.quantity import Quantity
from recipelint.recipe.stat_names import STATS
from recipelint.rulebook.rows import Columns, Row
from recipelint.rulebook.singles import style_row, value_of
from recipelint.rulebook.slips import heat_slip
from recipelint.rulebook.units import show

if TYPE_CHECKING:
    from recipelint.rulebook.tables import Tables

# Fusel and solvent notes come from the first days of growth, so a step that starts later is a rest, not the
# fermentation.
EARLY_HOURS = 60.0
FINISHED = 10.0 * 24.0  # h after which an ordinary beer is taken as finished; common practice


def rest_rows(tables: Tables) -> list[Row]:
    rows: list[Row] = []
    before: float | None = None
    mash = tables.recipe.mash
    way = _Way(tables)
    for rest in mash.rests if mash else ():
        row = Row(_RESTS, rest.at, rest, (before, mash.heating if mash else None), way)
        rows.append(row)
        before = value_of(rest.temperature)
    return rows


class _Way:
    """How the mash comes to each rest, worked out once and only for rules that ask."""

    __slots__ = ("_brew", "_facts", "house")

    def __init__(self, tables: Tables) -> None:
        self._brew = tables.brew
        self._facts: dict[str, Any] | None = None
        self.house = tables.brew.brewhouse

    def of(self, row: Row) -> Any:
        """The step to the rest of this row; None where nothing is mashed."""
        if self._facts is None:
            self._facts = {step.at: step for step in self._brew.steps}
        return self._facts.get(row.written.at)


def _step(name: str) -> Callable[[Row], float | None]:
    def value(row: Row) -> float | None:
        step = row.around.of(row)
        found: float | None = getattr(step, name) if step is not None else None
        return found

    return value


def _steered(row: Row) -> bool:
    """Whether something is poured in or boiled on the way to a rest, so that it could lead elsewhere."""
    rest = row.written
    if (rest.by or row.fact[1]) in ("infusion", "decoction"):
        return True
    return any(each is not None for each in (rest.liquor, rest.of, rest.share, rest.pull))


def _missed(row: Row) -> float | None:
    """K by which what is written leads past the rest, or short of it."""
    step = row.around.of(row)
    if step is None or step.by == "direct" or step.reached is None or step.target is None:
        return None
    missed: float = step.reached - step.target
    return missed


def _way_words(row: Row) -> str:
    """What goes into the mash or comes out of it on the way to a rest, as written or computed."""
    step = row.around.of(row)
    if step is None:
        return ""
    if step.pulled is not None:
        return f"boiling {show(step.pulled.share, '1', 0)} of it"
    if step.liquor_at is None:
        return ""
    return f"{show(step.liquor, 'L')} at {show(step.liquor_at, '°C', 0)}"


def _takes(row: Row) -> str:
    """What would lead to the rest; empty where nothing does."""
    step = row.around.of(row)
    if step is None or step.needed is None:
        return ""
    if step.by == "decoction":
        return show(step.needed, "1", 0)
    if step.by == "infusion" and not step.open_:
        return show(step.needed, "L")
    return show(step.needed, "°C", 0)


def _stuck(row: Row) -> str:
    """Why a rest cannot be reached at all; empty where it can."""
    step = row.around.of(row)
    for trouble in step.troubles if step is not None else ():
        if trouble.what == "cooler":
            return (
                f"the mash stands at {show(trouble.limit, '°C', 0)}, and this way of heating does not cool it"
            )
        if trouble.what == "liquor-off" and step.needed is None:
            return f"liquor at {show(trouble.value, '°C', 0)} does not lead there"
        if trouble.what == "pull-too-large":
            most = show(trouble.limit, "1", 0)
            return f"it takes {show(trouble.value, '1', 0)} of the mash, and {most} can be pulled"
    return ""


def _rest_start(row: Row) -> float | None:
    rest = row.written
    return value_of(rest.from_ if rest.from_ is not None else rest.temperature)


def _rest_rise(row: Row) -> float | None:
    start, before = _rest_start(row), row.fact[0]
    return start - before if start is not None and before is not None else None


def _heats_in(row: Row) -> float | None:
    """Minutes in which the vessel can heat the mash to a rest; None where no rate and no power is written for it.

    By its heating rate, else by the power of the kettle where the mash is heated in it: all of it for grain and liquor,
    nothing for walls and air, so that no such kettle is faster.
    """
    house, rise = row.around.house, row["rise"]
    if house is None or rise is None or rise <= 0.0 or row["steered"]:
        return None
    vessel = house.mash
    if vessel is not None and vessel.heating_rate is not None:
        rate: float = vessel.heating_rate.value
    else:
        power = value_of(house.kettle.power) if house.kettle is not None else None
        step = row.around.of(row) if vessel is not None and vessel.kind in _HEATED_IN else None
        if power is None or step is None or not step.thickness:
            return None
        rate = heating_rate(1000.0 * power, mash_heat(step.total / step.thickness, step.total))
    minutes: float | None = rise / rate if rate > 0.0 else None
    return minutes


# Vessels in which the kettle's own power heats the mash.
_HEATED_IN = ("bag", "recirculated")

_RESTS: Columns = {
    "name": lambda row: row.written.name or f"rest {row['number']}",
    "by": lambda row: row.written.by or row.fact[1] or "",
    "pull": lambda row: row.written.pull or "",
    "temperature": lambda row: value_of(row.written.temperature),
    "start": _rest_start,
    "minutes": lambda row: value_of(row.written.for_),
    "liquor": lambda row: value_of(row.written.liquor),
    "rise": _rest_rise,
    "slip": lambda row: heat_slip(row.written.temperature, 30.0, 80.0),
    "steered": _steered,
    "reached": _step("reached"),
    "missed": _missed,
    "thickness": _step("thickness"),
    "heating_time": _step("ramp"),
    "over": lambda row: value_of(row.written.over),
    "heats_in": _heats_in,
    "way": _way_words,
    "takes": _takes,
    "stuck": _stuck,
}


def _heat(step: Step) -> Quantity | None:
    """The temperature that a step is at, or comes to."""
    return step.to if step.to is not None else step.temperature


class _StepFact:
    """A step of the fermentation beside those before it: hours from pitching, °C (of the room if ``of_room``).

    rested: steps before it, in the warmth, have waited until the beer is still, or have had FINISHED for it.
    """

    __slots__ = ("before", "heat", "hours", "last", "of_room", "rested", "start", "waits")

    def __init__(
        self, step: Step, start: float | None, before: float | None, last: bool, rested: bool
    ) -> None:
        self.heat = value_of(_heat(step))
        self.of_room = step.of == "room"
        self.start = start
        self.before = before
        self.last = last
        self.waits = forms.waits_until_still(step.until)
        self.rested = rested
        self.hours = value_of(step.for_)
        if step.over is not None:
            self.hours = step.over.value + (self.hours or 0.0)


def _step_rise(row: Row) -> float | None:
    fact = row.fact
    if fact.of_room or fact.heat is None or fact.before is None:
        return None
    rise: float = fact.heat - fact.before
    return rise


_STEPS: Columns = {
    "name": lambda row: f"step {row['number']}",
    "climbs": lambda row: row.written.rise or "",
    "until": lambda row: row.written.until or "",
    "waits_until_still": lambda row: row.fact.waits,
    "rested": lambda row: row.fact.rested,
    "temperature": lambda row: None if row.fact.of_room else row.fact.heat,
    "stands_at": lambda row: row.fact.heat,
    "room": lambda row: row.fact.heat if row.fact.of_room else None,
    "of_room": lambda row: row.fact.of_room,
    "rise": _step_rise,
    "start": lambda row: row.fact.start,
    "hours": lambda row: row.fact.hours,
    "first": lambda row: row["number"] == 1,
    "last": lambda row: row.fact.last,
    "early": lambda row: row["number"] == 1 or (row.fact.start is not None and row.fact.start < EARLY_HOURS),
    "slip": lambda row: heat_slip(_heat(row.written), -2.0, 40.0),
}


def step_rows(tables: Tables) -> list[Row]:
    rows: list[Row] = []
    start: float | None = 0.0
    before: float | None = None
    rested, warm = False, 0.0
    lows = [each.temperature_low for each in tables.brew.cultures if each.temperature_low is not None]
    coolest = min(lows, default=-math.inf)
    steps = tables.recipe.fermentation
    for number, step in enumerate(steps, 1):
        fact = _StepFact(step, start, before, number == len(steps), rested or warm >= FINISHED)
        works = fact.heat is None or fact.heat >= coolest
        rested = rested or (fact.waits and works)
        warm += (fact.hours or 0.0) if works else 0.0
        rows.append(Row(_STEPS, step.at, step, fact))
        start = (
            start + fact.hours if start is not None and fact.hours is not None and not step.until else None
        )
        before = None if fact.of_room else fact.heat
    return rows


def vessel_rows(tables: Tables) -> list[Row]:
    return [Row(_VESSELS, fact.at, None, fact) for fact in tables.brew.vessels]


_VESSELS: Columns = {
    "name": lambda row: row.fact.name,
    "capacity": lambda row: row.fact.capacity,
    "filled": lambda row: row.fact.filled,
    "fill": lambda row: row.fact.fill,
}


def _stage_rise(row: Row) -> float | None:
    heat, before = value_of(row.written.temperature), row.fact[1]
    return heat - before if heat is not None and before is not None else None


# In the name of a vessel: what says that it is of glass, and what says that it is not.
_GLASS = ("glass", "carboy", "demijohn", "jar")
_OTHER = ("steel", "stainless", "plastic", "pet ", "pet-")


def _of_glass(row: Row) -> bool:
    """Whether the vessel, named here or at the stage before, is one of glass by its name."""
    name = row.fact[3].lower()
    return any(word in name for word in _GLASS) and not any(word in name for word in _OTHER)


def _holds(row: Row) -> float | None:
    """Litres of beer in the vessel of a stage: without the lees of the fermenter once it has been racked."""
    from recipelint.brewing.conditioning import rackings

    stages, facts = row.around
    racked = any(index < row["number"] for index in rackings(stages))
    litres: float | None = facts["package_volume" if racked else "fermenter_volume"]
    return litres


# Of a stage, ``fact`` is when it begins, the temperature of the one before it, whether it is the last, and the name of
# its vessel; ``around`` are all stages and the facts.
_STAGES: Columns = {
    "name": lambda row: row.written.vessel or f"stage {row['number']}",
    "vessel": lambda row: row.written.vessel or "",
    "racked": lambda row: row.written.racked,
    "purged": lambda row: bool(row.written.purged),
    "temperature": lambda row: value_of(row.written.temperature),
    "start": lambda row: row.fact[0],
    "hours": lambda row: value_of(row.written.for_),
    "capacity": lambda row: value_of(row.written.capacity),
    "relief": lambda row: value_of(row.written.relief),
    "of_glass": _of_glass,
    "holds": _holds,
    "last": lambda row: row.fact[2],
    "rise": _stage_rise,
}


def stage_rows(tables: Tables) -> list[Row]:
    rows: list[Row] = []
    start: float | None = 0.0
    before: float | None = None
    vessel = ""
    stages = tables.recipe.conditioning
    for number, stage in enumerate(stages, 1):
        vessel = stage.vessel or vessel
        fact = start, before, number == len(stages), vessel
        rows.append(Row(_STAGES, stage.at, stage, fact, (stages, tables.facts)))
        start = start + stage.for_.value if start is not None and stage.for_ is not None else None
        before = value_of(stage.temperature)
    return rows


def package_rows(tables: Tables) -> list[Row]:
    gas = _Gas(tables)
    return [Row(_PACKAGES, package.at, package, around=gas) for package in tables.recipe.packaging]


class _Gas:
    """The gas and the pressure of all packages, worked out once and only for rules that ask."""

    __slots__ = ("_brew", "_facts")

    def __init__(self, tables: Tables) -> None:
        self._brew = tables.brew
        self._facts: Sequence[Any] | None = None

    def of(self, row: Row) -> Any:
        """What the brew says of the package of this row."""
        if self._facts is None:
            self._facts = self._brew.packages
        return self._facts[row["number"] - 1]


def _priming_weight(row: Row) -> float | None:
    priming = row.written.priming
    return value_of(priming.weight) if priming is not None else None


def _stored(row: Row) -> float | None:
    store = row.written.store
    return value_of(store.temperature) if store is not None else None


def _rating(row: Row) -> float | None:
    """What a package bears (bar), as new where the recipe gives no rating; of a range its lower end.

    A bottle of no word, and a package of none, is taken for the usual bottle: whoever writes least has most need of the
    warning. A keg is taken for the usual one.
    """
    package = row.written
    if package.rated is not None:
        found: float = package.rated.value if package.rated.low is None else package.rated.low
        return found
    if package.into == "keg":
        return KEG_RATING
    mark = mark_of(package.glass or ("standard" if package.into in ("bottle", None) else ""))
    return mark.rating if mark is not None else None


def _rating_assumed(row: Row) -> bool:
    package = row.written
    if package.rated is not None:
        return False
    return package.into == "keg" or (package.into in ("bottle", None) and package.glass is None)


def _assumed(row: Row) -> str:
    """Words to hang on a message about pressure: what was taken because it is not written."""
    kind = "a keg of the usual kind" if row.written.into == "keg" else "standard glass"
    assumed: bool = row["rating_assumed"]
    if not row["warmest_assumed"]:
        return f"; taken as {kind}, since none is written" if assumed else ""
    heat = show(row["warmest"], "°C", 0)
    if assumed:
        return f"; taken as {kind} at {heat}, since neither is written"
    return f"; taken at {heat}, since no store is written"


_PACKAGES: Columns = {
    "name": lambda row: row.written.into or f"package {row['number']}",
    "into": lambda row: row.written.into or "",
    "glass": lambda row: row.written.glass or "",
    "priming": lambda row: (row.written.priming.sugar or "") if row.written.priming is not None else "",
    "primed": lambda row: row.written.priming is not None,
    "yeasted": lambda row: row.written.yeast is not None,
    "rest": lambda row: row.written.rest,
    "priming_weight": _priming_weight,
    "carbonation_wanted": lambda row: value_of(row.written.carbonation),
    "rated": lambda row: value_of(row.written.rated),
    "pressure": lambda row: value_of(row.written.pressure),
    "relief": lambda row: value_of(row.written.relief),
    "vented": lambda row: relief_of(row.written) is not None,
    "opened": lambda row: not shut(row.written),
    "in_the_end": lambda row: row.around.of(row).in_the_end,
    "valve_holds": lambda row: row.around.of(row).valve_holds,
    "temperature": lambda row: value_of(row.written.temperature),
    "volume": lambda row: value_of(row.written.volume),
    "volume_written": lambda row: row.written.volume is not None,
    "filled": lambda row: row.around.of(row).volume,
    "stored": _stored,
    "warmest": lambda row: row.around.of(row).warmest,
    "warmest_assumed": lambda row: row.around.of(row).warmest_assumed,
    "rating": _rating,
    "rating_written": lambda row: row.written.rated is not None,
    "rating_assumed": _rating_assumed,
    "assumed": _assumed,
    "bears": lambda row: "glass" if row.written.into in ("bottle", None) else f"a {row.written.into}",
    "pressure_needed": lambda row: row.around.of(row).keg_pressure,
    "primes": lambda row: row.around.of(row).primes,
    "made": lambda row: row.around.of(row).carbonation,
    "priming_written": lambda row: row.written.priming is not None and row.written.priming.weight is not None,
    "peak": lambda row: row.around.of(row).pressure,
    "worst": lambda row: row.around.of(row).pressure_at_worst,
    "goes_on": lambda row: row.around.of(row).goes_on,
}


_PROMISES: Columns = {
    "name": lambda row: row.written.stat,
    "low": lambda row: row.written.low,
    "high": lambda row: row.written.high,
    "value": lambda row: row.written.value,
    "computed": lambda row: row.written.stat in STATS and row.around[row.written.stat] is not None,
}


def promise_rows(tables: Tables) -> list[Row]:
    return [Row(_PROMISES, promise.at, promise, around=tables.facts) for promise in tables.recipe.expect]


def style_rows_of(tables: Tables) -> list[Row]:
    if tables.style is None:
        return []
    choice = tables.recipe.style
    row = Row(_STYLE, choice.at if choice else "", choice)
    row.update(style_row(tables.style))
    return [row]


_STYLE: Columns = {}  # its columns are made together
