"""The liquor of one recipe: its waters, salts and acids laid out for the equations of ``water`` and ``mash_ph``.

Ions mg/L, alkalinity mg/L as calcium carbonate, volumes L, weights kg in the recipe and g in the equations. Nothing
here runs unless something asks for a figure of the water.
"""

from __future__ import annotations

import math
from _operator import attrgetter
from collections.abc import Callable, Sequence
from typing import Any

from recipelint.brewing import acids, mash_ph, water
from recipelint.brewing.inputs import PH, WATER, WATER_HALF, mashed
from recipelint.brewing.plan import Plan
from recipelint.brewing.process import Run
from recipelint.brewing.stations import Found, MashStation
from recipelint.recipe.model import AdditionItem

IONS = ("calcium", "magnesium", "sodium", "chloride", "sulphate")
_BASES = ("bicarbonate", "alkalinity")
_analysis = attrgetter(
    *IONS, *_BASES
)  # of a water, be it written or a row; in the order of ``water.liquor_of``
_NOTHING = (None,) * len((*IONS, *_BASES))
STAGES = {"mash": "mash", "sparge": "sparge", "liquor": "liquor", "boil": "boil", "whirlpool": "boil"}


class Treated:
    """The liquor and everything that goes into it; in_mash and sparge are its litres.

    ``why`` says why nothing is known of it, ``sour_why`` why its alkalinity and pH are not: an acid whose strength
    nobody tells.
    """

    __slots__ = ("_treatment", "acids", "in_mash", "salts", "sour_why", "sources", "sparge", "why")

    def __init__(self, why: str, in_mash: float = 0.0, sparge: float = 0.0) -> None:
        self.why = why
        self.sour_why = ""
        self.in_mash = in_mash
        self.sparge = sparge
        self.sources: list[water.Source] = []
        self.salts: list[water.Salt] = []
        self.acids: list[acids.Acid] = []
        self._treatment: water.Treatment | None = None

    @property
    def treatment(self) -> water.Treatment | None:
        """The liquor of mash, sparge and both, worked out when first asked for; None where nothing is known of it."""
        if self._treatment is None and not self.why:
            self._treatment = water.treat(self.sources, self.in_mash, self.sparge, self.salts, self.acids)
        return self._treatment


def treated(run: Run) -> Treated:
    """The liquor of this run, kept on it."""
    if run.liquor is None:
        run.liquor = _treated(run.plan, run.mash, 1.0 + WATER_HALF * run.x[WATER])
    return run.liquor  # type: ignore[return-value]


def _treated(plan: Plan, station: MashStation, times: float) -> Treated:
    if not plan.recipe.water:
        return Treated("the recipe gives no water")
    in_mash = station.strike + station.infused
    if in_mash <= 0.0:
        return Treated("there is no liquor")
    found = Treated("", in_mash, station.sparge)
    found.sources, found.why = _sources(plan, times)
    for item, row in zip(plan.recipe.additions, plan.addition_rows, strict=True):
        if row is None:
            continue
        if row.id in acids.ACIDS:
            moles, reason = _acid(item, row.id, in_mash, station.sparge, plan.wish)
            found.sour_why = found.sour_why or reason
            stage = STAGES.get(item.when.stage if item.when is not None else "mash", "")
            if moles is not None and stage:
                found.acids.append(acids.Acid(item.at, stage, row.id, moles))
        elif row.ions or row.kind == "water-salt":
            salt, reason = _salt(item, row, in_mash, station.sparge, plan.wish)
            found.why = found.why or reason
            if salt is not None:
                found.salts.append(salt)
    return found


def _sources(plan: Plan, times: float) -> tuple[list[water.Source], str]:
    """The waters of the blend: what is written of one beats its row in the catalogue."""
    shares = water.shares_of(
        [one.share.value if one.share is not None else None for one in plan.recipe.water]
    )
    found: list[water.Source] = []
    for written, row, share in zip(plan.recipe.water, plan.water_rows, shares, strict=True):
        own = _analysis(written)
        if row is None and not any(own):
            return [], f"no analysis of {written.source or 'the water'} is known"
        ions = _analysis(row) if row is not None else _NOTHING
        if any(own):
            # A base that is written stands for both: the row's other one is not held beside it.
            if any(own[len(IONS) :]):
                ions = ions[: len(IONS)] + _NOTHING[len(IONS) :]
            ions = tuple([ion if one is None else one.value for one, ion in zip(own, ions, strict=True)])
        found.append(water.Source(written.at, water.scaled(water.liquor_of(*ions), times), share))
    return found, ""


def _litres(stage: str, in_mash: float, sparge: float, batch: float) -> float:
    """The liquor (L) that a dose in g/L is counted on: that into which it goes."""
    return {"mash": in_mash, "sparge": sparge, "liquor": in_mash + sparge}.get(stage, batch)


def _grams(item: AdditionItem, litres: float) -> float | None:
    if item.weight is None:
        return None
    return item.weight.value * (litres if "concentration" in item.weight.kind else 1000.0)


def _salt(
    item: AdditionItem, row: Any, in_mash: float, sparge: float, batch: float
) -> tuple[water.Salt | None, str]:
    stage = STAGES.get(item.when.stage if item.when is not None else "liquor", "")
    if not stage:
        return None, ""  # after the boil it is no part of the liquor
    name = row.name or row.id
    if not row.ions:
        return None, f"nothing says what {name} is made of"
    grams = _grams(item, _litres(stage, in_mash, sparge, batch))
    if grams is None:
        return None, f"the weight of {name} is not written"
    return water.Salt(item.at, stage, grams, row.ions), ""


def _acid(
    item: AdditionItem, ident: str, in_mash: float, sparge: float, batch: float
) -> tuple[float | None, str]:
    stage = STAGES.get(item.when.stage if item.when is not None else "mash", "")
    if not stage:
        return None, ""
    litres = _litres(stage, in_mash, sparge, batch)
    millilitres = None
    if item.volume is not None:
        millilitres = item.volume.value * (litres if "concentration" in item.volume.kind else 1000.0)
    strength = item.strength.value if item.strength is not None else None
    return acids.acid_dose(ident, _grams(item, litres), millilitres, strength)


def malts_of(plan: Plan, station: MashStation) -> tuple[mash_ph.Malt, ...]:
    """What is in the mash from the start: late malt comes when the pH has done its work."""
    whole = math.fsum([stretch.minutes for stretch in station.converted.schedule.stretches])
    found = []
    for line in mashed(plan):
        if line.minutes is not None and line.minutes < 0.5 * whole:
            continue
        row = line.row
        stated = row.mash_ph if row is not None else None
        own = row is not None and row.origin != "catalogue"
        malt = mash_ph.malt_of(
            line.at, line.name, line.weight, line.kind, line.lovibond, stated, own, line.key
        )
        if malt is not None:
            found.append(malt)
    return tuple(found)


def balance(run: Run) -> mash_ph.PhBalance:
    """The pH of this mash and what each line has to do with it, without the error of the scheme."""
    found = treated(run)
    if found.why or found.sour_why:
        return mash_ph.PhBalance(None, found.why or found.sour_why)
    if run.mash.grain <= 0.0:
        return mash_ph.PhBalance(None, "nothing is mashed")
    parts, sour = water.mash_parts(found.sources, found.in_mash, found.sparge, found.salts, found.acids)
    brine = mash_ph.beyond(parts)
    if brine:
        return mash_ph.PhBalance(None, brine)
    return mash_ph.mash_ph(malts_of(run.plan, run.mash), parts, found.in_mash, sour)


def _ph(run: Run) -> Found:
    found = balance(run)
    if found.ph is None:
        return None, found.why, ()
    ph = found.ph + mash_ph.MASH_PH_HALF * run.x[PH]
    return ph, "", lambda: tuple((term.at, 0.0) for term in found.terms)


def _lines(run: Run) -> tuple[tuple[str, float], ...]:
    """The waters and what is stirred into them."""
    rows = zip(run.plan.recipe.additions, run.plan.addition_rows, strict=True)
    salts = [item.at for item, row in rows if row is not None and (row.ions or row.id in acids.ACIDS)]
    return tuple((at, 0.0) for at in (*(one.at for one in run.plan.recipe.water), *salts))


_SOUR = frozenset(("alkalinity", "bicarbonate", "residual_alkalinity"))


def _of(
    name: str, pick: Callable[[water.Treatment], water.Liquor | None], none: str
) -> Callable[[Run], Found]:
    def found(run: Run) -> Found:
        liquor = treated(run)
        treatment = liquor.treatment
        if treatment is None:
            return None, liquor.why, ()
        if liquor.sour_why and name in _SOUR:
            return None, liquor.sour_why, ()
        part = pick(treatment)
        if part is None:
            return None, none, ()
        value, why = water.found(part, name)
        return value, why, lambda: _lines(run)

    return found


def _imbalance(run: Run) -> Found:
    """Charge of the blend of sources that does not balance: the quality of the analysis, salts left out."""
    if not run.plan.recipe.water:
        return None, "the recipe gives no water", ()
    sources, why = _sources(run.plan, 1.0)
    if why:
        return None, why, ()
    value, why = water.imbalance(water.blend([(source.liquor, source.share) for source in sources]))
    return value, why, tuple((source.at, 0.0) for source in sources)


def _mash_ions(names: Sequence[str]) -> dict[str, Callable[[Run], Found]]:
    return {name: _of(name, lambda found: found.mash, "") for name in names}


def _sparge_ions(names: Sequence[str]) -> dict[str, Callable[[Run], Found]]:
    none = "there is no sparge liquor"
    return {f"sparge_{name}": _of(name, lambda found: found.sparge, none) for name in names}


def _in_all(ion: str) -> Callable[[Run], Found]:
    """An ion of all liquor, with what goes into the kettle; the parts are what each water and each dose brings."""

    def found(run: Run) -> Found:
        liquor = treated(run)
        treatment = liquor.treatment
        if treatment is None:
            return None, liquor.why, ()
        value, why = water.found(treatment.whole, ion)
        return value, why, lambda: _brought(liquor, ion)

    return found


def _brought(liquor: Treated, ion: str) -> tuple[tuple[str, float], ...]:
    litres = liquor.in_mash + liquor.sparge
    rows = [(one.at, one.share * getattr(one.liquor, ion)) for one in liquor.sources]
    rows += [(salt.at, getattr(water.per_gram(salt.ions, salt.grams / litres), ion)) for salt in liquor.salts]
    return tuple(rows)


_TOLD = (*IONS, "bicarbonate", "alkalinity", "residual_alkalinity")

FINDERS: dict[str, Callable[[Run], Found]] = {
    "mash_ph": _ph,
    **_mash_ions(_TOLD),
    **_sparge_ions(_TOLD),
    **{f"liquor_{ion}": _in_all(ion) for ion in IONS},
    "sulphate_chloride_ratio": _of("sulphate_chloride_ratio", lambda found: found.whole, ""),
    "water_imbalance": _imbalance,
}
