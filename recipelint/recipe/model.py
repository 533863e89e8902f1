"""What a brewer writes, as plain typed records.

Field names are the keys of the files; a key that is a word of Python carries an underscore
(``for_``). ``None`` always means "not written": nothing here holds a default. Every record
knows its pointer (``at``), so that a finding can underline the line it came from.
"""

from typing import NamedTuple

from recipelint.recipe.quantity import Quantity


class Named(NamedTuple):
    """The word that names an item: ``malt: pale-ale-malt`` is key ``malt``, id ``pale-ale-malt``."""

    key: str
    id: str
    at: str


class Timing(NamedTuple):
    """When an item goes in: one stage key and what was written beside it.

    kind says how ``value`` is meant:

    ==================  ======================================================================
    ``unknown``         ``true`` was written: the stage without its time (of the mash: all of it)
    ``before-end``      minutes before flame-out (``boil``) or before the end of the mash
    ``contact``         minutes of contact (``whirlpool``, ``steep``)
    ``day``             hours after pitching
    ``gravity``         when the beer has fallen to this gravity (SG)
    ``still``           when the gravity no longer moves
    ``after-previous``  hours after the addition before it
    ``before-package``  hours before packaging
    ``after``           hours after the first conditioning stage began
    ``all``             all the liquor (``liquor: all``)
    ==================  ======================================================================
    """

    stage: str
    kind: str
    value: Quantity | None
    at: str
    text: str


class Steep(NamedTuple):
    """Grain steeped beside or instead of a mash."""

    at: str
    temperature: Quantity | None = None
    for_: Quantity | None = None
    liquor: Quantity | None = None


class Batch(NamedTuple):
    """How much is wished for, and where it is counted: kettle, fermenter or package."""

    at: str
    volume: Quantity | None = None
    into: str = "fermenter"
    gravity: Quantity | None = None


class GristItem(NamedTuple):
    """One line of the bill; ``what.key`` is malt, grain, sugar, extract or fruit."""

    at: str
    what: Named
    weight: Quantity | None = None
    share: Quantity | None = None
    lot: str | None = None
    colour: Quantity | None = None
    yield_: Quantity | None = None
    moisture: Quantity | None = None
    diastatic_power: Quantity | None = None
    fermentability: Quantity | None = None
    kolbach: Quantity | None = None
    when: Timing | None = None
    steep: Steep | None = None
    note: str | None = None


class DecoctionRest(NamedTuple):
    """What the pulled part rests at on its way to the boil."""

    at: str
    temperature: Quantity | None = None
    for_: Quantity | None = None


class Rest(NamedTuple):
    """One rest of the mash; ``temperature`` is where it ends if ``from_`` is written."""

    at: str
    temperature: Quantity | None = None
    from_: Quantity | None = None
    for_: Quantity | None = None
    by: str | None = None
    liquor: Quantity | None = None
    of: Quantity | None = None
    pull: str | None = None
    share: Quantity | None = None
    boil: Quantity | None = None
    rest: DecoctionRest | None = None
    over: Quantity | None = None
    name: str | None = None


class Mash(NamedTuple):
    at: str
    heating: str | None = None
    liquor: Quantity | None = None
    rests: tuple[Rest, ...] = ()


class Sparge(NamedTuple):
    at: str
    method: str | None = None
    liquor: Quantity | None = None
    temperature: Quantity | None = None
    rinses: int | None = None


class Boil(NamedTuple):
    at: str
    for_: Quantity | None = None
    collect: Quantity | None = None
    volume: Quantity | None = None


class TopUp(NamedTuple):
    at: str
    volume: Quantity | None = None


class Chill(NamedTuple):
    at: str
    by: str | None = None
    pitched_after: Quantity | None = None


class HopItem(NamedTuple):
    at: str
    what: Named
    weight: Quantity | None = None
    alpha: Quantity | None = None
    form: str | None = None
    lot: str | None = None
    when: Timing | None = None
    temperature: Quantity | None = None
    held: bool | None = None
    for_: Quantity | None = None
    parts: int | None = None
    every: Quantity | None = None
    age: Quantity | None = None
    harvest: str | None = None
    stored_at: Quantity | None = None
    note: str | None = None


class Starter(NamedTuple):
    at: str
    volume: Quantity | None = None
    gravity: Quantity | None = None
    stirred: bool | None = None
    settled: bool | None = None


class Culture(NamedTuple):
    at: str
    what: Named
    form: str | None = None
    packs: float | None = None
    weight: Quantity | None = None
    volume: Quantity | None = None
    cells: Quantity | None = None
    density: Quantity | None = None
    viability: Quantity | None = None
    packed: str | None = None
    age: Quantity | None = None
    lot: str | None = None
    starter: Starter | None = None
    rehydrated: bool | None = None
    attenuation: Quantity | None = None
    tolerance: Quantity | None = None
    pitch_rate: Quantity | None = None
    pitched_at: Quantity | None = None
    when: Timing | None = None
    note: str | None = None
    finishes: Quantity | None = None
    pack: Quantity | None = None


class AdditionItem(NamedTuple):
    at: str
    what: Named
    weight: Quantity | None = None
    volume: Quantity | None = None
    count: float | None = None  # type: ignore[assignment]  # the key of the file wins over tuple.count
    strength: Quantity | None = None
    form: str | None = None
    lot: str | None = None
    when: Timing | None = None
    for_: Quantity | None = None
    until: str | None = None
    note: str | None = None


class Water(NamedTuple):
    at: str
    source: str | None = None
    share: Quantity | None = None
    calcium: Quantity | None = None
    magnesium: Quantity | None = None
    sodium: Quantity | None = None
    chloride: Quantity | None = None
    sulphate: Quantity | None = None
    bicarbonate: Quantity | None = None
    alkalinity: Quantity | None = None
    ph: float | None = None
    treated: str | None = None


class Oxygen(NamedTuple):
    at: str
    dose: str | None = None
    for_: Quantity | None = None
    when: str | None = None
    again: Quantity | None = None


class Step(NamedTuple):
    """One step of the fermentation."""

    at: str
    temperature: Quantity | None = None
    rise: str | None = None
    to: Quantity | None = None
    over: Quantity | None = None
    for_: Quantity | None = None
    until: str | None = None
    of: str | None = None


class Stage(NamedTuple):
    """One stage of conditioning."""

    at: str
    vessel: str | None = None
    capacity: Quantity | None = None
    racked: bool | None = None
    purged: bool | None = None
    temperature: Quantity | None = None
    for_: Quantity | None = None
    relief: Quantity | None = None


class Priming(NamedTuple):
    at: str
    sugar: str | None = None
    weight: Quantity | None = None


class Store(NamedTuple):
    at: str
    temperature: Quantity | None = None
    warmest: Quantity | None = None


class Package(NamedTuple):
    at: str
    into: str | None = None
    glass: str | None = None
    rated: Quantity | None = None
    volume: Quantity | None = None
    rest: bool = False
    carbonation: Quantity | None = None
    priming: Priming | None = None
    yeast: Culture | None = None
    pressure: Quantity | None = None
    relief: Quantity | None = None
    temperature: Quantity | None = None
    store: Store | None = None


class StyleChoice(NamedTuple):
    """The style aimed at; ``base`` lends its ranges to one that has none."""

    at: str
    enter: str
    base: str | None = None
    declare: tuple[str, ...] = ()


class Expectation(NamedTuple):
    """A promise: a stat and where it should come to lie, in the stat's unit (strengths as fractions).

    A bare number is low, high and value alike; ``a ± b`` has its middle as value, ``a .. b`` has no value;
    ``at least a`` and ``at most b`` leave one side open.
    """

    at: str
    stat: str
    low: float | None
    high: float | None
    value: float | None
    text: str


class Acceptance(NamedTuple):
    at: str
    rule: str
    because: str
    of: str | None = None


class MashVessel(NamedTuple):
    at: str
    capacity: Quantity | None = None
    dead_space: Quantity | None = None
    absorption: Quantity | None = None
    heating_rate: Quantity | None = None
    kind: str | None = None
    conversion: Quantity | None = None


class Kettle(NamedTuple):
    at: str
    capacity: Quantity | None = None
    boil_off: Quantity | None = None
    loss: Quantity | None = None
    stand: Quantity | None = None
    cooling: Quantity | None = None
    power: Quantity | None = None


class Fermenter(NamedTuple):
    at: str
    capacity: Quantity | None = None
    lees: Quantity | None = None
    blow_off: bool | None = None


class Efficiency(NamedTuple):
    at: str
    mash: Quantity | None = None
    brewhouse: Quantity | None = None
    of: str | None = None


class Brewhouse(NamedTuple):
    """A set of vessels; ``named`` is set when the recipe only names one that stands in a file of its own."""

    at: str
    file: str = ""
    named: str | None = None
    name: str | None = None
    mash: MashVessel | None = None
    kettle: Kettle | None = None
    fermenter: Fermenter | None = None
    grain_at: Quantity | None = None
    altitude: Quantity | None = None
    efficiency: Efficiency | None = None
    note: str | None = None


class Recipe(NamedTuple):
    at: str
    file: str
    name: str
    batch: Batch
    grist: tuple[GristItem, ...]
    revision: int | None = None
    style: StyleChoice | None = None
    brewhouse: Brewhouse | None = None
    brew_date: str | None = None
    mash: Mash | None = None
    sparge: Sparge | None = None
    boil: Boil | None = None
    top_up: TopUp | None = None
    chill: Chill | None = None
    hops: tuple[HopItem, ...] = ()
    yeast: tuple[Culture, ...] = ()
    additions: tuple[AdditionItem, ...] = ()
    water: tuple[Water, ...] = ()
    oxygen: tuple[Oxygen, ...] = ()
    fermentation: tuple[Step, ...] = ()
    finishes: Quantity | None = None
    conditioning: tuple[Stage, ...] = ()
    packaging: tuple[Package, ...] = ()
    claims: tuple[str, ...] = ()
    expect: tuple[Expectation, ...] = ()
    accept: tuple[Acceptance, ...] = ()
    notes: str | None = None
    also_styles: tuple[StyleChoice, ...] = ()


class Globs(NamedTuple):
    """Where the files of a house lie; each a tuple of glob patterns."""

    at: str
    recipes: tuple[str, ...] | None = None
    brewhouses: tuple[str, ...] | None = None
    catalogue: tuple[str, ...] | None = None
    brews: tuple[str, ...] | None = None
    rules: tuple[str, ...] | None = None
    styles: tuple[str, ...] | None = None


class RuleSetting(NamedTuple):
    """What a house says of one rule: another level, or other limits, some for one style only.

    A limit is a number, or text with a unit (``35 %``) that the rule, which knows what it measures, turns into one.
    """

    at: str
    rule: str
    level: str | None = None
    limits: dict[str, float | str] = {}
    styles: dict[str, dict[str, float | str]] = {}


class House(NamedTuple):
    at: str
    file: str
    name: str | None = None
    units: str | None = None
    region: str | None = None
    guide: str | None = None
    brewhouse: str | None = None
    files: Globs | None = None
    models: dict[str, str] = {}
    rules: tuple[RuleSetting, ...] = ()
    fail_at: str | None = None
    water_treated: str | None = None
    oxygen: str | None = None


class Measured(NamedTuple):
    stat: str
    value: Quantity
    at: str
    read_at: Quantity | None = None
    instrument: str | None = None


class Reading(NamedTuple):
    at: str
    day: Quantity | None = None
    gravity: Quantity | None = None
    temperature: Quantity | None = None
    instrument: str | None = None


class Record(NamedTuple):
    """What was measured on one brew day and after."""

    at: str
    file: str
    recipe: str
    commit: str | None = None
    date: str | None = None
    brewhouse: str | None = None
    measured: tuple[Measured, ...] = ()
    readings: tuple[Reading, ...] = ()
    notes: str | None = None
    packaged: str | None = None
