"""One file of each kind that uses nearly every form, and a way to build from text."""

from __future__ import annotations

from recipelint.recipe.builder import Built, build, kind_of
from recipelint.source.nodes import Document
from recipelint.source.reader import read

RECIPE = """\
recipe: 1
name: Winter Signal
revision: 4
style: bjcp-2021/english-barley-wine   # or its code, bjcp-2021/17D
brewhouse: boathouse-40

batch: {volume: 21 L, into: fermenter}

grist:
  - malt: maris-otter-pale-malt
    weight: 8.8 kg
    lot: 2026-11
  - malt: crystal-malt-british
    weight: 350 g
    colour: 150 EBC
    yield: 76 % as-is
  - malt: pale-chocolate-malt
    weight: 80 g
    mash: last 15 min
  - sugar: invert-sugar-2
    weight: 450 g
    boil: 10 min
  - sugar: demerara-sugar
    weight: 250 g
    ferment: below 1.045

mash:
  heating: direct
  liquor: 26 L
  rests:
    - {at: 45 °C, for: 10 min}
    - {at: 65 °C, for: 70 min}
    - {at: 76 °C, for: 10 min}
sparge: {method: fly, liquor: 13 L, at: 77 °C}

boil: {for: 100 min}

hops:
  - hop: target
    weight: 40 g
    alpha: 10.2 %
    form: pellet
    boil: 70 min
  - hop: east-kent-golding
    weight: 30 g
    alpha: 5.4 %
    whirlpool: 20 min
    at: 82 °C
  - hop: fuggle
    weight: 25 g
    alpha: 4.4 %
    dry_hop: 5 d before package
    for: 4 d

yeast:
  - culture: british-strong-ale
    form: liquid
    packs: 2
    packed: 2026-09-20
    starter: {volume: 2 L, gravity: 1.037, stirred: true, settled: true}
    attenuation: 72 .. 80 %

additions:
  - {add: yeast-nutrient-blend, weight: 6 g, boil: 10 min}
  - {add: carrageenan-tablet, count: 1, boil: 10 min}
  - {add: lactic-acid, volume: 3 mL, strength: 88 %, mash: true}
  - {add: oak-cubes, weight: 40 g, condition: after 2 months, for: 6 weeks, until: tasted}

water: {source: moor-well, calcium: 35 mg/L}

oxygen: {dose: pure, for: 90 s, at: pitching}
fermentation:
  - {at: 17 °C, for: 4 d}
  - {rise: free, to: 20 °C, until: still 3 d}
conditioning:
  - {vessel: glass-jar, capacity: 20 L, racked: true, purged: true, at: 11 °C, for: 6 months}
packaging:
  - {into: bottle, glass: heavy, rated: 6 bar, carbonation: 2.1 vol, priming: dextrose,
     yeast: {culture: ale-bottle-conditioning, weight: 2 g}, store: {at: 12 °C, warmest: 24 °C}}

expect:
  pitching_gravity: 1.088 ± 0.003
  abv: 9.5 .. 10.5 %

accept:
  - rule: bitterness-ratio-off-style
    because: mellows over the months in wood; revision 3 was flat without it
"""

BREWHOUSE = """\
brewhouse: 1
name: Boathouse 40
mash: {capacity: 40 L, dead_space: 1.5 L, absorption: 0.8 L/kg, heating_rate: 1.2 K/min, kind: recirculated,
       conversion: 95 %}
kettle: {capacity: 40 L, boil_off: 3.5 L/h, loss: 2 L, stand: 10 min, cooling: 25 min}
fermenter: {capacity: 30 L, lees: 1 L}
grain_at: 15 °C
altitude: 40 m
efficiency: {mash: 78 % ± 3 %, of: dry-yield}
"""

RECORD = """\
brew: 1
recipe: winter-signal
commit: 3f2a9c1
date: 2026-02-14
brewhouse: boathouse-40
measured:
  mash_ph: 5.35
  pre_boil_volume: 33.5 L hot
  pre_boil_gravity: 1.062
  fermenter_volume: 23 L
  pitching_gravity: 1.083 at 26 °C
  readings: [{day: 5 d, gravity: 1.022, at: 21 °C}, {day: 9 d, gravity: 9.1 Bx refractometer}]
  final_gravity: 1.012
  package_volume: 20 L
notes: slow run-off, stirred once
"""

HOUSE = """\
house: 1
name: The Boathouse
units: metric
region: eu
guide: bjcp-2021
brewhouse: boathouse-40
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
  - {malt: maris-otter-pale-malt, lot: 2026-11, yield: 82.1 % dry, moisture: 3.2 %, colour: 5.1 EBC}
  - {hop: target, lot: 2025-3, alpha: 10.2 %}
"""

STYLES = """\
styles: 1
guide: {id: boathouse, name: Beers of the Boathouse}
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
