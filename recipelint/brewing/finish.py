"""How far the beer falls: the culture, the mash and the sugar, each with its part of the extract.

Attenuations are apparent and of the sugar-free malt wort unless said; shares are of extract, by mass.
"""

from __future__ import annotations

from recipelint.brewing import mashing
from recipelint.brewing.fermentation import Beer, beer_volume, ferment, fermentability, fermented_share
from recipelint.brewing.gravity import sg_of_masses
from recipelint.brewing.inputs import ATTENUATION, LIMIT, LIMIT_HALF, Moves, dry_hop_loss
from recipelint.brewing.plan import FREE_DEXTRINS, FREE_LACTOSE, Line, Pitch, Plan
from recipelint.brewing.stations import BeerStation, FermenterStation, MashStation

TAKES_MALTOSE = 0.5  # attenuation below which a culture leaves maltose; from memory


def finish(
    plan: Plan,
    x: Moves,
    risk: bool,
    limit: float | None,
    station: FermenterStation,
    extracts: tuple[float, ...],
) -> BeerStation:
    """The beer at its end. ``limit`` is how far the mash lets yeast go, see ``attenuation_limit``.

    ``extracts`` are those of the lines of the bill in the fermenter (kg).
    """
    if station.all_extract + station.all_water <= 0.0:
        return _nothing("there is no wort")
    if plan.unsettled:
        return _nothing(plan.unsettled)
    original = sg_of_masses(station.all_extract, station.all_water)
    culture = culture_attenuation(plan, x, risk)
    finishes = plan.recipe.finishes
    why = ""
    fermented: float | None = None
    malt: float | None = None
    if culture is not None:
        uncapped = limit is None or eats_dextrins(plan, risk) or furthest(plan).always_eats_dextrins
        # At worst the mash lets it go further than expected, as the culture may.
        free = limit + LIMIT_HALF if risk and limit is not None else limit
        malt = culture if uncapped or free is None else min(culture, free)
        fermented = _fermented(plan, risk, pitching_gravity(station, original), extracts, malt)
    if finishes is not None and not eats_dextrins(plan, risk):
        stated = fermented_share(original, finishes.value)
        # Whoever states the end is believed, but not against the glass: at worst the culture may go further.
        further = risk and fermented is not None and fermented > stated
        fermented, malt = (fermented, malt) if further else (stated, None)
    elif culture is None:
        why = "no culture is named" if not plan.cultures else "the culture's attenuation is not known"
    volume = station.all_volume
    beer: Beer | None = None
    if fermented is not None:
        beer = ferment(original, fermented)
        volume = beer_volume(station.all_volume, original, beer)
    package = max(volume - plan.kit.lees - dry_hop_loss(plan), 0.0)
    return BeerStation(
        original=original,
        fermented=fermented,
        gravity=beer.gravity if beer else None,
        abv=beer.abv if beer else None,
        abw=beer.abw if beer else None,
        real_extract=beer.real_extract if beer else None,
        limit=limit,
        culture_attenuation=culture,
        malt_attenuation=malt,
        volume=volume,
        package=package,
        why=why,
    )


def _nothing(why: str) -> BeerStation:
    return BeerStation(1.0, None, None, None, None, None, None, None, None, 0.0, 0.0, why)


def eats_dextrins(plan: Plan, risk: bool) -> bool:
    """In the risk case, whether a culture is there that eats dextrins, or an enzyme that makes sugar of them."""
    return risk and (
        plan.thorough
        or any(pitch.eats_dextrins for pitch in plan.at_worst)
        or bool(plan.enzymes & FREE_DEXTRINS)
    )


def dextrins_surely_eaten(plan: Plan) -> bool:
    """Whether a culture that is known to eat dextrins, or an enzyme that lasts, is in the beer or its package."""
    return any(pitch.always_eats_dextrins for pitch in plan.at_worst) or bool(plan.enzymes & FREE_DEXTRINS)


def lactose_surely_eaten(plan: Plan) -> bool:
    """Whether there is lactose, and an enzyme that opens it."""
    sweet = any("lactose" in line.id and line.weight > 0.0 for line in plan.lines)
    return sweet and bool(plan.enzymes & FREE_LACTOSE)


def surely_goes_on(plan: Plan) -> bool:
    """Whether what the yeast of the fermenter leaves is sure to ferment in the package."""
    return dextrins_surely_eaten(plan) or lactose_surely_eaten(plan) or fresh_yeast_goes_on(plan)


def fresh_yeast_goes_on(plan: Plan) -> bool:
    """Whether yeast in a package surely ferments what the culture of the fermenter leaves: its least is more than
    the other's most. Wine yeast goes no further than one that takes maltose: it leaves maltotriose alone (common
    practice, no source).
    """
    most = max((pitch.attenuation_high or 0.0 for pitch in plan.cultures), default=0.0)
    return most > 0.0 and any(
        (pitch.attenuation_low or 0.0) > most
        and (pitch.row is None or pitch.row.kind != "wine" or most < TAKES_MALTOSE)
        for pitch in plan.at_worst[len(plan.cultures) :]
    )


def eats_lactose(plan: Plan) -> bool:
    return any(pitch.eats_lactose for pitch in plan.at_worst) or bool(plan.enzymes & FREE_LACTOSE)


def furthest(plan: Plan) -> Pitch:
    """The culture that attenuates most. Raises ValueError where none has a known attenuation."""
    return max(
        (pitch for pitch in plan.cultures if pitch.attenuation is not None),
        key=lambda pitch: pitch.attenuation or 0.0,
    )


def culture_attenuation(plan: Plan, x: Moves, risk: bool) -> float | None:
    """Apparent attenuation of malt wort by the culture that goes furthest.

    In the risk case the top of its range; a dextrin eater takes it all.
    """
    if all(pitch.attenuation is None for pitch in plan.cultures):
        return None
    if eats_dextrins(plan, risk):
        return 1.0
    if risk:
        return max(pitch.attenuation_high or pitch.attenuation or 0.0 for pitch in plan.at_worst)
    best = furthest(plan)
    middle = best.attenuation or 0.0
    half = 0.0
    if best.attenuation_low is not None and best.attenuation_high is not None:
        half = (best.attenuation_high - best.attenuation_low) / 2.0
    return min(max(middle + half * x[ATTENUATION], 0.0), 1.0)


def attenuation_limit(plan: Plan, x: Moves, station: MashStation) -> float | None:
    """How far the mash lets yeast ferment the malt wort, as apparent attenuation.

    None where nothing is mashed or a rest lacks its temperature or time.
    """
    limit = mashing.attenuation_limit(plan, station.converted, x)
    return None if limit is None else min(max(limit + LIMIT_HALF * x[LIMIT], 0.0), 1.0)


def pitching_gravity(station: FermenterStation, original: float) -> float:
    """Gravity when the yeast goes in; ``original`` where there is no water."""
    return sg_of_masses(station.pitch_extract, station.pitch_water) if station.pitch_water > 0.0 else original


def _fermented(plan: Plan, risk: bool, gravity: float, extracts: tuple[float, ...], malt: float) -> float:
    """Share of all extract (by mass) that is fermented: malt by culture and mash, the rest by what it is.

    gravity is that of the wort at pitching, malt the apparent attenuation of the malt wort.
    """
    malt_share = fermentability(malt, max(gravity, 1.0001))
    total = fermented = 0.0
    for line, extract in zip(plan.lines, extracts, strict=True):
        total += extract
        fermented += extract * line_share(plan, risk, line, malt_share)
    return fermented / total if total > 0.0 else 0.0


def malt_share(beer: BeerStation, station: FermenterStation) -> float:
    """Share of the malt's extract (by mass) that ferments, where the end of the whole beer is not stated."""
    if beer.malt_attenuation is None:
        return beer.fermented or 0.0
    gravity = pitching_gravity(station, beer.original)
    return fermentability(beer.malt_attenuation, max(gravity, 1.0001))


def line_share(plan: Plan, risk: bool, line: Line, malt_share: float) -> float:
    """Share of the extract of a line (by mass) that ferments; ``malt_share`` is that of the malt's."""
    if line.key in ("malt", "grain") or (line.key == "extract" and line.fermentability is None):
        return malt_share
    own = line.fermentability if line.fermentability is not None else 1.0
    if line.key == "extract":
        return malt_share if eats_dextrins(plan, risk) else min(malt_share, own)
    if risk and line.sugar_kind != "fully-fermentable":
        eats = eats_lactose(plan) if "lactose" in line.id else eats_dextrins(plan, risk)
        return max(own, 0.95) if eats else own
    return own
