"""A recipe brewed on paper: the one thing that rules, reports and commands ask.

``brew()`` lays the recipe flat, settles what is open and returns a ``Brew``. Nothing runs until a stat is
asked for.
"""

from __future__ import annotations

import math
from functools import partial
from typing import TYPE_CHECKING

from recipelint.brewing import hopping, mash_stats, package, stats, vessels
from recipelint.brewing.bands import Bands
from recipelint.brewing.inputs import GROUPS, PACE
from recipelint.brewing.mash_steps import MashStep
from recipelint.brewing.plan import GRAIN_KEYS, plan
from recipelint.brewing.process import Run
from recipelint.brewing.shares import grain_weight
from recipelint.brewing.solve import settled_run
from recipelint.brewing.stations import (
    CultureFact,
    GristFact,
    HopFact,
    RestFact,
    VesselFact,
)
from recipelint.brewing.stats import Both, Stat
from recipelint.recipe.catalogue import Catalogue
from recipelint.recipe.model import Brewhouse, Recipe

if TYPE_CHECKING:
    from collections.abc import Sequence

    from recipelint.brewing.contact import Contact, Item
    from recipelint.brewing.due import Never
    from recipelint.brewing.levers import Cause, Change
    from recipelint.brewing.path import Path

_new = tuple.__new__
# What a brewer asks of a beer first: the stats that decide which groups are least sure.
MAIN = ("original_gravity", "final_gravity", "abv", "bitterness", "colour_srm", "fermenter_volume")


class Brew:
    """One recipe on one brewhouse: stats with bands and risk, and the facts of each line."""

    __slots__ = ("_bands", "_both", "_found", "plan", "run")

    def __init__(self, run: Run) -> None:
        self.plan = run.plan
        self.run = run
        self._both = Both(run)
        self._bands: Bands | None = None
        self._found: dict[str, Stat] = {}

    @property
    def unsettled(self) -> str:
        """Why no weights were found for a bill of shares, or no volume for a package; empty where all was."""
        return self.plan.unsettled

    @property
    def recipe(self) -> Recipe:
        return self.plan.recipe

    @property
    def brewhouse(self) -> Brewhouse | None:
        return self.plan.brewhouse

    def stat(self, name: str) -> Stat:
        """A stat by its name.

        Raises KeyError for a name that no file may use; a known one that is not computed says why.
        """
        known = self._found.get(name)
        if known is None:
            known = self._found[name] = stats.stat_of(self._both, name)
        return known

    def value(self, name: str) -> float | None:
        """The value of a stat without what tells where it comes from: all that most rules ask. Raises KeyError."""
        known = self._found.get(name)
        return known.value if known is not None else stats.find(self.run, name)[0]

    @property
    def risk_run(self) -> Run:
        """The run in which the cultures eat all they can."""
        return self._both.worst

    @property
    def packages(self) -> tuple[package.PackageFact, ...]:
        """Each package of the recipe with its gas and pressure, expected and at worst."""
        return tuple(
            [
                package.PackageFact(self.run, index, partial(self._could_still_ferment, index))
                for index in range(len(self.recipe.packaging))
            ]
        )

    def _could_still_ferment(self, index: int) -> float:
        return package.could_still_ferment(self.run, self.risk_run, index)

    @property
    def gas_if_slow(self) -> float:
        """Gas (vol) still to come at packaging if the yeast is as slow as the band of its pace has it (5 in 100)."""
        from recipelint.brewing import fermenting

        if fermenting.surely_finished(self.run):
            return 0.0
        return package.gas_to_come(self.bands.shifted(PACE, 1.0))

    @property
    def bands(self) -> Bands:
        """How sure each stat is."""
        if self._bands is None:
            self._bands = Bands(self.run)
        return self._bands

    def band(self, name: str) -> tuple[float, float] | None:
        """Low and high bound (90 %) of a stat, by the rule of ``bands``; None if it has no value."""
        return None if self.stat(name).value is None else self.bands.band(name)

    def dissolved(self, name: str) -> float:
        """What is left of a stat (share) if only alpha acids that dissolve count; 1 of all but bitterness."""
        return hopping.dissolved_share(self.run) if name in hopping.READS_HIGH else 1.0

    def moves(self, name: str) -> tuple[tuple[str, float], ...]:
        """Each group, and half of the band that it alone would give a stat (0 or more); () if it has no value."""
        return () if self.stat(name).value is None else self.bands.halves(name)

    def widest(self, name: str, count: int = 3) -> tuple[tuple[str, float], ...]:
        """The groups that widen a stat's band most, each with its share of the variance (0-1), widest first.

        Those with over 1 % of it; () if the stat has no value or nothing moves it.
        """
        return () if self.stat(name).value is None else self.bands.widest(name, count)

    def least_sure(self, count: int = 3) -> tuple[str, ...]:
        """The groups that widen the bands of gravity, strength, bitterness and colour most, relative to each band."""
        weight = dict.fromkeys(GROUPS, 0.0)
        for name in MAIN:
            for group, share in self.widest(name, len(GROUPS)):
                weight[group] += share
        ranked = sorted(GROUPS, key=lambda group: -weight[group])
        return tuple(group for group in ranked[:count] if weight[group] > 0.0)

    def with_fermenter_volume(self, litres: float) -> Brew:
        """The same brew with so much wort in the fermenter: its extract in another volume, and all that follows.

        Pitch, staged sugar, priming and pressure are reckoned anew; what lies before the fermenter stays as planned.
        """
        return Brew(Run(self.plan._replace(came=litres)))

    def changes(self, name: str, wanted: float) -> tuple[Change, ...]:
        """Single changes of the recipe that bring a stat to a wished value, each found by brewing again."""
        from recipelint.brewing import levers

        return levers.changes(self.run, name, wanted)

    def causes(self, name: str, wanted: float) -> tuple[Cause, ...]:
        """Which of sugar, culture and mash keeps a stat from a wished value."""
        from recipelint.brewing import levers

        return levers.causes(self.run, name, wanted)

    @property
    def grist(self) -> tuple[GristFact, ...]:
        """The bill, line by line, with shares; extract is what reaches the beer."""
        run = self.run
        lines = self.plan.lines
        extracts = run.extracts()
        weight = math.fsum([line.weight for line in lines])
        grain = math.fsum(
            [grain_weight(line) for line in lines if line.key in GRAIN_KEYS or line.key == "extract"]
        )
        whole = math.fsum(extracts)
        # By position and past the constructor: every check of a recipe comes by here.
        return tuple(
            [
                _new(
                    GristFact,
                    (
                        line.at, line.key, line.id, line.name, line.kind, line.stage, line.weight,
                        line.weight / weight if weight > 0.0 else 0.0,
                        line.weight / grain if grain > 0.0 and line.key in GRAIN_KEYS else 0.0,
                        extract,
                        extract / whole if whole > 0.0 else 0.0,
                        line.ebc, line.row, line.known,
                    ),
                )
                for line, extract in zip(lines, extracts, strict=True)
            ]
        )  # fmt: skip

    @property
    def way(self) -> Path | None:
        """The fermentation from pitching on; None where nothing says how far the beer falls."""
        from recipelint.brewing import fermenting

        return fermenting.way(self.run)

    @property
    def steps(self) -> tuple[MashStep, ...]:
        """Each rest of the mash and how it is reached."""
        return self.run.steps

    @property
    def rests(self) -> tuple[RestFact, ...]:
        """Each rest of the mash: how it is reached, how thick it is, and what it does to the attenuation limit."""
        return mash_stats.rests(self.run)

    @property
    def hops(self) -> tuple[HopFact, ...]:
        return hopping.bitter(self.run).parts

    @property
    def cultures(self) -> tuple[CultureFact, ...]:
        return tuple(
            CultureFact(
                at=pitch.at,
                id=pitch.id,
                name=pitch.name,
                form=pitch.form,
                attenuation_low=pitch.attenuation_low,
                attenuation_high=pitch.attenuation_high,
                tolerance_low=pitch.tolerance_low,
                tolerance_high=pitch.tolerance_high,
                temperature_low=pitch.temperature_low,
                temperature_high=pitch.temperature_high,
                row=pitch.row,
                known=pitch.known,
            )
            for pitch in self.plan.cultures
        )

    @property
    def contacts(self) -> tuple[Contact, ...]:
        """All that lies in the beer: fruit, dry hops, wood and spice, each with its time and the beer around it."""
        from recipelint.brewing import contact

        return contact.contacts(self.run)

    def contact_at(self, at: str) -> Contact | None:
        """How long what stands at a pointer of the recipe lies in the beer; None if it does not."""
        from recipelint.brewing import contact

        return contact.contact_at(self.run, at)

    def past_package(self, items: Sequence[Item], index: int) -> float | None:
        """Hours for which a line would still have to lie when the beer is packaged, by what is written alone."""
        from recipelint.brewing import contact

        return contact.past_package(self.run, items, index)

    def never(self, items: Sequence[Item], index: int) -> Never | None:
        """Why a line that is written to go in late never does; None where it does, or nothing tells."""
        from recipelint.brewing import due

        return due.never(self.run, items, index)

    def waited(self, items: Sequence[Item], index: int) -> bool | None:
        """Whether the beer is waited for until it is still, with a line in it for days; None where nothing tells."""
        from recipelint.brewing import due

        return due.waited(self.run, items, index)

    @property
    def vessels(self) -> tuple[VesselFact, ...]:
        """The vessels whose capacity is known, with how full they get."""
        return vessels.facts(self.run)


def brew(
    recipe: Recipe, brewhouse: Brewhouse | None, catalogue: Catalogue, models: dict[str, str] | None = None
) -> Brew:
    """Brew a recipe on paper.

    ``models`` chooses among the trade's equations: bitterness tinseth, rager or garetz; colour morey or
    daniels.
    """
    return Brew(settled_run(plan(recipe, brewhouse, catalogue, models)))
