"""The brews whose workings are checked: the recipe book, and odd ones for what its recipes do not do."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from pathlib import Path

from recipelint.brewing.brew import Brew
from recipelint.brewing.workings.sheet import Line, Working, working_of
from recipelint.recipe.stat_names import STATS
from recipelint.workspace.workspace import open_workspace
from tests.brewing.paper import brewed

BOOK = Path(__file__).resolve().parents[2] / "examples" / "recipe-book"

KETTLE = """
brewhouse:
  mash: {capacity: 40 L, dead_space: 1 L, kind: tun}
  kettle: {capacity: 45 L, boil_off: 3 L/h, loss: 1.5 L, stand: 8 min, cooling: 20 min}
  fermenter: {capacity: 30 L, lees: 0.8 L}
"""
PALE = "  - {malt: maris-otter-pale-malt, weight: 5 kg}\n"
YEAST = "yeast: {culture: english-ale, form: dry, weight: 11 g, attenuation: 72 .. 80 %}\n"
HOP = "  - {hop: fuggle, weight: 30 g, alpha: 4.5 %, boil: 60 min}\n"
MASH = "mash: {rests: [{at: 66 °C, for: 60 min}]}\n"


def _recipe(
    grist: str = PALE,
    hops: str = HOP,
    mash: str = MASH,
    house: str = KETTLE,
    batch: str = "volume: 20 L, into: fermenter",
    rest: str = YEAST,
) -> str:
    hopped = f"hops:\n{hops}" if hops else ""
    start = f"recipe: 1\nname: Odd\nbatch: {{{batch}}}\n{house}grist:\n{grist}"
    return f"{start}{mash}boil: {{for: 60 min}}\n{hopped}{rest}"


def _efficiency(text: str) -> str:
    return KETTLE + f"  efficiency: {{{text}}}\n"


ODD: dict[str, str] = {
    "no hops": _recipe(hops=""),
    "no brewhouse": _recipe(house=""),
    "no yeast": _recipe(rest=""),
    "no rests": _recipe(mash=""),
    "extract only": _recipe("  - {extract: dry-malt-extract-light, weight: 3 kg}\n", mash=""),
    "extract and steeped grain": _recipe(
        "  - {extract: liquid-malt-extract-light, weight: 3 kg, boil: 10 min}\n"
        "  - {malt: crystal-malt-british, weight: 400 g, steep: {at: 68 °C, for: 30 min}}\n",
        mash="",
    ),
    "steep beside the mash": _recipe(
        PALE
        + "  - {malt: crystal-malt-british, weight: 300 g, steep: {at: 68 °C, for: 30 min, liquor: 3 L}}\n"
        "  - {malt: chocolate-malt, weight: 200 g, steep: {at: 68 °C, for: 30 min}}\n"
    ),
    "steep without its liquor": _recipe(
        PALE + "  - {malt: crystal-malt-british, weight: 500 g, steep: {at: 68 °C, for: 30 min}}\n"
    ),
    "steep that runs dry": _recipe(
        PALE
        + "  - {malt: crystal-malt-british, weight: 500 g, steep: {at: 68 °C, for: 30 min, liquor: 0.3 L}}\n"
    ),
    "starch that sees no full mash": _recipe(
        "  - {malt: munich-malt-20, weight: 3 kg}\n"
        "  - {grain: rice-grits, weight: 800 g}\n"
        "  - {grain: flaked-oats, weight: 300 g, mash: last 8 min}\n"
        "  - {malt: crystal-malt-british, weight: 300 g}\n"
        "  - {malt: pilsner-malt, weight: 500 g, boil: 30 min}\n"
        "  - {malt: pilsner-malt, weight: 200 g, whirlpool: 20 min}\n"
        "  - {malt: chocolate-malt, weight: 100 g, boil: 10 min}\n"
        "  - {malt: pilsner-malt, weight: 300 g, steep: {at: 66 °C, for: 5 min}}\n"
        "  - {grain: flaked-barley, weight: 300 g, steep: {at: 66 °C, for: 5 min}}\n",
        house=_efficiency("brewhouse: 68 %"),
    ),
    "short, weak and with figures of its own": _recipe(
        "  - {malt: munich-malt-dark, weight: 3 kg, diastatic_power: 20 °Lintner}\n"
        "  - {malt: pale-ale-malt, weight: 1 kg, fermentability: 60 %}\n"
        "  - {grain: maize-grits, weight: 500 g}\n"
        "  - {grain: flaked-oats, weight: 300 g, mash: last 3 min}\n",
        mash="mash: {rests: [{at: 64 °C, for: 10 min}]}\n",
    ),
    "flakes and an enzyme": _recipe(
        "  - {grain: flaked-oats, weight: 3 kg}\n  - {malt: crystal-malt-british, weight: 300 g}\n",
        rest=YEAST + "additions: [{add: alpha-amylase, weight: 2 g, mash: true}]\n",
    ),
    "all sugar": _recipe("  - {sugar: sucrose, weight: 2 kg}\n", mash=""),
    "shares": _recipe(
        "  - {malt: maris-otter-pale-malt, share: 90 %}\n  - {malt: chocolate-malt, share: 10 %}\n",
        batch="volume: 20 L, into: fermenter, gravity: 1.052",
    ),
    "shares into the package": _recipe(
        "  - {malt: maris-otter-pale-malt, share: 92 %}\n"
        "  - {sugar: demerara-sugar, share: 8 %, ferment: 3 d}\n",
        hops=HOP + "  - {hop: fuggle, weight: 40 g, alpha: 4.5 %, dry_hop: 4 d}\n",
        batch="volume: 19 L, into: package, gravity: 1.060",
    ),
    "into the kettle": _recipe(batch="volume: 24 L, into: kettle"),
    "boiled small, topped up": _recipe(
        "  - {extract: dry-malt-extract-light, weight: 2 kg}\n"
        "  - {extract: dry-malt-extract-light, weight: 1 kg, boil: 5 min}\n",
        mash="",
        rest=YEAST,
    ).replace("boil: {for: 60 min}", "boil: {for: 60 min, volume: 12 L}"),
    "topped up": _recipe(rest=YEAST + "top_up: {volume: 4 L}\n"),
    "mash efficiency stated dry": _recipe(house=_efficiency("mash: 78 % ± 3 %, of: dry-yield")),
    "mash efficiency stated as-is": _recipe(house=_efficiency("mash: 76 %, of: as-is")),
    "brewhouse efficiency stated": _recipe(house=_efficiency("brewhouse: 68 %")),
    "infusions left open": _recipe(
        mash="mash: {rests: [{at: 55 °C, for: 10 min}, {at: 66 °C, for: 50 min, by: infusion}]}\n"
    ),
    "infusions and no sparge": _recipe(
        mash="mash: {heating: infusion, rests: [{at: 52 °C, for: 10 min}, {at: 62 °C, for: 30 min}, "
        "{at: 70 °C, for: 30 min}]}\nsparge: {method: none}\n"
    ),
    "infusions written": _recipe(
        mash="mash: {liquor: 12 L, rests: [{at: 55 °C, for: 10 min}, "
        "{at: 66 °C, for: 50 min, liquor: 4 L, of: 95 °C}, {at: 74 °C, for: 10 min, by: infusion}]}\n"
        "sparge: {method: batch, rinses: 2, liquor: 12 L}\n"
    ),
    "infusions that take too much": _recipe(
        mash="mash: {rests: [{at: 40 °C, for: 10 min}, {at: 66 °C, by: infusion, of: 75 °C, for: 50 min}]}\n"
    ),
    "infusions beside a written sparge": _recipe(
        mash="mash: {rests: [{at: 60 °C, for: 10 min}, {at: 66 °C, by: infusion, for: 50 min}]}\n"
        "sparge: {method: batch, liquor: 10 L}\n"
    ),
    "a sparge that is written": _recipe(rest=YEAST + "sparge: {method: fly, liquor: 12 L}\n"),
    "a sparge that leaves too little": _recipe(rest=YEAST + "sparge: {method: batch, liquor: 26 L}\n"),
    "too little and no sparge": _recipe(
        mash="mash: {liquor: 15 L, rests: [{at: 66 °C, for: 60 min}]}\nsparge: {method: none, liquor: 17 L}\n"
    ),
    "a cup of malt in a large tun": _recipe(
        "  - {malt: maris-otter-pale-malt, weight: 300 g}\n", house=KETTLE.replace("40 L", "90 L")
    ),
    "a cup of malt in a large kettle": _recipe(
        "  - {malt: maris-otter-pale-malt, weight: 300 g}\n"
        "  - {extract: dry-malt-extract-light, weight: 2 kg}\n",
        mash="mash: {rests: [{at: 94 °C, for: 60 min}, {at: 95 °C, by: infusion, for: 10 min}]}\n"
        "sparge: {method: batch}\n",
        house=KETTLE.replace("40 L", "90 L").replace("tun", "bag"),
    ),
    "over the brim": _recipe(house=KETTLE.replace("40 L", "15 L")),
    "decoction": _recipe(
        mash="mash: {liquor: 16 L, rests: [{at: 55 °C, for: 10 min}, "
        "{at: 66 °C, for: 50 min, by: decoction, pull: thick}]}\n"
    ),
    "short and cool mash": _recipe(mash="mash: {rests: [{at: 58 °C, for: 15 min}]}\n"),
    "late malt": _recipe(
        PALE + "  - {malt: munich-malt-light, weight: 500 g, mash: last 15 min}\n"
        "  - {malt: chocolate-malt, weight: 200 g, mash: last 10 min}\n"
    ),
    "yields written": _recipe(
        "  - {malt: maris-otter-pale-malt, weight: 9 lb, yield: 303 L°/kg}\n"
        "  - {malt: munich-malt-light, weight: 500 g, yield: 80 % dry, moisture: 4.5 %, colour: 22 EBC}\n"
        "  - {malt: chocolate-malt, weight: 150 g, yield: 70 % as-is}\n"
    ),
    "unknown malt and hop": _recipe(
        "  - {malt: a-malt-of-our-own, weight: 5 kg}\n", hops="  - {hop: a-hop-of-our-own, weight: 20 g}\n"
    ),
    "hops of all kinds": _recipe(
        hops="  - {hop: fuggle, weight: 30 g, alpha: 4.5 %, form: cone, first_wort: true}\n"
        "  - {hop: target, weight: 15 g, boil: 60 min, age: 8 months, stored_at: 8 °C}\n"
        "  - {hop: target, weight: 15 g, alpha: 10 %, boil: 0 min, form: extract}\n"
        "  - {hop: fuggle, weight: 1 g/L, alpha: 4.5 %, whirlpool: 20 min, at: 82 °C}\n"
        "  - {hop: fuggle, weight: 20 g, alpha: 4.5 %, whirlpool: 10 min, at: 82 °C}\n"
        "  - {hop: fuggle, weight: 20 g, alpha: 4.5 %, whirlpool: 15 min, at: 70 °C, held: true}\n"
        "  - {hop: fuggle, weight: 60 g, alpha: 4.5 %, dry_hop: 3 d}\n"
    ),
    "extract goes in late": _recipe(
        PALE + "  - {extract: dry-malt-extract-light, weight: 800 g, boil: 20 min}\n"
        "  - {extract: liquid-malt-extract-light, weight: 1 kg, boil: 5 min}\n"
        "  - {sugar: honey, weight: 300 g, whirlpool: 5 min}\n",
        hops=HOP + "  - {hop: target, weight: 10 g, first_wort: true}\n"
        "  - {hop: fuggle, weight: 20 g, alpha: 4.5 %, boil: 30 min}\n"
        "  - {hop: fuggle, weight: 20 g, alpha: 4.5 %, boil: 12 min}\n"
        "  - {hop: fuggle, weight: 20 g, alpha: 4.5 %, boil: 0 min}\n"
        "  - {hop: fuggle, weight: 20 g, alpha: 4.5 %, whirlpool: 12 min}\n"
        "  - {hop: fuggle, weight: 20 g, alpha: 4.5 %, mash: true}\n",
        house=KETTLE + "  altitude: 700 m\n",
    ),
    "all extract at flame-out": _recipe(
        "  - {extract: dry-malt-extract-light, weight: 3 kg, boil: 0 min}\n", mash=""
    ),
    "sugar at flame-out and no boil": _recipe(
        PALE + "  - {sugar: honey, weight: 500 g, whirlpool: 5 min}\n",
        hops="  - {hop: fuggle, weight: 60 g, alpha: 4.5 %, whirlpool: 30 min, at: 90 °C}\n",
    ).replace("for: 60 min}\nhops", "for: 0 min}\nhops"),
    "high up": _recipe(house=KETTLE + "  altitude: 1600 m\n  grain_at: 10 °C\n"),
    "finish written": _recipe(rest=YEAST + "finishes: 1.014\n"),
    "lactose and a hungry culture": _recipe(
        PALE + "  - {sugar: lactose, weight: 400 g}\n"
        "  - {extract: dry-malt-extract-light, weight: 300 g, ferment: 4 d}\n",
        rest="yeast:\n  - {culture: saison-french, form: dry, weight: 11 g}\n"
        "fermentation: [{at: 22 °C, for: 10 d}]\n"
        "packaging:\n  - {into: bottle, carbonation: 2.4 vol, priming: sucrose, store: {at: 12 °C}}\n",
    ),
    "starter pitched whole": _recipe(
        rest="yeast: {culture: english-ale, form: liquid, packs: 1, attenuation: 75 %, "
        "starter: {volume: 2 L, gravity: 1.040}}\n"
    ),
    "yeast of all kinds": _recipe(
        rest="yeast:\n"
        "  - {culture: english-ale, form: dry, weight: 11 g, viability: 70 %, rehydrated: true}\n"
        "  - {culture: english-ale, form: dry, packs: 1, age: 14 months}\n"
        "  - {culture: english-ale, form: slurry, volume: 150 mL, age: 2 weeks}\n"
        "  - {culture: english-ale, form: liquid, packs: 1, age: 40 d, "
        "starter: {volume: 1.5 L, stirred: true}}\n"
        "  - {culture: english-ale, form: liquid, packs: 1, "
        "starter: {volume: 8 L, gravity: 1.036, settled: true}}\n"
        "  - {culture: english-ale, cells: 50 billion, starter: {volume: 20 L, settled: true}}\n"
        "fermentation: [{at: 18 °C, for: 5 d}, {to: 21 °C, over: 2 d}, {at: 21 °C, for: 4 d}]\n"
        "oxygen: [{dose: shaken}, {dose: air, for: 8 min}, {dose: pure, for: 60 s}, {dose: none}, {dose: air}]\n"
        "packaging: {into: keg, carbonation: 2.4 vol, at: 4 °C}\n"
    ),
    "strong and old, into bottles": _recipe(
        "  - {malt: maris-otter-pale-malt, weight: 9.5 kg}\n"
        "  - {sugar: demerara-sugar, weight: 700 g, ferment: below 1.040}\n",
        rest="yeast: {culture: german-lager, form: dry, packs: 3, attenuation: 80 .. 84 %, "
        "pitch_rate: 1.6 million/mL/°P}\n"
        "fermentation: [{at: 12 °C, for: 14 d}, {at: 27 °C, for: 2 d}]\n"
        "conditioning:\n"
        "  - {vessel: glass-jar, capacity: 22 L, racked: true, purged: true, at: 11 °C, for: 4 months}\n"
        "  - {vessel: glass-jar, capacity: 25 L, racked: true, at: 8 °C, for: 1 month}\n"
        "packaging: {into: bottle, carbonation: 2.1 vol, priming: dextrose}\n",
    ),
    "closed under a valve": _recipe(
        rest=YEAST + "fermentation: [{at: 18 °C, until: 1.016}]\n"
        "conditioning: {vessel: stainless-tank, capacity: 24 L, at: 16 °C, relief: 1.2 bar, for: 10 d}\n"
        "packaging: {into: keg, carbonation: 2.4 vol, at: 4 °C}\n"
    ),
    "packaged early": _recipe(
        rest=YEAST + "fermentation: [{at: 18 °C, until: 1.018}]\n"
        "packaging: {into: bottle, carbonation: 2.2 vol, priming: sucrose, store: {at: 15 °C}}\n"
    ),
    "closed under a valve, high up": _recipe(
        rest=YEAST + "fermentation: [{at: 18 °C, for: 3 d}]\n"
        "conditioning: {vessel: stainless-tank, capacity: 24 L, at: 16 °C, relief: 1.9 bar, for: 10 d}\n"
        "packaging: [{into: bottle, carbonation: 2.4 vol, priming: sucrose, volume: 4 L},\n"
        "  {into: bottle, priming: {sugar: sucrose, weight: 1 g/L}}]\n",
        house=KETTLE + "  altitude: 1400 m\n",
    ),
    "into a keg with a valve, early": _recipe(
        PALE + "  - {sugar: invert-sugar-2, weight: 400 g, ferment: 9 d}\n",
        rest=YEAST + "fermentation: [{at: 18 °C, for: 4 d}]\n"
        "packaging: [{into: keg, relief: 1.6 bar, at: 4 °C, volume: 9 L}, "
        "{into: keg, carbonation: 2.2 vol, relief: 0.4 bar}]\n",
    ),
    "two casks without sugar": _recipe(
        rest=YEAST + "fermentation: [{at: 18 °C, until: below 1.0125}]\n"
        "packaging: [{into: cask, at: 12 °C, volume: 9 L}, {into: cask, at: 12 °C}]\n"
    ),
    "a second culture": _recipe(
        rest="yeast:\n"
        "  - {culture: english-ale, form: dry, packs: 1, attenuation: 62 %}\n"
        "  - {culture: german-lager, form: dry, packs: 2, attenuation: 80 %, ferment: when still}\n"
        "fermentation: [{at: 19 °C, for: 6 d}, {at: 11 °C, for: 12 d}]\n"
        "packaging: {into: bottle, carbonation: 2.4 vol, priming: sucrose}\n"
    ),
    "fruit and sugar in stages": _recipe(
        PALE + "  - {sugar: honey, weight: 500 g, ferment: 3 d}\n"
        "  - {fruit: raspberry-puree, weight: 2 kg, ferment: 6 d}\n"
    ),
    "things that lie in the beer": _recipe(
        PALE + "  - {fruit: raspberry-puree, weight: 2 kg, ferment: when still}\n"
        "  - {fruit: raspberry-puree, weight: 1 kg, ferment: 6 d after previous}\n",
        hops=HOP + "  - {hop: fuggle, weight: 30 g, dry_hop: 3 d}\n"
        "  - {hop: fuggle, weight: 30 g, dry_hop: 2 d after previous, for: 4 d}\n"
        "  - {hop: fuggle, weight: 1 g/L, dry_hop: 5 d before package}\n"
        "  - {hop: fuggle, weight: 30 g, dry_hop: when still}\n",
        rest=YEAST + "fermentation: [{at: 18 °C, for: 5 d}, {at: 20 °C, until: still 3 d}]\n"
        "conditioning:\n"
        "  - {vessel: glass-jar, at: 12 °C, for: 6 weeks}\n"
        "  - {vessel: glass-jar, racked: true, at: 12 °C, for: 2 months}\n"
        "  - {vessel: keg, at: 4 °C, for: 1 week}\n"
        "packaging: {into: keg, carbonation: 2.2 vol, at: 8 °C}\n"
        "additions:\n"
        "  - {add: oak-cubes, weight: 40 g, condition: after 2 weeks}\n"
        "  - {add: vanilla, count: 2, condition: after 1 week, for: 10 d}\n"
        "  - {add: vanilla, count: 2, condition: 3 d after previous}\n",
    ),
    "wood in a plan without a package": _recipe(
        rest=YEAST + "fermentation: [{at: 18 °C, for: 5 d}, {to: 21 °C, over: 2 d, for: 3 d}]\n"
        "conditioning: {at: 12 °C, for: 6 weeks}\n"
        "additions: [{add: oak-chips, weight: 30 g, ferment: 8 d}]\n",
    ),
    "casks": _recipe(
        house=KETTLE + "  altitude: 600 m\n",
        rest=YEAST + "fermentation: [{at: 18 °C, until: 1.018}]\n"
        "packaging:\n"
        "  - {into: cask, volume: 9 L, carbonation: 1.4 vol, priming: sucrose, store: {at: 12 °C}}\n"
        "  - {into: cask, volume: 5 L, priming: {sugar: dextrose, weight: 10 g}, at: 16 °C}\n"
        "  - {into: cask, store: {at: 11 °C}}\n",
    ),
    "waits for a gravity that is below its end": _recipe(
        rest=YEAST + "fermentation: [{at: 18 °C, until: 1.009}]\npackaging: {into: cask, at: 12 °C}\n",
    ),
    "packages of all kinds": _recipe(
        rest=YEAST + "fermentation: [{at: 19 °C, for: 10 d}]\n"
        "packaging:\n"
        "  - {into: bottle, volume: 6 L, priming: {sugar: dextrose, weight: 40 g}, store: {at: 14 °C}}\n"
        "  - {into: bottle, carbonation: 2.6 vol, priming: sucrose}\n"
        "  - {into: bottle, priming: {sugar: sucrose, weight: 5 g/L}}\n"
        "  - {into: keg, volume: 3 L, carbonation: 2.2 vol}\n"
    ),
    "salts and acids": _recipe(
        PALE + "  - {malt: acidulated-malt, weight: 100 g}\n  - {grain: roasted-barley, weight: 200 g}\n",
        rest=YEAST + "water:\n"
        "  - {source: ours, share: 60 %, calcium: 60 mg/L, magnesium: 6 mg/L, sodium: 20 mg/L, "
        "chloride: 30 mg/L, sulphate: 45 mg/L, alkalinity: 120 mg/L}\n"
        "  - {source: reverse-osmosis}\n"
        "additions:\n"
        "  - {add: gypsum, weight: 3 g, mash: true}\n"
        "  - {add: calcium-chloride, weight: 4 g, liquor: all}\n"
        "  - {add: chalk, weight: 6 g, mash: true}\n"
        "  - {add: baking-soda, weight: 0.1 g/L, sparge: true}\n"
        "  - {add: lactic-acid, volume: 2 mL, strength: 80 %, liquor: all}\n"
        "  - {add: phosphoric-acid, volume: 3 mL, strength: 30 %, sparge: true}\n"
        "  - {add: citric-acid, weight: 1 g, mash: true}\n"
        "  - {add: hydrochloric-sulphuric-blend, volume: 3 mL, mash: true}\n"
        "  - {add: gypsum, weight: 1 g, boil: 60 min}\n",
    ),
}
MODELS: dict[str, tuple[str, dict[str, str]]] = {
    "rager": ("hops of all kinds", {"bitterness": "rager", "colour": "daniels"}),
    "garetz": ("hops of all kinds", {"bitterness": "garetz"}),
    "extract goes in late, rager": ("extract goes in late", {"bitterness": "rager"}),
    "extract goes in late, garetz": ("extract goes in late", {"bitterness": "garetz"}),
}


@cache
def brew_of(name: str) -> Brew:
    """A brew by its name: a recipe of the book, an odd one, or one by other models of the trade."""
    if name in MODELS:
        base, models = MODELS[name]
        return brewed(ODD[base], models)
    if name in ODD:
        return brewed(ODD[name])
    beer = open_workspace(str(BOOK)).brewed(f"recipes/{name}.yaml")
    assert beer is not None
    return beer.brew


NAMES = (*sorted(path.stem for path in (BOOK / "recipes").glob("*.yaml")), *ODD, *MODELS)


@cache
def workings_of(name: str) -> dict[str, Working]:
    """The working of every stat of a brew that has a value."""
    brew = brew_of(name)
    return {stat: working_of(brew, stat) for stat in STATS if brew.stat(stat).value is not None}


def lines_of(name: str) -> Iterator[tuple[str, Line]]:
    """Every line of every working of a brew, with the first stat it leads to; those at worst too."""
    seen: set[Line] = set()
    for stat, working in workings_of(name).items():
        for line in (*working.lines, *working.worst):
            like = line._replace(number=0, result=line.result._replace(line=0))
            if like not in seen:
                seen.add(like)
                yield stat, line
