"""The plan: a recipe, a brewhouse and the catalogue laid flat into plain numbers, once, before anything is brewed.

Everything that is left out in the files is settled here and only here: a catalogue row, the brewhouse's
figure or a stated default. What had to be assumed is kept in ``Plan.assumed``, in words, so that a report can
show it.

Masses kg, volumes L at 20 °C, boil and mash times min, temperatures °C, shares and yields fractions.
"""

from typing import NamedTuple

from recipelint.brewing import kit as kits
from recipelint.brewing.bitterness import alpha_left
from recipelint.brewing.colour import lovibond_from_ebc
from recipelint.brewing.dissolving import unmashed
from recipelint.brewing.gravity import yield_as_is
from recipelint.brewing.kit import Assumed, Kit
from recipelint.recipe.catalogue import Addition, Catalogue, Fermentable, Hop, Water
from recipelint.recipe.catalogue import Culture as CultureRow
from recipelint.recipe.model import Brewhouse, Culture, GristItem, HopItem, Recipe, Timing
from recipelint.recipe.quantity import Quantity

MASHED = frozenset(("mash",))
KETTLE = frozenset(("first_wort", "boil", "whirlpool"))
STAGED = frozenset(("ferment", "condition"))
GRAIN_KEYS = frozenset(("malt", "grain"))
_WET_KEYS = frozenset(("sugar", "extract", "fruit"))  # what is not extract in them is taken for water
THOROUGH = "glucoamylase"
FREE_DEXTRINS = frozenset((THOROUGH, "alpha-amylase"))
FREE_LACTOSE = frozenset(("lactase",))
_TIMED_KINDS = ("before-end", "contact")
_new = tuple.__new__

UNTOLD_MINUTES = 20.0  # of hops whose time is not written: the middle of what they may give, with a wide band
DEFAULT_BOIL = 60.0  # min, common practice
DEFAULT_YIELD = {
    "malt": 0.76,
    "grain": 0.70,
    "sugar": 0.98,
    "extract": 0.80,
    "fruit": 0.10,
}  # of an unknown row; from memory
DEFAULT_ALPHA_NOBLE = 0.05  # of an unknown hop; from memory, wide band
HALF_YEAR_LOSS = 0.35  # of alpha at 20 °C in the open, of a variety without a figure; from memory
COLD_STORE = 4.0  # °C that aged hops are taken to lie at; common practice
SEALED = 0.75  # of the loss in the open, in a closed bag; from memory
DEFAULT_MOISTURE = 0.04  # base malt; equations in print use 3-5 %
GOES_FURTHER = 0.03  # attenuation by which one culture takes what another leaves; common practice, no source
PELLET_SOAK = 6.0  # L/kg of wort held by pellets; from memory
CONE_SOAK = 5.0  # L/kg; drained cones were measured at 4.86 g water a gram
DRY_HOP_SOAK = 10.0  # L/kg of beer left with dry hops; a practitioner's log
MODELS = {"bitterness": "tinseth", "colour": "morey"}


class Line(NamedTuple):
    """One line of the bill, ready to brew."""

    at: str
    key: str
    id: str
    name: str
    kind: str
    stage: str
    timing: Timing | None
    minutes: float | None
    weight: float
    extract: float
    water: float
    fermentability: float | None
    moisture: float
    lovibond: float
    ebc: float
    starch: bool
    lintner: float | None
    sugar_kind: str
    counts_as_malt: float
    measured: bool
    known: bool
    row: Fermentable | None


class Hopping(NamedTuple):
    """One line of the hops, ready to brew.

    Alpha is a fraction on the brew day, ``fresh`` what it was before storage took its part, as on the packet; stand
    figures are of the hot stand after the boil.
    """

    at: str
    id: str
    name: str
    stage: str
    timing: Timing | None
    minutes: float
    timed: bool
    weight: float
    alpha: float
    alpha_half: float
    fresh: float
    form: str
    temperature: float | None
    held: bool
    known: bool
    alpha_given: bool
    row: Hop | None


class Pitch(NamedTuple):
    """One culture, ready to pitch: attenuation apparent, of sugar-free malt wort."""

    at: str
    id: str
    name: str
    form: str
    stage: str
    attenuation_low: float | None
    attenuation: float | None
    attenuation_high: float | None
    attenuation_given: bool
    tolerance_low: float | None
    tolerance_high: float | None
    temperature_low: float | None
    temperature_high: float | None
    eats_dextrins: bool
    always_eats_dextrins: bool
    eats_lactose: bool
    starter_volume: float
    starter_gravity: float
    known: bool
    row: CultureRow | None


class Plan(NamedTuple):
    """All that the process needs, as plain numbers. Build it with ``plan()``."""

    recipe: Recipe
    brewhouse: Brewhouse | None
    kit: Kit
    lines: tuple[Line, ...]
    hops: tuple[Hopping, ...]
    cultures: tuple[Pitch, ...]
    fresh: tuple[Pitch | None, ...]  # yeast of each package that would go on eating
    at_worst: tuple[Pitch, ...]  # the cultures, and that of all packages
    enzymes: frozenset[str]  # those that free sugar for the yeast and that no boil stops
    thorough: bool  # glucoamylase is in it, which leaves no dextrins: how far it goes is not known
    wish: float
    into: str
    boil_minutes: float
    top_up: float | None
    boil_volume: float | None
    fermenter_wish: float | None
    priming_rows: tuple[Fermentable | None, ...]
    addition_rows: tuple[Addition | None, ...]  # one for each addition of the recipe
    water_rows: tuple[Water | None, ...]  # one for each of its waters
    models: dict[str, str]
    by_share: bool
    assumed: tuple[Assumed, ...]
    unsettled: str = ""  # why no weights, or no volume, could be found
    came: float | None = None  # litres that came into the fermenter, where that is not what was planned


def lines_of(recipe: Recipe, catalogue: Catalogue, assumed: list[Assumed]) -> tuple[Line, ...]:
    """The bill against the catalogue; a lot, then what the recipe writes, beats the general row."""
    return unmashed(tuple([_line(item, catalogue, recipe, assumed) for item in recipe.grist]), recipe.grist)


def _line(item: GristItem, catalogue: Catalogue, recipe: Recipe, assumed: list[Assumed]) -> Line:
    key, ident, _ = item.what
    row: Fermentable | None = catalogue.row(key, ident, item.lot)  # type: ignore[assignment]
    stage, minutes = _grist_stage(item, row, recipe)
    moisture = item.moisture.value if item.moisture is not None else row.moisture if row is not None else None
    extract = _extract(item, row, moisture, assumed)
    ebc = item.colour.value if item.colour is not None else (row.colour or 0.0) if row is not None else 0.0
    fermentability = row.fermentability if row is not None else None
    if key in GRAIN_KEYS:
        fermentability = None
    elif fermentability is None and (key == "sugar" or key == "fruit"):
        fermentability = 1.0
    amount = item.weight if item.weight is not None else item.share
    if row is not None:
        known = row.id, row.name or row.id, row.kind or ""
        starch, sugar_kind, lintner = row.starch, row.sugar_kind or "", row.diastatic_power
    else:
        known = ident, ident, ""
        starch, sugar_kind, lintner = None, "fully-fermentable" if key == "sugar" else "", None
    # By position and past the constructor, in the order of the fields: every check of a recipe comes by here.
    line: Line = _new(
        Line,
        (
            item.at, key, *known, stage, item.when, minutes,
            amount.value if amount is not None else 0.0,
            extract,
            max(0.0, 1.0 - extract) if key in _WET_KEYS else 0.0,
            item.fermentability.value if item.fermentability is not None else fermentability,
            DEFAULT_MOISTURE if moisture is None else moisture,
            lovibond_from_ebc(ebc) if ebc > 0.0 else 0.0,
            ebc,
            starch if starch is not None else key in GRAIN_KEYS,
            item.diastatic_power.value if item.diastatic_power is not None else lintner,
            sugar_kind,
            (row.counts_as_malt or 1.0) if row is not None else 1.0,
            item.yield_ is not None or (row is not None and row.origin == "lot"),
            row is not None, row,
        ),
    )  # fmt: skip
    return line


def _extract(
    item: GristItem, row: Fermentable | None, moisture: float | None, assumed: list[Assumed]
) -> float:
    """Extract as a fraction of the weight as it is weighed."""
    key = item.what.key
    wet = DEFAULT_MOISTURE if moisture is None else moisture
    if item.yield_:
        dry = item.yield_.unit == "dry" or (item.yield_.unit not in ("dry", "as-is") and key in GRAIN_KEYS)
        if item.yield_.unit in ("L°/kg", "ppg"):
            dry = False
        return yield_as_is(item.yield_.value, wet) if dry else item.yield_.value
    if row is not None and row.yield_ is not None:
        return yield_as_is(row.yield_, wet) if row.yield_basis == "dry" else row.yield_
    assumed.append((f"yield of {item.what.id}", DEFAULT_YIELD.get(key, 0.0)))
    return DEFAULT_YIELD.get(key, 0.0)


def _grist_stage(item: GristItem, row: Fermentable | None, recipe: Recipe) -> tuple[str, float | None]:
    """Where a line goes in.

    What is written, else mash for grain and boil for the rest (steep where nothing is mashed).
    """
    when = item.when
    if when is not None:
        timed = when.kind in _TIMED_KINDS
        return when.stage, when.value.value if timed and when.value else None
    if item.steep is not None:
        return "steep", None
    if item.what.key in GRAIN_KEYS:
        return ("mash", None) if recipe.mash is not None or _converts(recipe) else ("steep", None)
    if item.what.key == "fruit":
        return "ferment", None
    return "boil", None


def _converts(recipe: Recipe) -> bool:
    """Without a mash section the grain is taken as mashed unless a malt extract makes the beer."""
    return not any(item.what.key == "extract" for item in recipe.grist)


def kilograms(amount: Quantity | None, litres: float) -> float:
    """An amount as a mass (kg): written so, or in g/L of the batch."""
    if amount is None:
        return 0.0
    return amount.value * litres / 1000.0 if amount.kind == "concentration" else amount.value


def hops_of(recipe: Recipe, catalogue: Catalogue, assumed: list[Assumed]) -> tuple[Hopping, ...]:
    """The hops against the catalogue.

    Alpha as written, else of the lot, else the middle of the variety's range.
    """
    litres = recipe.batch.volume.value if recipe.batch.volume else 0.0
    return tuple([_hopping(item, catalogue, litres, recipe.brew_date, assumed) for item in recipe.hops])


def _kept(item: HopItem, row: Hop | None, brew_date: str | None, assumed: list[Assumed]) -> float:
    """Share of the alpha that is left after the age that the recipe writes; 1 where it writes none."""
    if item.age is not None:
        days = item.age.value / 24.0
    elif item.harvest is not None and brew_date is not None:
        days = days_between(item.harvest, brew_date)
    else:
        return 1.0
    loss = None
    if row is not None and row.storage_loss is not None:
        sides = [side for side in row.storage_loss if side is not None]
        loss = sum(sides) / len(sides) if sides else None
    if loss is None:
        loss = HALF_YEAR_LOSS
        assumed.append((f"loss of alpha of {item.what.id} in half a year at 20 °C", loss))
    heat = item.stored_at.value if item.stored_at is not None else COLD_STORE
    return alpha_left(loss, max(days, 0.0), heat, SEALED)


def days_between(earlier: str, later: str) -> float:
    """Days from one written date to another (year, month, day; what is missing counts as the first): 30.4 a month."""
    one, two = (
        [int(part) for part in date.split("-")] + [1] * (3 - len(date.split("-")))
        for date in (earlier, later)
    )
    return (two[0] - one[0]) * 365.25 + (two[1] - one[1]) * 30.4 + (two[2] - one[2])


def _hopping(
    item: HopItem, catalogue: Catalogue, litres: float, brew_date: str | None, assumed: list[Assumed]
) -> Hopping:
    row = catalogue.hop(item.what.id, item.lot)
    low, high = row.alpha if row and row.alpha else (None, None)
    given = item.alpha is not None
    if item.alpha is not None:
        alpha = item.alpha.value
        half = (
            (item.alpha.high - item.alpha.low) / 2.0 if item.alpha.high and item.alpha.low else 0.05 * alpha
        )
    elif low is not None and high is not None:
        alpha, half = (low + high) / 2.0, max((high - low) / 2.0, 0.05 * high)
        given = bool(row and row.origin == "lot")
    else:
        alpha, half = DEFAULT_ALPHA_NOBLE, 0.5 * DEFAULT_ALPHA_NOBLE
        assumed.append((f"alpha of {item.what.id}", DEFAULT_ALPHA_NOBLE))
    left = _kept(item, row, brew_date, assumed)
    fresh, alpha, half = alpha, alpha * left, half * left
    when = item.when
    time = when.value if when is not None and when.kind in _TIMED_KINDS else None
    hopping: Hopping = _new(
        Hopping,
        (
            item.at,
            row.id if row is not None else item.what.id,
            (row.name or row.id) if row is not None else item.what.id,
            when.stage if when is not None else "boil",
            when,
            time.value if time is not None else UNTOLD_MINUTES,
            time is not None,
            kilograms(item.weight, litres),
            alpha, half, fresh,
            item.form or "pellet",
            item.temperature.value if item.temperature is not None else None,
            bool(item.held), row is not None, given, row,
        ),
    )  # fmt: skip
    return hopping


def cultures_of(recipe: Recipe, catalogue: Catalogue) -> tuple[Pitch, ...]:
    """The cultures: what the brewer has seen (``attenuation``, ``tolerance``) beats the catalogue."""
    return tuple(_pitch(item, catalogue) for item in recipe.yeast)


def _packaged_with(
    recipe: Recipe, catalogue: Catalogue, cultures: tuple[Pitch, ...]
) -> tuple[Pitch | None, ...]:
    """Fresh yeast of each package that goes on where the cultures stop: at dextrins, at lactose, or at a sugar of the
    malt that they leave; None where there is none.

    One that goes about as far is given so little and so late that it lives on the priming sugar.
    """
    known = [pitch.attenuation for pitch in cultures if pitch.attenuation is not None]
    reached = max(known, default=1.0) + GOES_FURTHER

    def fresh(item: Culture | None) -> Pitch | None:
        pitch = None if item is None else _pitch(item, catalogue)
        if pitch is None or pitch.eats_dextrins or pitch.eats_lactose or (pitch.attenuation or 0.0) > reached:
            return pitch
        return None

    return tuple([fresh(package.yeast) for package in recipe.packaging])


def _lasting_enzymes(recipe: Recipe, catalogue: Catalogue) -> frozenset[str]:
    """Enzymes that go on making food of what yeast leaves: in the fermenter or package, or where no boil ends them."""
    boiled = recipe.boil is None or recipe.boil.for_ is None or recipe.boil.for_.value > 0.0
    found: set[str] = set()
    for item in recipe.additions:
        row = catalogue.addition(item.what.id)
        if row is None or item.when is None:
            continue
        late = item.when.stage in ("ferment", "condition", "package")
        if late or not boiled:
            found.add(row.id)
    return (FREE_DEXTRINS | FREE_LACTOSE) & found


def _thorough(recipe: Recipe, catalogue: Catalogue) -> bool:
    """Whether an enzyme in the mash leaves no dextrins that a boil would keep."""
    rows = [catalogue.addition(item.what.id) for item in recipe.additions]
    return any(row is not None and row.id == THOROUGH for row in rows)


def _pitch(item: Culture, catalogue: Catalogue) -> Pitch:
    row = catalogue.culture(item.what.id, item.lot)
    low, high = row.attenuation if row and row.attenuation else (None, None)
    middle = (low + high) / 2.0 if low is not None and high is not None else None
    if item.attenuation is not None:
        middle = item.attenuation.value
        low = item.attenuation.low if item.attenuation.low is not None else middle
        high = item.attenuation.high if item.attenuation.high is not None else middle
    tolerance = row.tolerance if row and row.tolerance else (None, None)
    if item.tolerance is not None:
        tolerance = (item.tolerance.low or item.tolerance.value, item.tolerance.high or item.tolerance.value)
    warm = row.temperature if row and row.temperature else (None, None)
    starter = item.starter
    unsettled = starter is not None and starter.volume is not None and not starter.settled
    return Pitch(
        at=item.at,
        id=row.id if row else item.what.id,
        name=(row.name or row.id) if row else item.what.id,
        form=item.form or "",
        stage=item.when.stage if item.when else "pitch",
        attenuation_low=low,
        attenuation=middle,
        attenuation_high=high,
        attenuation_given=item.attenuation is not None,
        tolerance_low=tolerance[0],
        tolerance_high=tolerance[1],
        temperature_low=warm[0],
        temperature_high=warm[1],
        eats_dextrins=bool(row and row.eats_dextrins in ("yes", "possible")),
        always_eats_dextrins=bool(row and row.eats_dextrins == "yes"),
        eats_lactose=bool(row and row.eats_lactose in ("yes", "possible")),
        starter_volume=starter.volume.value if unsettled and starter and starter.volume else 0.0,
        starter_gravity=starter.gravity.value if starter and starter.gravity else 1.037,
        known=row is not None,
        row=row,
    )


def boil_minutes(recipe: Recipe, assumed: list[Assumed]) -> float:
    """Length of the boil: written, else the longest hop addition, else the stated default."""
    if recipe.boil is not None and recipe.boil.for_ is not None:
        return recipe.boil.for_.value
    longest = max(
        (
            hop.when.value.value
            for hop in recipe.hops
            if hop.when and hop.when.stage == "boil" and hop.when.kind == "before-end" and hop.when.value
        ),
        default=0.0,
    )
    if longest > 0.0:
        assumed.append(("boil (min) as long as the first hops", longest))
        return longest
    assumed.append(("boil (min)", DEFAULT_BOIL))
    return DEFAULT_BOIL


def _priming_rows(recipe: Recipe, catalogue: Catalogue) -> tuple[Fermentable | None, ...]:
    """The row of each package's priming sugar; None where it has none or an unknown one."""
    return tuple(
        catalogue.fermentable("sugar", package.priming.sugar)
        if package.priming and package.priming.sugar
        else None
        for package in recipe.packaging
    )


def plan(
    recipe: Recipe, brewhouse: Brewhouse | None, catalogue: Catalogue, models: dict[str, str] | None = None
) -> Plan:
    """Lay a recipe flat for brewing on this brewhouse.

    ``batch.volume`` is the wish and everything else follows from it. In a bill of shares the weights are
    solved for the wished original gravity by ``process.weigh()``; until then ``Line.weight`` holds the share.
    """
    assumed: list[Assumed] = []
    wish = recipe.batch.volume.value if recipe.batch.volume else 0.0
    cultures = cultures_of(recipe, catalogue)
    fresh = _packaged_with(recipe, catalogue, cultures)
    lines = lines_of(recipe, catalogue, assumed)
    return Plan(
        recipe=recipe,
        brewhouse=brewhouse,
        kit=kits.kit_of(brewhouse, wish, assumed),
        lines=lines,
        hops=hops_of(recipe, catalogue, assumed),
        cultures=cultures,
        fresh=fresh,
        at_worst=cultures + tuple(pitch for pitch in fresh if pitch is not None),
        enzymes=_lasting_enzymes(recipe, catalogue),
        thorough=_thorough(recipe, catalogue),
        wish=wish,
        into=recipe.batch.into,
        boil_minutes=boil_minutes(recipe, assumed),
        top_up=recipe.top_up.volume.value if recipe.top_up and recipe.top_up.volume else None,
        boil_volume=recipe.boil.volume.value if recipe.boil and recipe.boil.volume else None,
        fermenter_wish=wish if recipe.batch.into == "fermenter" else None,
        priming_rows=_priming_rows(recipe, catalogue),
        addition_rows=tuple([catalogue.addition(item.what.id, item.lot) for item in recipe.additions]),
        water_rows=tuple([catalogue.water(one.source) if one.source else None for one in recipe.water]),
        models={**MODELS, **(models or {})},
        by_share=any(item.share is not None for item in recipe.grist),
        assumed=tuple(assumed),
    )
