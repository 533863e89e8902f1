"""Working of a steep: what its grain gives, what is poured on, what the grain keeps of it and what runs off."""

from __future__ import annotations

from recipelint.brewing import mashing
from recipelint.brewing.dissolving import STEEP_YIELD
from recipelint.brewing.steep import steep_liquor
from recipelint.brewing.workings.givens import constant, indices, of_kit, origin, potential, weight
from recipelint.brewing.workings.gravity import water_beside
from recipelint.brewing.workings.sheet import EXTRACT, PRACTICE, VOLUMES, Known, Sheet, part, summed

STEEP = "The steep"


def _beside_mash(sheet: Sheet) -> bool:
    return sheet.run.mash.efficiency is not None and bool(indices(sheet, "steep"))


@part(STEEP)
def steep_extract(sheet: Sheet) -> Known | None:
    """Extract that steeped grain gives; None without any."""
    steeped = [potential(sheet, index) for index in indices(sheet, "steep")]
    if not steeped:
        return None
    share = constant(sheet, "k_s", "share of its yield that steeped malt gives", STEEP_YIELD, "1", PRACTICE)
    formula = f"{share.symbol} * {summed(term.symbol for term in steeped)}"
    return sheet.put("E_s", "extract from the steep", formula, (share, *steeped), "kg", source=EXTRACT)


@part(STEEP)
def steep_kept(sheet: Sheet) -> Known | None:
    """Liquor that steeped grain keeps, if there is enough of it; None without any."""
    weights = [weight(sheet, index) for index in indices(sheet, "steep")]
    if not weights:
        return None
    kept = of_kit(sheet, "absorption")
    formula = f"{kept.symbol} * {summed(term.symbol for term in weights)}"
    words, value = "liquor that steeped grain keeps", sheet.run.mash.steep.kept
    return sheet.put("V_sk", words, formula, (kept, *weights), "L", value, VOLUMES)


@part(STEEP)
def steep_poured(sheet: Sheet) -> Known | None:
    """Liquor of a steep beside a mash; None without one."""
    if not _beside_mash(sheet):
        return None
    plan, words, value = sheet.plan, "liquor of the steep", sheet.run.mash.steep.liquor
    if steep_liquor(plan) is None:
        weights = [weight(sheet, index) for index in indices(sheet, "steep")]
        usual = constant(sheet, "u_sl", "usual liquor of a steep", mashing.USUAL, "L/kg", PRACTICE)
        formula = f"{usual.symbol} * {summed(term.symbol for term in weights)}"
        return sheet.put("V_sl", words, formula, (usual, *weights), "L", value, PRACTICE)
    found: list[Known] = []
    for index in indices(sheet, "steep"):
        steep = plan.recipe.grist[index].steep
        if steep is not None and steep.liquor is not None:
            where = origin(sheet, steep.liquor, f"{steep.at}/liquor")
            found.append(
                sheet.given(
                    f"V_sl{index + 1}", f"{words} of line {index + 1}", steep.liquor.value, "L", where
                )
            )
    return sheet.sum("V_sl", words, found, "L", value)


@part(STEEP)
def steep_water(sheet: Sheet) -> Known | None:
    """Water that runs off a steep beside a mash; None without one, and where its grain keeps all."""
    poured, kept, extract = steep_poured(sheet), steep_kept(sheet), steep_extract(sheet)
    if poured is None or kept is None or extract is None or sheet.run.mash.steep.water <= 0.0:
        return None
    formula = f"{poured.symbol} - {kept.symbol}"
    volume = sheet.put(
        "V_so", "volume of the wort off the steep", formula, (poured, kept), "L", source=VOLUMES
    )
    return water_beside(sheet, "so", "the wort off the steep", extract, volume)


@part(STEEP)
def steep_keeps(sheet: Sheet) -> Known | None:
    """Liquor that stays with the steeped grain: no more than was poured on; None without any."""
    kept, poured = steep_kept(sheet), steep_poured(sheet)
    if kept is None or poured is None or poured.value >= kept.value:
        return kept
    formula = f"min({kept.symbol}, {poured.symbol})"
    return sheet.put("V_sg", "liquor that stays with the steeped grain", formula, (kept, poured), "L")
