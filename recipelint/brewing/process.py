"""The brew day run on paper: one balance of extract and water from the grist to the package.

``Run`` runs a ``Plan``. Each station is computed when something asks for it and kept. ``x`` moves groups of inputs that
move together (see ``inputs``); ``risk`` is the case in which the yeast eats what it can.

Masses kg, volumes L at 20 °C, shares fractions.
"""

from __future__ import annotations

from recipelint.brewing import finish as finishing
from recipelint.brewing import mashing
from recipelint.brewing.dissolving import STEEP_YIELD
from recipelint.brewing.gravity import (
    WATER_DENSITY,
    density,
    extract_per_litre,
    sg_of,
    volume_of_masses,
)
from recipelint.brewing.inputs import STILL, Moves, extract_of, mashed
from recipelint.brewing.mash_steps import MashStep
from recipelint.brewing.plan import KETTLE, STAGED, Line, Plan
from recipelint.brewing.stations import BeerStation, FermenterStation, KettleStation, MashStation
from recipelint.brewing.wort import brew_wort, wished_kettle

STARTER_LEFT = 0.4  # of a starter's extract is left in it; from memory


class Run:
    """One run of a plan. Stations are attributes, computed once: ``mash``, ``kettle``, ``fermenter``, ``beer``."""

    __slots__ = (
        "_beer",
        "_expected",
        "_extracts",
        "_fermenter",
        "_wort",
        "bitterness",
        "course",
        "held",
        "liquor",
        "plan",
        "risk",
        "to_come",
        "walked",
        "way",
        "x",
    )

    def __init__(self, plan: Plan, x: Moves = STILL) -> None:
        self.plan = plan
        self.x = x
        self.risk = False
        self._expected: Run | None = None
        self._wort: tuple[MashStation, KettleStation] | None = None
        self._fermenter: FermenterStation | None = None
        self._beer: BeerStation | None = None
        self._extracts: tuple[float, ...] | None = None
        self.bitterness: object = None  # kept here by ``hopping``
        self.liquor: object = None  # and by ``liquor``
        self.way: object = None  # and by ``fermenting``
        self.course: object = None
        self.to_come: object = None
        self.held: object = None  # and by ``held``
        self.walked: tuple[MashStep, ...] | None = None

    @property
    def expected(self) -> Run:
        """The run beside which a risk case stands; of any other run, the run itself."""
        return self._expected if self._expected is not None else self

    def from_fermenter(self, x: Moves) -> Run:
        """Another run with the same wort: for moves that matter only from the fermenter on."""
        other = Run(self.plan, x)
        other._wort = self.mash, self.kettle
        other._fermenter = self.fermenter
        other._extracts = self.extracts()
        return other

    def from_beer(self, x: Moves) -> Run:
        """Another run with the same wort and beer: for moves that matter to neither."""
        other = self.from_fermenter(x)
        other._beer = self.beer
        return other

    def at_worst(self) -> Run:
        """The same wort with cultures that go as far as they can: only the beer is another, so the rest is shared."""
        worst = self.from_fermenter(self.x)
        worst.risk = True
        worst._expected = self
        worst.bitterness = self.bitterness
        return worst

    def extract_of(self, line: Line) -> float:
        """Extract (kg) that a line could give, as it is weighed."""
        return extract_of(line, self.x)

    def mashed(self) -> list[Line]:
        """Lines in the mash. Hulls and husks are in it too."""
        return mashed(self.plan)

    @property
    def mash(self) -> MashStation:
        """The mash and the run-off."""
        if self._wort is None:
            self._wort = brew_wort(self.plan, self.x)
        return self._wort[0]

    @property
    def kettle(self) -> KettleStation:
        """The boil."""
        if self._wort is None:
            self._wort = brew_wort(self.plan, self.x)
        return self._wort[1]

    @property
    def fermenter(self) -> FermenterStation:
        """The fermenter, at pitching and with everything in."""
        if self._fermenter is None:
            self._fermenter = self._run_fermenter()
        return self._fermenter

    def _run_fermenter(self) -> FermenterStation:
        kettle = self.kettle
        share = max(1.0 - kettle.lost / kettle.volume, 0.0) if kettle.volume > 0.0 else 0.0
        extract = kettle.extract * share
        water = kettle.water * share + wished_kettle(self.plan)[1] * WATER_DENSITY
        if self.plan.came is not None:
            # More or less wort than planned is the same extract in more or less water.
            came = self.plan.came
            water = max(came * density(sg_of(extract, came)) - extract, 0.0) if came > 0.0 else 0.0
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
        volume = pitch_volume = all_volume = volume_of_masses(extract, water)
        # Most recipes have neither starter nor staged sugar: then all three are the same wort.
        if (pitch_extract, pitch_water) != (extract, water):
            pitch_volume = all_volume = volume_of_masses(pitch_extract, pitch_water)
        if (all_extract, all_water) != (pitch_extract, pitch_water):
            all_volume = volume_of_masses(all_extract, all_water)
        return FermenterStation(
            extract,
            water,
            volume,
            pitch_extract,
            pitch_water,
            pitch_volume,
            all_extract,
            all_water,
            all_volume,
        )

    @property
    def steps(self) -> tuple[MashStep, ...]:
        """Each rest of the mash and how it is reached."""
        if self.walked is None:
            self.walked = mashing.steps(self.plan, self.mash.grain, self.mash.strike, self.x)
        return self.walked

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
            found = [extract_of(line, self.x) * parts.get(line.stage, 0.0) for line in self.plan.lines]
            reached = self.mash.converted.reached
            if reached is not None:  # what dissolves better has the larger part of what comes off the mash
                mean = mashing.mean_reached(self.plan, reached, self.x)
                found = [
                    extract * own / mean if line.stage == "mash" else extract
                    for line, extract, own in zip(self.plan.lines, found, reached, strict=True)
                ]
            self._extracts = tuple(found)
        return self._extracts

    def _limit(self) -> float | None:
        return finishing.attenuation_limit(self.plan, self.x, self.mash)

    @property
    def beer(self) -> BeerStation:
        """The beer, finished."""
        if self._beer is None:
            # What the mash allows is the same at worst.
            limit = self._expected.beer.limit if self._expected is not None else self._limit()
            self._beer = finishing.finish(
                self.plan, self.x, self.risk, limit, self.fermenter, self.extracts()
            )
        return self._beer
