"""One file of each kind that uses nearly every form, and a way to build from text."""

from __future__ import annotations

from recipelint.recipe.builder import Built, build, kind_of
from recipelint.source.nodes import Document
from recipelint.source.reader import read

RECIPE = """\
recipe: 1
name: Harrow Field
revision: 7
style: bjcp-2021/imperial-stout   # a code does as well, bjcp-2021/20C
brewhouse: quarry-barn

batch: {volume: 18 L, into: fermenter}

grist:
  - malt: pale-ale-malt
    weight: 7.4 kg
    lot: 2027-04
  - malt: caramel-malt-60
    weight: 420 g
    colour: 160 EBC
    yield: 73 % as-is
  - malt: black-malt
    weight: 260 g
    mash: last 20 min
  - sugar: invert-sugar-3
    weight: 380 g
    boil: 15 min
  - sugar: candi-sugar-dark
    weight: 300 g
    ferment: below 1.040

mash:
  heating: direct
  liquor: 23 L
  rests:
    - {at: 52 °C, for: 15 min}
    - {at: 66 °C, for: 75 min}
    - {at: 77 °C, for: 5 min}
sparge: {method: fly, liquor: 11 L, at: 75 °C}

boil: {for: 120 min}

hops:
  - hop: northern-brewer
    weight: 55 g
    alpha: 8.6 %
    form: cone
    boil: 80 min
  - hop: challenger
    weight: 20 g
    alpha: 7.3 %
    whirlpool: 25 min
    at: 79 °C
  - hop: willamette
    weight: 35 g
    alpha: 5.1 %
    dry_hop: 4 d before package
    for: 60 h

yeast:
  - culture: irish-ale
    form: liquid
    packs: 3
    packed: 2027-01-11
    starter: {volume: 3.5 L, gravity: 1.040, stirred: true, settled: true}
    attenuation: 70 .. 76 %

additions:
  - {add: yeast-nutrient-blend, weight: 4 g, boil: 15 min}
  - {add: carrageenan-tablet, count: 2, boil: 12 min}
  - {add: phosphoric-acid, volume: 5 mL, strength: 10 %, mash: true}
  - {add: vanilla, weight: 8 g, condition: after 1 month, for: 2 weeks, until: tasted}

water: {source: hill-spring, calcium: 52 mg/L}

oxygen: {dose: pure, for: 2 min, at: pitching}
fermentation:
  - {at: 18 °C, for: 3 d}
  - {rise: free, to: 22 °C, until: still 4 d}
conditioning:
  - {vessel: keg, capacity: 19 L, racked: true, purged: true, at: 9 °C, for: 4 months}
packaging:
  - {into: bottle, glass: champagne, rated: 9 bar, carbonation: 2.4 vol, priming: sucrose,
     yeast: {culture: champagne-bottle-conditioning, weight: 3 g}, store: {at: 14 °C, warmest: 26 °C}}

expect:
  pitching_gravity: 1.094 ± 0.004
  abv: 9.0 .. 10.2 %

accept:
  - rule: bitterness-ratio-off-style
    because: the roast carries a third of the bitterness here, tasted blind in May
"""

BREWHOUSE = """\
brewhouse: 1
name: Quarry Barn
mash: {capacity: 55 L, dead_space: 2.2 L, absorption: 0.9 L/kg, heating_rate: 0.8 K/min, kind: recirculated,
       conversion: 93 %}
kettle: {capacity: 60 L, boil_off: 4.2 L/h, loss: 2.5 L, stand: 12 min, cooling: 35 min}
fermenter: {capacity: 33 L, lees: 1.3 L}
grain_at: 11 °C
altitude: 310 m
efficiency: {mash: 74 % ± 4 %, of: dry-yield}
"""

RECORD = """\
brew: 1
recipe: harrow-field
commit: b81e04d
date: 2027-02-06
brewhouse: quarry-barn
measured:
  mash_ph: 5.42
  pre_boil_volume: 29 L hot
  pre_boil_gravity: 1.071
  fermenter_volume: 19.5 L
  pitching_gravity: 1.092 at 24 °C
  readings: [{day: 4 d, gravity: 1.031, at: 22 °C}, {day: 11 d, gravity: 11.4 Bx refractometer}]
  final_gravity: 1.024
  package_volume: 17.5 L
notes: the pump stood still for ten minutes at the second rest
"""

HOUSE = """\
house: 1
name: The Quarry Barn
units: metric
region: eu
guide: bjcp-2021
brewhouse: quarry-barn
files: {recipes: ["recipes/**/*.yaml"], brewhouses: ["brewhouses/*.yaml"]}
models: {bitterness: tinseth}
rules:
  crystal-share-high: off
  kettle-headspace-small: note
  sugar-share-high: {warning_above: 35 %, styles: {bjcp-2021/belgian-dark-strong-ale: {warning_above: 0.45}}}
fail_at: warning
"""

CATALOGUE = """\
catalogue: 1
items:
  - {malt: pale-ale-malt, lot: 2027-04, yield: 80.6 % dry, moisture: 3.8 %, colour: 5.7 EBC}
  - {hop: northern-brewer, lot: 2026-2, alpha: 8.6 %}
"""

STYLES = """\
styles: 1
guide: {id: barn, name: Beers of the Barn}
items:
  - {style: winter-ale, name: Winter Ale, og: [1.070, 1.095], abv: [7.0, 10.0]}
"""

SAMPLES = {
    "recipe": RECIPE,
    "brewhouse": BREWHOUSE,
    "brew": RECORD,
    "house": HOUSE,
    "catalogue": CATALOGUE,
    "styles": STYLES,
}

SMALL = """\
recipe: 1
name: A
batch: {volume: 20 L, into: fermenter}
grist:
  - {malt: pale-ale-malt, weight: 5 kg}
"""


def document(text: str, file: str = "recipes/a.yaml") -> Document:
    """A document of the text, which has to be sound YAML."""
    found = read(file, text.encode())
    assert not found.problems, found.problems
    return found


def built(text: str) -> Built:
    """What the builder makes of the text."""
    found = document(text)
    kind = kind_of(found)
    assert kind is not None
    return build(kind, found)


def recipe(extra: str = "", base: str = SMALL):  # type: ignore[no-untyped-def]
    """The recipe of a small sound file with more lines behind it; no trouble may come of it."""
    found = built(base + extra)
    assert not [each for each in found.troubles if each.level == "error"], found.troubles
    return found.value
