"""What each station of the brew day hands to the next: masses, volumes and what was found on the way.

Masses kg, volumes L at 20 °C, shares fractions.
"""

from collections.abc import Callable
from typing import NamedTuple, TypeAlias

from recipelint.brewing.gravity import WATER_DENSITY
from recipelint.brewing.mash_steps import MashStep
from recipelint.brewing.mashing import Converted
from recipelint.brewing.steep import Steep
from recipelint.recipe.catalogue import Culture as CultureRow
from recipelint.recipe.catalogue import Fermentable, Hop

Parts: TypeAlias = tuple[tuple[str, float], ...]
Found: TypeAlias = tuple[float | None, str, Parts | Callable[[], Parts]]
"""A value or None, the reason why there is none, and the lines behind it.

The lines are asked for by few (a report, a finding) and then by a call, where working them out takes longer than the
value.
"""


class MashStation(NamedTuple):
    """The mash and the run-off. ``dissolved`` is in solution, ``extract`` and ``water`` go to the kettle.

    ``strike`` is what the grain goes into, ``infused`` what later steps add, ``needed`` the liquor of mash and sparge
    in all.
    """

    grain: float
    potential: float
    potential_dry: float
    conversion: float | None
    lauter: float | None
    efficiency: float | None
    dissolved: float
    extract: float
    water: float
    volume: float
    strike: float
    infused: float
    sparge: float
    needed: float
    steep: Steep
    mash_volume: float
    predicted: bool
    converted: Converted

    @property
    def retained(self) -> float:
        """Water (kg) that stays with the grain and in the dead space."""
        return self.needed * WATER_DENSITY - self.water

    @property
    def thickness(self) -> float:
        """Liquor to grain (L/kg) when all infusions are in; 0 without grain."""
        return (self.strike + self.infused) / self.grain if self.grain > 0.0 else 0.0


class KettleStation(NamedTuple):
    """The boil: before it, at flame-out, and what is left behind."""

    pre_extract: float
    pre_water: float
    pre_volume: float
    evaporated: float
    extract: float
    water: float
    volume: float
    lost: float
    late_extract: float


class FermenterStation(NamedTuple):
    """The fermenter: at pitching, and with all staged sugar and fruit in."""

    extract: float
    water: float
    volume: float
    pitch_extract: float
    pitch_water: float
    pitch_volume: float
    all_extract: float
    all_water: float
    all_volume: float


class BeerStation(NamedTuple):
    """The beer: how far it falls and what is left to package."""

    original: float
    fermented: float | None
    gravity: float | None
    abv: float | None
    abw: float | None
    real_extract: float | None
    limit: float | None
    culture_attenuation: float | None
    malt_attenuation: float | None
    volume: float
    package: float
    why: str


class GristFact(NamedTuple):
    at: str
    key: str
    id: str
    name: str
    kind: str
    stage: str
    weight: float
    weight_share: float
    grain_share: float
    extract: float
    extract_share: float
    colour_ebc: float
    row: Fermentable | None
    known: bool


class RestFact(NamedTuple):
    """One rest of the mash as brewed; how it is reached is told in ``mash_steps.MashStep``.

    per_minute and per_kelvin: how the attenuation limit of the malt wort moves (fraction) for a minute more of this
    rest, and for a kelvin more; None where the schedule is not known.
    """

    step: MashStep
    per_minute: float | None
    per_kelvin: float | None


class HopFact(NamedTuple):
    at: str
    id: str
    name: str
    stage: str
    minutes: float
    weight: float
    alpha: float
    ibu: float
    utilisation: float
    dose: float
    row: Hop | None
    known: bool
    fresh: float  # alpha acids before storage took its part


class CultureFact(NamedTuple):
    at: str
    id: str
    name: str
    form: str
    attenuation_low: float | None
    attenuation_high: float | None
    tolerance_low: float | None
    tolerance_high: float | None
    temperature_low: float | None
    temperature_high: float | None
    row: CultureRow | None
    known: bool


class VesselFact(NamedTuple):
    at: str
    name: str
    capacity: float
    filled: float
    fill: float
