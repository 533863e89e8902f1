"""Working of the mash's own stats: strike heat, time at converting heat, stated against reckoned efficiency."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from recipelint.brewing import mashing
from recipelint.brewing.process import Run
from recipelint.brewing.workings.fermenter import wort
from recipelint.brewing.workings.givens import of_kit, water_density
from recipelint.brewing.workings.lauter import stated_efficiency
from recipelint.brewing.workings.liquor import HEAT, grain, grain_heat, rest_heat, vessel_heat
from recipelint.brewing.workings.sheet import EXTRACT, PRACTICE, Known, Sheet, Table, need, part
from recipelint.brewing.workings.volumes import strike

MASH = "The mash"


@part(MASH)
def strike_temperature(sheet: Sheet) -> Known:
    """How hot the strike liquor must be for the first rest."""
    malt, liquor = grain(sheet), strike(sheet)
    target, cold, share = rest_heat(sheet, 1), of_kit(sheet, "grain_at"), grain_heat(sheet)
    walls, rho = vessel_heat(sheet, malt, liquor), water_density(sheet)
    wanted = f"{share.symbol} * {malt.symbol} * ({target.symbol} - {cold.symbol})"
    terms = [target, share, malt, cold, liquor, rho, walls]
    value = sheet.run.steps[0].needed
    if sheet.plan.kit.kind in ("bag", "recirculated"):
        formula = f"{target.symbol} + {wanted} / ({liquor.symbol} * {rho.symbol} + {walls.symbol})"
        note = "the liquor is heated in the vessel, whose walls give heat back"
    else:
        formula = (
            f"{target.symbol} + ({wanted} + {walls.symbol} * ({target.symbol} - {cold.symbol}))"
            f" / ({liquor.symbol} * {rho.symbol})"
        )
        note = "the tun is taken to stand as cold as the grain"
    return sheet.put("T_s", "strike temperature", formula, terms, "°C", value, HEAT, note)


@part(MASH)
def _saccharification(sheet: Sheet) -> Known:
    stretches = sheet.run.mash.converted.schedule.stretches
    low, high = mashing.CONVERTING
    table = Table(
        ("min", "from °C", "to °C", f"min between {low:g} and {high:g} °C"),
        tuple((one.minutes, one.start, one.end, mashing.converting_minutes((one,))) for one in stretches),
    )
    words, form = "minutes at converting heat", "sum of the minutes of each stretch, its ramps in proportion"
    return sheet.step(
        "t_k", words, form, (), "min", mashing.converting_minutes(stretches), PRACTICE, "", table
    )


@part(MASH)
def _efficiency_gap(sheet: Sheet) -> Known:
    """Stated efficiency less what grist, rests, liquor and vessel give."""
    stated_run = sheet.run
    kit = stated_run.plan.kit._replace(mash_efficiency=None, brewhouse_efficiency=None)
    sheet.run = Run(stated_run.plan._replace(kit=kit))
    sheet.plan = sheet.run.plan
    reckoned = need(wort(sheet))
    sheet.run, sheet.plan = stated_run, stated_run.plan
    told = stated_efficiency(sheet, "e_t")
    formula = f"{told.symbol} - {reckoned.symbol}"
    words = "stated efficiency beyond what grist and vessel give"
    return sheet.put("x", words, formula, (told, reckoned), "1", source=EXTRACT)


CHAINS: Mapping[str, Callable[[Sheet], Known]] = {
    "strike_temperature": strike_temperature,
    "saccharification_minutes": _saccharification,
    "efficiency_gap": _efficiency_gap,
}
