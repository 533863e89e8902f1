"""The brew day run on paper: one balance of extract and water from the grist to the package.

``Run`` runs a ``Plan``. Each station is computed when something asks for it and kept. ``x`` moves groups of inputs that
move together (see ``bands``), in units of their 90 % half-width; all zeros is the expected brew. ``risk`` is the case in which the
yeast eats what it can.

Masses kg, volumes L at 20 °C, boil times min, temperatures °C, shares fractions.
"""

from __future__ import annotations

import math
from collections.abc import Callable

from recipelint.brewing import boil, lauter, mash
from recipelint.brewing.fermentation import Beer, beer_volume, ferment, fermentability, fermented_share
from recipelint.brewing.gravity import WATER_DENSITY, density, extract_per_litre, sg_of, sg_of_masses, volume_of_masses
from recipelint.brewing.kit import KETTLE_LOSS_PER_MALT
from recipelint.brewing.plan import (
    CONE_SOAK,
    DRY_HOP_SOAK,
    KETTLE,
    PELLET_SOAK,
    STAGED,
    STEEP_YIELD,
    Line,
    Plan,
)
from recipelint.brewing.stations import BeerStation, FermenterStation, KettleStation, MashStation
from recipelint.recipe.model import Rest

GROUPS = (
    "malt yield", "mash efficiency", "boil-off", "kettle losses", "attenuation", "mash limit",
    "alpha acids", "hop utilisation", "malt colour", "colour formula", "sugar yield",
)  # fmt: skip
(YIELD, EFFICIENCY, BOIL_OFF, LOSSES, ATTENUATION, LIMIT, ALPHA, UTILISATION, COLOUR, COLOUR_FORMULA, SUGAR) = range(11)
STILL = (0.0,) * len(GROUPS)

# 90 % half-widths, relative unless said. From memory unless a source is named where the equation stands.
YIELD_HALF, YIELD_HALF_MEASURED = 0.020, 0.010
EFFICIENCY_HALF_PREDICTED, EFFICIENCY_HALF_STATED = 0.07, 0.04
BOIL_OFF_HALF, BOIL_OFF_HALF_ASSUMED = 0.12, 0.35
LOSS_HALF, LOSS_HALF_ASSUMED = 0.20, 0.5
LIMIT_HALF = 0.04  # apparent, absolute: the enzyme scheme's own error
SUGAR_HALF = 0.02
STARTER_LEFT = 0.4  # of a starter's extract is left in it; from memory
HULLS = "lauter-aid"


class Run:
    """One run of a plan. Stations are attributes, computed once: ``mash``, ``kettle``, ``fermenter``, ``beer``."""

    __slots__ = ("_beer", "_bitter", "_extracts", "_fermenter", "_kettle", "_mash", "plan", "risk", "x")

    def __init__(self, plan: Plan, x: tuple[float, ...] = STILL, risk: bool = False) -> None:
        self.plan = plan
        self.x = x
        self.risk = risk
        self._mash: MashStation | None = None
        self._kettle: KettleStation | None = None
        self._fermenter: FermenterStation | None = None
        self._beer: BeerStation | None = None
        self._bitter: object = None
        self._extracts: tuple[float, ...] | None = None

    # ------------------------------------------------------------------ the bill

    def extract_of(self, line: Line) -> float:
        """Extract (kg) that a line could give, as it is weighed."""
        grain = line.key in ("malt", "grain")
        if grain:
            half = YIELD_HALF_MEASURED if line.measured else YIELD_HALF
            return line.weight * line.extract * (1.0 + half * self.x[YIELD])
        return line.weight * line.extract * (1.0 + SUGAR_HALF * self.x[SUGAR])

    def mashed(self) -> list[Line]:
        """Lines in the mash. Hulls and husks are in it too."""
        return [line for line in self.plan.lines if line.stage == "mash"]

    # ------------------------------------------------------------------ volumes wished for

    def kettle_loss(self) -> float:
        """Wort (L) that does not reach the fermenter: dregs, and what the hops hold."""
        kit = self.plan.kit
        soak = 0.0
        for hop in self.plan.hops:
            if hop.stage in ("boil", "first_wort", "whirlpool"):
                soak += hop.weight * (CONE_SOAK if hop.form == "cone" else PELLET_SOAK if hop.form != "extract" else 0.0)
        if kit.loss is not None:
            return (kit.loss + soak) * (1.0 + LOSS_HALF * self.x[LOSSES])
        grain = math.fsum(line.weight for line in self.mashed())
        return (KETTLE_LOSS_PER_MALT * grain + soak) * (1.0 + LOSS_HALF_ASSUMED * self.x[LOSSES])

    def dry_hop_loss(self) -> float:
        """Beer (L) left with the dry hops."""
        dry = ("dry_hop", "ferment", "condition")
        return DRY_HOP_SOAK * math.fsum(hop.weight for hop in self.plan.hops if hop.stage in dry)

    def _boil_off(self) -> tuple[float, float]:
        """Water boiled off (kg): as planned, and in this run."""
        kit = self.plan.kit
        planned = boil.evaporated(kit.boil_off, self.plan.boil_minutes) * WATER_DENSITY
        half = BOIL_OFF_HALF if kit.boil_off_given else BOIL_OFF_HALF_ASSUMED
        return planned, planned * (1.0 + half * self.x[BOIL_OFF])

    def wished_kettle(self) -> tuple[float, float]:
        """Volume at flame-out as planned, and the top-up (L) that follows it."""
        p = self.plan
        if p.into == "kettle":
            return p.wish, p.top_up or 0.0
        still = self if self.x is STILL else Run(p)
        wanted = (p.fermenter_wish or 0.0) + still.kettle_loss()
        if p.top_up is not None:
            return max(wanted - p.top_up, 0.0), p.top_up
        if p.boil_volume is not None:
            late = math.fsum(line.weight * line.extract for line in p.lines if self._late(line))
            kettle = p.boil_volume - boil.evaporated(p.kit.boil_off, p.boil_minutes) + lauter.EXTRACT_VOLUME * late
            kettle = min(max(kettle, 0.0), wanted)
            return kettle, wanted - kettle
        return wanted, 0.0

    def _late(self, line: Line) -> bool:
        """True for what goes into the kettle after the boil has begun."""
        if line.stage == "whirlpool":
            return True
        return line.stage == "boil" and line.minutes is not None and line.minutes < self.plan.boil_minutes

    # ------------------------------------------------------------------ mash and kettle, solved together

    @property
    def mash(self) -> MashStation:
        if self._mash is None:
            self._run_kettle()
        assert self._mash is not None
        return self._mash

    @property
    def kettle(self) -> KettleStation:
        if self._kettle is None:
            self._run_kettle()
        assert self._kettle is not None
        return self._kettle

    def _run_kettle(self) -> None:
        volume, _ = self.wished_kettle()
        early_extract = early_water = late_extract = late_water = 0.0
        for line in self.plan.lines:
            if line.stage == "steep":
                early_extract += self.extract_of(line) * STEEP_YIELD
            elif line.stage in KETTLE:
                extract = self.extract_of(line)
                if self._late(line):
                    late_extract += extract
                    late_water += line.weight * line.water
                else:
                    early_extract += extract
                    early_water += line.weight * line.water
        planned, boiled = self._boil_off()

        def liquor_water(mash_extract: float) -> float:
            """Water (kg) that must come off the mash for the kettle to end at its volume."""
            extract = mash_extract + early_extract + late_extract
            whole = volume * density(sg_of(extract, volume)) if volume > 0.0 else extract
            return max(whole - extract + planned - early_water - late_water, 0.0)

        station = self._run_mash(liquor_water, volume)
        extract = station.extract + early_extract + late_extract
        pre_extract = station.extract + early_extract
        pre_water = station.water + early_water
        water = max(pre_water + late_water - boiled, 0.0)
        self._mash = station
        self._kettle = KettleStation(
            pre_extract=pre_extract,
            pre_water=pre_water,
            pre_volume=volume_of_masses(pre_extract, pre_water),
            evaporated=boiled,
            extract=extract,
            water=water,
            volume=volume_of_masses(extract, water),
            lost=self.kettle_loss(),
            late_extract=late_extract,
        )

    def _run_mash(self, liquor_water: Callable[[float], float], volume: float) -> MashStation:
        kit = self.plan.kit
        lines = self.mashed()
        grain = math.fsum(line.weight for line in lines)
        potential = math.fsum(self.extract_of(line) for line in lines)
        if grain <= 0.0 or potential <= 0.0:
            water = liquor_water(0.0)
            liquor = water / WATER_DENSITY
            return MashStation(
                grain, 0.0, 0.0, None, None, None, 0.0, 0.0, water, liquor, liquor, 0.0, 0.0, 0.0, False
            )
        dry = math.fsum(
            self.extract_of(line) / (1.0 - line.moisture) if line.key in ("malt", "grain") else self.extract_of(line)
            for line in lines
        )
        stated = self._stated_efficiency(volume, potential, dry)
        if stated is not None:
            extract = potential * stated
            water = liquor_water(extract)
            return self._mash_station(grain, potential, dry, None, None, stated, extract, extract, water, False)
        conversion = lauter_efficiency = 0.0
        efficiency = 0.75
        for _ in range(25):
            extract = potential * efficiency
            water = liquor_water(extract)
            strike, sparge = self._liquors(extract, water, grain)
            conversion = kit.conversion if kit.conversion is not None else self._conversion(grain, strike)
            dissolved = conversion * potential
            retained = lauter.retained_wort(grain, dissolved, kit.absorption, kit.dead_space)
            run = self._lauter(dissolved, strike, retained, sparge)
            lauter_efficiency = run.efficiency
            found = conversion * lauter_efficiency
            change = found - efficiency
            efficiency = found
            if -1e-10 < change < 1e-10:
                break
        efficiency *= 1.0 + EFFICIENCY_HALF_PREDICTED * self.x[EFFICIENCY]
        extract = potential * efficiency
        water = liquor_water(extract)
        dissolved = max(conversion * potential, extract)
        return self._mash_station(
            grain, potential, dry, conversion, lauter_efficiency, efficiency, dissolved, extract, water, True
        )

    def _conversion(self, grain: float, liquor: float) -> float:
        return lauter.default_conversion(grain, liquor)

    def _stated_efficiency(self, volume: float, potential: float, dry: float) -> float | None:
        """Mash efficiency as-is from what the brewhouse states, or None to predict it."""
        kit = self.plan.kit
        stated = kit.mash_efficiency
        if stated is None and kit.brewhouse_efficiency is not None and volume > 0.0:
            into = volume - self.kettle_loss()
            stated = kit.brewhouse_efficiency * volume / into if into > 0.0 else kit.brewhouse_efficiency
        if stated is None:
            return None
        whole = kit.mash_efficiency if kit.mash_efficiency is not None else kit.brewhouse_efficiency
        if kit.efficiency_half is not None and whole:
            relative = kit.efficiency_half / whole
        else:
            relative = EFFICIENCY_HALF_STATED
        stated *= 1.0 + relative * self.x[EFFICIENCY]
        return stated if kit.efficiency_of == "as-is" else stated * dry / potential

    def _liquors(self, extract: float, water: float, grain: float) -> tuple[float, float]:
        """Strike and sparge liquor (L) that bring so much water to the kettle."""
        kit = self.plan.kit
        recipe = self.plan.recipe
        whole = lauter.liquor_for(volume_of_masses(extract, water), grain, kit.absorption, kit.dead_space)
        if recipe.mash is not None and recipe.mash.liquor is not None:
            strike = recipe.mash.liquor.value
        elif self._sparge_method() == "none":
            strike = whole
        else:
            strike = min(whole, 3.0 * grain)
        strike += self._infused()
        strike = min(strike, whole)
        return strike, whole - strike

    def _infused(self) -> float:
        """Liquor (L) added at infusion steps, where it is written."""
        recipe = self.plan.recipe
        if recipe.mash is None:
            return 0.0
        return math.fsum(rest.liquor.value for rest in recipe.mash.rests if rest.liquor is not None)

    def _sparge_method(self) -> str:
        """As written; else none for a bag or a recirculated mash, fly for a tun, one rinse if a sparge has no method."""
        sparge = self.plan.recipe.sparge
        if sparge is not None:
            return sparge.method or "batch"
        mash_liquor = self.plan.recipe.mash.liquor if self.plan.recipe.mash else None
        return "fly" if self.plan.kit.kind == "tun" and mash_liquor is None else "batch" if mash_liquor else "none"

    def _lauter(self, dissolved: float, strike: float, retained: float, sparge: float) -> lauter.Lauter:
        method = self._sparge_method()
        if method == "none" or sparge <= 1e-9:
            return lauter.no_sparge(dissolved, strike + sparge, retained)
        if method == "fly":
            return lauter.fly_sparge(dissolved, strike, retained, sparge)
        rinses = self.plan.recipe.sparge.rinses if self.plan.recipe.sparge else None
        return lauter.batch_sparge(dissolved, strike, retained, sparge, max(rinses or 1, 1))

    def _mash_station(
        self,
        grain: float,
        potential: float,
        dry: float,
        conversion: float | None,
        lauter_efficiency: float | None,
        efficiency: float,
        dissolved: float,
        extract: float,
        water: float,
        predicted: bool,
    ) -> MashStation:
        strike, sparge = self._liquors(extract, water, grain)
        volume = volume_of_masses(extract, water)
        return MashStation(
            grain=grain,
            potential=potential,
            potential_dry=dry,
            conversion=conversion,
            lauter=lauter_efficiency,
            efficiency=efficiency,
            dissolved=dissolved,
            extract=extract,
            water=water,
            volume=volume,
            strike=strike,
            sparge=sparge,
            retained=(strike + sparge) * WATER_DENSITY - water,
            mash_volume=mash.mash_volume(strike, grain),
            predicted=predicted,
        )

    # ------------------------------------------------------------------ fermenter

    @property
    def fermenter(self) -> FermenterStation:
        if self._fermenter is None:
            self._fermenter = self._run_fermenter()
        return self._fermenter

    def _run_fermenter(self) -> FermenterStation:
        kettle = self.kettle
        share = max(1.0 - kettle.lost / kettle.volume, 0.0) if kettle.volume > 0.0 else 0.0
        extract = kettle.extract * share
        water = kettle.water * share + self.wished_kettle()[1] * WATER_DENSITY
        starter_extract = starter_water = 0.0
        for pitch in self.plan.cultures:
            if pitch.starter_volume > 0.0 and pitch.stage == "pitch":
                held = pitch.starter_volume * extract_per_litre(pitch.starter_gravity)
                starter_extract += STARTER_LEFT * held
                starter_water += pitch.starter_volume * density(pitch.starter_gravity) - held
        staged_extract = staged_water = 0.0
        for line in self.plan.lines:
            if line.stage in STAGED:
                staged_extract += self.extract_of(line)
                staged_water += line.weight * line.water
        pitch_extract, pitch_water = extract + starter_extract, water + starter_water
        all_extract, all_water = pitch_extract + staged_extract, pitch_water + staged_water
        return FermenterStation(
            extract=extract,
            water=water,
            volume=volume_of_masses(extract, water),
            pitch_extract=pitch_extract,
            pitch_water=pitch_water,
            pitch_volume=volume_of_masses(pitch_extract, pitch_water),
            all_extract=all_extract,
            all_water=all_water,
            all_volume=volume_of_masses(all_extract, all_water),
        )

    def share_into_fermenter(self) -> float:
        """Part of what is in the kettle at flame-out that reaches the fermenter."""
        kettle = self.kettle
        return max(1.0 - kettle.lost / kettle.volume, 0.0) if kettle.volume > 0.0 else 0.0

    def extracts(self) -> tuple[float, ...]:
        """Extract (kg) of each line of the bill in the fermenter; 0 for what goes in at packaging."""
        if self._extracts is None:
            share = self.share_into_fermenter()
            mashed = (self.mash.efficiency or 0.0) * share
            parts = {"mash": mashed, "steep": STEEP_YIELD * share}
            parts.update(dict.fromkeys(KETTLE, share))
            parts.update(dict.fromkeys(STAGED, 1.0))
            self._extracts = tuple(self.extract_of(line) * parts.get(line.stage, 0.0) for line in self.plan.lines)
        return self._extracts

    # ------------------------------------------------------------------ beer

    @property
    def beer(self) -> BeerStation:
        if self._beer is None:
            self._beer = self._run_beer()
        return self._beer

    def _run_beer(self) -> BeerStation:
        station = self.fermenter
        if station.all_extract + station.all_water <= 0.0:
            return BeerStation(1.0, None, None, None, None, None, None, None, None, 0.0, 0.0, "there is no wort")
        original = sg_of_masses(station.all_extract, station.all_water)
        limit = self.attenuation_limit()
        culture = self._culture_attenuation()
        finishes = self.plan.recipe.finishes
        why = ""
        if finishes is not None and not self.risk:
            fermented: float | None = fermented_share(original, finishes.value)
            malt = None
        elif culture is None:
            fermented, malt = None, None
            why = "no culture is named" if not self.plan.cultures else "the culture's attenuation is not known"
        else:
            malt = culture if limit is None or self._eats_dextrins() else min(culture, limit)
            fermented = self._fermented(malt, original)
        volume = station.all_volume
        beer: Beer | None = None
        if fermented is not None:
            beer = ferment(original, fermented)
            volume = beer_volume(station.all_volume, original, beer)
        package = max(volume - self.plan.kit.lees - self.dry_hop_loss(), 0.0)
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

    def _eats_dextrins(self) -> bool:
        return self.risk and any(pitch.eats_dextrins for pitch in self.plan.cultures)

    def _culture_attenuation(self) -> float | None:
        """Apparent attenuation of malt wort by the culture that goes furthest; in the risk case a dextrin eater takes it all."""
        known = [pitch for pitch in self.plan.cultures if pitch.attenuation is not None]
        if not known:
            return None
        if self._eats_dextrins():
            return 1.0
        furthest = max(known, key=lambda pitch: pitch.attenuation or 0.0)
        middle = furthest.attenuation or 0.0
        half = 0.0
        if furthest.attenuation_low is not None and furthest.attenuation_high is not None:
            half = (furthest.attenuation_high - furthest.attenuation_low) / 2.0
        return min(max(middle + half * self.x[ATTENUATION], 0.0), 1.0)

    def attenuation_limit(self) -> float | None:
        """Apparent attenuation limit of the malt wort from the mash; None where nothing is mashed or no rest is written."""
        lines = self.mashed()
        recipe = self.plan.recipe
        if not lines or recipe.mash is None:
            return None
        schedule = schedule_of(recipe.mash.rests)
        if not schedule:
            return None
        starchy = [(line.weight, line.lintner >= 30.0) for line in lines if line.starch]
        enzymes = mash.enzyme_share(starchy) if starchy else 1.0
        converted = mash.convert(schedule, round(enzymes, 3)).limit
        limit = mash.blended_limit(
            (self.extract_of(line), _class_limit(line, converted)) for line in lines if line.key in ("malt", "grain")
        )
        return min(max(limit + LIMIT_HALF * self.x[LIMIT], 0.0), 1.0)

    def _fermented(self, malt_attenuation: float, original: float) -> float:
        """Share of all extract (by mass) that is fermented: malt by culture and mash, the rest by what it is."""
        station = self.fermenter
        pitch = sg_of_masses(station.pitch_extract, station.pitch_water) if station.pitch_water > 0.0 else original
        malt_share = fermentability(malt_attenuation, max(pitch, 1.0001))
        total = fermented = 0.0
        for line, extract in zip(self.plan.lines, self.extracts(), strict=True):
            total += extract
            fermented += extract * self._line_share(line, malt_share)
        return fermented / total if total > 0.0 else 0.0

    def _line_share(self, line: Line, malt_share: float) -> float:
        if line.key in ("malt", "grain") or (line.key == "extract" and line.fermentability is None):
            return malt_share
        own = line.fermentability if line.fermentability is not None else 1.0
        if line.key == "extract":
            return malt_share if self._eats_dextrins() else min(malt_share, own)
        if self.risk and line.sugar_kind != "fully-fermentable":
            eats = any(p.eats_lactose for p in self.plan.cultures) if "lactose" in line.id else self._eats_dextrins()
            return max(own, 0.95) if eats else own
        return own


def _class_limit(line: Line, converted: float) -> float:
    """Attenuation limit by class of malt: what holds starch follows the mash, caramel and roast have limits of their own."""
    if line.kind.startswith("caramel"):
        return min(mash.CARAMEL_LIMIT, converted) if line.starch is False else converted
    if line.kind.startswith("roasted"):
        return mash.ROAST_LIMIT
    return converted


def schedule_of(rests: tuple[Rest, ...], ramp: float = 1.0) -> tuple[mash.Stretch, ...]:
    """The rest list as stretches of temperature and time; () if a rest lacks either."""
    found: list[mash.Stretch] = []
    last: float | None = None
    for rest in rests:
        if rest.temperature is None or rest.for_ is None:
            return ()
        end = rest.temperature.value
        start = rest.from_.value if rest.from_ is not None else end
        if last is not None and last != start:
            kept = 1.0
            if rest.by == "decoction":
                kept = 1.0 - (rest.share.value if rest.share else decoction_share(last, start))
            jump = rest.by in ("decoction", "infusion")
            minutes = 0.0 if jump else (rest.over.value if rest.over else abs(start - last) / ramp)
            found.append(mash.Stretch(minutes, last, start, kept))
        found.append(mash.Stretch(rest.for_.value, start, end))
        last = end
    return tuple(found)


def decoction_share(low: float, high: float, boiling: float = 100.0) -> float:
    """Share of the mash to pull and boil for a rise from low to high (°C), as if the pulled part were like the whole."""
    return min(max((high - low) / (boiling - low), 0.0), 1.0) if boiling > low else 0.0
