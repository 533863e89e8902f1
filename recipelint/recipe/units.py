"""The one table of units: from it come the parser's regular expressions and the patterns of the schemas.

A kind is what a quantity measures; each kind lists the spellings it takes. Canonical units: kg, L, °C, minutes
(hours for the long times of fermentation and storage), fractions, SG, EBC, bar, volumes of gas, mg/L.
"""

from collections.abc import Callable
from typing import NamedTuple

HOT = 0.96  # litres at 20 °C per litre at boiling heat; water between 20 and 100 °C gives 0.960
CO2_PER_VOLUME = 1.96  # g/L of carbon dioxide in one volume; published tables use 1.96
EBC_PER_SRM = 1.97  # beer; the ratio of 25 and 12.7 is 1.9685, tables round to 1.97
SUCROSE_LITRE_DEGREES = 386.0  # points x L / kg of pure sucrose
SUCROSE_PPG = 46.21  # points x US gal / lb of the same
MONTH_HOURS = 30.4 * 24.0


def plato_to_sg(plato: float) -> float:
    """Apparent gravity (SG 20/20 °C) of so many °P, the inverse of the ASBC cubic; -5 to 40 °P, within 1e-9.

    The cubic's miss at water (0.003 °P) is faded out between SG 1.010 and 1.000. The same curve stands in the
    science of the brew day; here it only serves to read what is written, and a test holds the two together.
    """
    lift = 616.868 - 1111.14 + 630.272 - 135.997
    sg = 1.0 + plato / (258.6 - 0.87955 * plato)
    for _ in (0, 1, 2):
        slope = (407.991 * sg - 1260.544) * sg + 1111.14
        value = ((135.997 * sg - 630.272) * sg + 1111.14) * sg - 616.868
        if sg < 1.010:
            value += lift * ((1.010 - sg) * 100.0 if sg > 1.0 else 1.0)
            if sg > 1.0:
                slope -= lift * 100.0
        sg -= (value - plato) / slope
    return sg


def lovibond_to_ebc(lovibond: float) -> float:
    """Malt colour in EBC from degrees Lovibond: the handbook rule L = 0.375 EBC + 0.56, not below 0."""
    return max(0.0, (lovibond - 0.56) / 0.375)


def srm_to_ebc_malt(srm: float) -> float:
    """Malt colour in EBC from SRM, which is a colour of the wort: EBC = 1.97 SRM."""
    return srm * EBC_PER_SRM


class Unit(NamedTuple):
    """One unit: canonical = written x factor + offset, or ``curve(written)`` where that is no straight line."""

    name: str
    factor: float
    offset: float = 0.0
    curve: Callable[[float], float] | None = None
    kind: str = ""


class Kind(NamedTuple):
    """What a quantity measures, how it is spoken of, its units, and what is physically possible (canonical)."""

    name: str
    wants: str
    example: str
    units: dict[str, Unit]
    low: float
    high: float
    likely: str
    alone: str = ""
    signed: bool = False
    limit: str = ""


def _table(rows: str, **factors: float) -> dict[str, Unit]:
    """Units from lines of spellings: ``name spelling spelling``, with the factor by position in factors."""
    out: dict[str, Unit] = {}
    for spellings, factor in zip(rows.split("; "), factors.values(), strict=True):
        words = spellings.split(", ")
        for word in words:
            out[word] = Unit(words[0], factor)
    return out


_MASS = _table(
    "kg, kilogram, kilograms; g, gram, grams; mg; lb, lbs, pound, pounds; oz, ounce, ounces",
    kg=1.0,
    g=1e-3,
    mg=1e-6,
    lb=0.45359237,
    oz=0.028349523125,
)
_GALLON = 3.785411784
_VOLUME = _table(
    "L, l, litre, litres, liter, liters; mL, ml; cL, cl; dL, dl; hL, hl; gal, gallon, gallons, US gal; "
    "qt, quart, quarts; pt, pint, pints; fl oz; cup, cups; tbsp; tsp; bbl; imp gal; imp qt; imp pt; imp fl oz; "
    "drop, drops",
    L=1.0,
    mL=1e-3,
    cL=1e-2,
    dL=1e-1,
    hL=100.0,
    gal=_GALLON,
    qt=_GALLON / 4,
    pt=_GALLON / 8,
    floz=_GALLON / 128,
    cup=_GALLON / 16,
    tbsp=_GALLON / 256,
    tsp=_GALLON / 768,
    bbl=_GALLON * 31,
    impgal=4.54609,
    impqt=4.54609 / 4,
    imppt=4.54609 / 8,
    impfloz=4.54609 / 160,
    drop=5e-5,
)
SPOONS = frozenset(("cup", "tbsp", "tsp", "drop"))
_HOT = {
    f"{word} hot": Unit(f"{unit.name} hot", unit.factor * HOT)
    for word, unit in _VOLUME.items()
    if unit.name in ("L", "hL", "gal", "qt", "bbl", "imp gal")
}
_PER_LITRE = {
    word: unit._replace(kind="concentration")
    for word, unit in _table(
        "g/L, g/l; mg/L, mg/l; kg/hL, kg/hl; g/hL, g/hl; oz/gal; lb/bbl",
        gl=1.0,
        mgl=1e-3,
        kghl=10.0,
        ghl=0.01,
        ozgal=28.349523125 / _GALLON,
        lbbbl=453.59237 / (31 * _GALLON),
    ).items()
}
_LIQUID_PER_LITRE = {
    word: unit._replace(kind="liquid-concentration")
    for word, unit in _table(
        "mL/L, ml/L, ml/l; mL/hL, ml/hl; fl oz/gal", mll=1.0, mlhl=0.01, floz=1000 / 128
    ).items()
}
_MINUTES = "s, sec, second, seconds; min, mins, minute, minutes; h, hr, hrs, hour, hours"
_LONG = f"{_MINUTES}; d, day, days; week, weeks, wk; month, months; year, years"
_LONG_TIME = _table(
    _LONG, s=1 / 3600, min=1 / 60, h=1.0, d=24.0, week=168.0, month=MONTH_HOURS, year=365.25 * 24.0
)
_PERCENT = {"%": Unit("%", 0.01), "percent": Unit("%", 0.01)}
_FAHRENHEIT = 5.0 / 9.0
_TEMPERATURE = {
    **{word: Unit("°C", 1.0) for word in ("°C", "C", "º C", "ºC", "° C")},
    **{word: Unit("°F", _FAHRENHEIT, -32.0 * _FAHRENHEIT) for word in ("°F", "F", "ºF", "° F")},
    "K": Unit("K", 1.0, -273.15),
}
_DIFFERENCE = {
    **{word: Unit("K", 1.0) for word in ("K", "°C", "C")},
    **{word: Unit("°F", _FAHRENHEIT) for word in ("°F", "F")},
}
_GRAVITY = {
    "SG": Unit("SG", 1.0),
    **{word: Unit("°P", 0.004, 0.0, plato_to_sg) for word in ("°P", "P", "°Plato", "Plato")},
    **{word: Unit("°Bx", 0.004, 0.0, plato_to_sg) for word in ("°Bx", "Bx", "Brix", "°Brix")},
}
_MALT_COLOUR = {
    "EBC": Unit("EBC", 1.0),
    **{
        word: Unit("°L", 1 / 0.375, 0.0, lovibond_to_ebc)
        for word in ("°L", "°Lov", "Lov", "Lovibond", "°Lovibond")
    },
    "SRM": Unit("SRM", EBC_PER_SRM),
}
_YIELD = {
    "%": Unit("", 0.01),
    "% as-is": Unit("as-is", 0.01),
    "% dry": Unit("dry", 0.01),
    **{word: Unit("as-is", 1 / SUCROSE_LITRE_DEGREES) for word in ("L°/kg", "L°/Kg", "l°/kg")},
    **{word: Unit("as-is", 1 / SUCROSE_PPG) for word in ("ppg", "PPG")},
}
_ION = {word: Unit("mg/L", 1.0) for word in ("mg/L", "mg/l", "ppm")}
_CACO3_PER_HCO3 = 50.04 / 61.02  # equivalents of calcium carbonate per equivalent of bicarbonate
_ALKALINITY = {
    **_ION,
    **{f"{word} CaCO3": Unit("mg/L", 1.0) for word in _ION},
    **{f"{word} HCO3": Unit("mg/L HCO3", _CACO3_PER_HCO3) for word in _ION},
    **{word: Unit("°dH", 17.848) for word in ("°dH", "dH")},
    **{word: Unit("mEq/L", 50.04) for word in ("mEq/L", "meq/L")},
}
_LINTNER = {
    **{word: Unit("°Lintner", 1.0) for word in ("°Lintner", "Lintner")},
    **{word: Unit("WK", 1 / 3.5, 16 / 3.5) for word in ("WK", "°WK")},
}
_ABV = {word: Unit("% vol", 0.01) for word in ("%", "% vol", "% abv", "% ABV", "vol%")}
_ABW = {word: Unit("% weight", 0.01) for word in ("%", "% weight", "% abw")}

# fmt: off
_ROWS = (
    Kind("mass", "a weight", "4.5 kg", _MASS, 0, 1e5, "kg"),
    Kind("volume", "a volume", "21 L", {**_VOLUME, **_HOT}, 0, 1e6, "L"),
    Kind("amount", "a weight", "30 g", {**_MASS, **_PER_LITRE}, 0, 1e5, "g"),
    Kind("liquid-amount", "a volume", "5 mL", {**_VOLUME, **_LIQUID_PER_LITRE}, 0, 1e6, "mL"),
    Kind("concentration", "an amount per litre", "3 g/L", _PER_LITRE, 0, 1e3, "g/L"),
    Kind("time", "a time in minutes or hours", "60 min", _table(_MINUTES, s=1 / 60, min=1.0, h=60.0), 0, 1e5, "min"),
    Kind("long-time", "a length of time", "14 d", _LONG_TIME, 0, 1e6, "d"),
    Kind("temperature", "a temperature", "66 °C", _TEMPERATURE, -40, 250, "°C", signed=True,
         limit="brewing lies between -40 and 250 °C"),
    Kind("temperature-difference", "a difference of temperature", "2 K", _DIFFERENCE, -300, 300, "K",
         signed=True),
    Kind("share", "a share", "12 %", _PERCENT, 0, 1, "%", limit="no part is more than the whole, 100 %"),
    Kind("attenuation", "an attenuation", "78 %", _PERCENT, 0, 1.2, "%",
         limit="even the driest beer stays below 120 %"),
    Kind("percent", "a percentage", "38 %", _PERCENT, 0, 10, "%"),
    Kind("gravity", "a gravity", "1.048", _GRAVITY, 0.98, 1.2, "SG", alone="SG",
         limit="worts and beers lie between 0.980 and 1.200"),
    Kind("colour", "a colour", "150 EBC", _MALT_COLOUR, 0, 5000, "EBC"),
    Kind("beer-colour-srm", "a colour", "18 SRM",
         {"SRM": Unit("SRM", 1.0), "EBC": Unit("EBC", 1 / EBC_PER_SRM)}, 0, 500, "SRM", alone="SRM"),
    Kind("beer-colour-ebc", "a colour", "36 EBC",
         {"EBC": Unit("EBC", 1.0), "SRM": Unit("SRM", EBC_PER_SRM)}, 0, 1000, "EBC", alone="EBC"),
    Kind("yield", "a yield", "80.5 % dry", _YIELD, 0, 1.15, "%", limit="nothing gives more than sugar, 100 %"),
    Kind("diastatic-power", "a diastatic power", "110 °Lintner", _LINTNER, 0, 1000, "°Lintner"),
    Kind("pressure", "a pressure", "1.1 bar",
         _table("bar; mbar; kPa; psi, PSI", bar=1.0, mbar=1e-3, kpa=0.01, psi=0.0689475729), 0, 100, "bar"),
    Kind("carbonation", "a carbonation", "2.4 vol",
         _table("vol, vols, volumes; g/L, g/l", vol=1.0, gl=1 / CO2_PER_VOLUME), 0, 15, "vol",
         limit="no bottled drink holds more than 15 volumes"),
    Kind("rate", "a rate", "3.5 L/h", _table("L/h, l/h, L/hr, l/hr; gal/h, gal/hr; qt/h, qt/hr", lh=1.0, gal=_GALLON,
         qt=_GALLON / 4), 0, 1e5, "L/h"),
    Kind("absorption", "an absorption", "0.8 L/kg",
         _table("L/kg, l/kg; mL/g, ml/g; qt/lb; gal/lb; fl oz/oz", lkg=1.0, mlg=1.0, qtlb=_GALLON / 4 / 0.45359237,
                gallb=_GALLON / 0.45359237, floz=_GALLON / 128 / 0.028349523125), 0, 20, "L/kg"),
    Kind("heating-rate", "a heating rate", "1.2 K/min",
         _table("K/min, °C/min, C/min; °F/min, F/min", k=1.0, f=_FAHRENHEIT), 0, 100, "K/min"),
    Kind("cells", "a number of cells", "350 billion",
         _table("billion, billion cells, bn; million, million cells; trillion, trillion cells",
                b=1.0, m=1e-3, t=1e3), 0, 1e9, "billion"),
    Kind("cell-density", "a cell density", "1.2 billion/mL",
         _table("billion/mL, billion/ml; million/mL, million/ml", b=1.0, m=1e-3), 0, 100, "billion/mL"),
    Kind("pitch-rate", "a pitching rate", "0.75 million/mL/°P",
         _table("million/mL/°P, million/ml/°P, million/mL/P", m=1.0), 0, 100, "million/mL/°P"),
    Kind("ion", "a concentration", "50 mg/L", _ION, 0, 1e5, "mg/L"),
    Kind("alkalinity", "an alkalinity", "120 mg/L CaCO3", _ALKALINITY, 0, 1e5, "mg/L"),
    Kind("ph", "a pH", "5.4", {"pH": Unit("pH", 1.0)}, 0, 14, "pH", alone="pH", limit="pH runs from 0 to 14"),
    Kind("altitude", "a height", "40 m", _table("m; ft, feet; km", m=1.0, ft=0.3048, km=1000.0), -500, 9000, "m",
         signed=True, limit="kettles stand between -500 and 9000 m"),
    Kind("power", "a power", "3.5 kW", _table("kW; W", kw=1.0, w=1e-3), 0, 1e4, "kW"),
    Kind("abv", "a strength", "9.5 %", _ABV, 0, 1, "%", limit="no part is more than the whole, 100 %"),
    Kind("abw", "a strength", "7.6 %", _ABW, 0, 1, "%", limit="no part is more than the whole, 100 %"),
    Kind("bitterness", "a bitterness", "45 IBU", _table("IBU; EBU", ibu=1.0, ebu=1.0), 0, 5000, "IBU", alone="IBU"),
    Kind("number", "a number", "0.8", {}, 0, 1e9, "", alone="1"),
    Kind("energy", "an energy", "45 kcal/100 mL", _table("kcal/100 mL; kJ/100 mL", kcal=1.0, kj=1 / 4.184), 0, 1e4,
         "kcal/100 mL"),
    Kind("energy-in-kilojoules", "an energy", "190 kJ/100 mL", _table("kJ/100 mL; kcal/100 mL", kj=1.0, kcal=4.184),
         0, 4e4, "kJ/100 mL"),
    Kind("per-100-ml", "an amount in 100 mL", "3.5 g/100 mL", _table("g/100 mL", g=1.0), 0, 100, "g/100 mL"),
    Kind("heat", "an amount of heat", "1.6 MJ", _table("MJ; kJ", mj=1.0, kj=1e-3), 0, 1e6, "MJ"),
    Kind("oil", "an oil content", "1.2 mL/100 g", _table("mL/100 g, ml/100 g, mL/100g", ml=1.0), 0, 100, "mL/100 g"),
)
# fmt: on

KINDS: dict[str, Kind] = {kind.name: kind for kind in _ROWS}

_BY_UNIT = {
    "SG": "gravity",
    "% vol": "abv",
    "% weight": "abw",
    "1": "share",
    "kg": "mass",
    "g": "mass",
    "L": "volume",
    "°C": "temperature",
    "L/kg": "absorption",
    "min": "time",
    "pH": "ph",
    "mg/L": "ion",
    "IBU": "bitterness",
    "IBU/point": "number",
    "g/L": "concentration",
    "SRM": "beer-colour-srm",
    "EBC": "beer-colour-ebc",
    "billion": "cells",
    "million/mL/°P": "pitch-rate",
    "MJ": "heat",
    "vol": "carbonation",
    "bar": "pressure",
    "kcal/100 mL": "energy",
    "kJ/100 mL": "energy-in-kilojoules",
    "g/100 mL": "per-100-ml",
    "°Lintner": "diastatic-power",
    "L/h": "rate",
    "h": "long-time",
    "W": "power",
}
_BY_STAT = {
    "sulphate_chloride_ratio": "number",
    "residual_alkalinity": "alkalinity",
    "sparge_residual_alkalinity": "alkalinity",
    "alkalinity": "alkalinity",
    "sparge_alkalinity": "alkalinity",
    "apparent_attenuation": "attenuation",
    "attenuation_limit": "attenuation",
}
# A stat in grams is held in grams and one in watts in watts, while a recipe's are held in kilograms and kilowatts.
_BY_STAT_TIMES = {"g": 1000.0, "W": 1000.0}


def kind_of_stat(name: str, unit: str) -> str:
    """The kind of quantity in which a promise or a measurement of this stat is written."""
    return _BY_STAT.get(name) or _BY_UNIT[unit]


def stat_times(unit: str) -> float:
    """By what a parsed quantity is multiplied to stand in the stat's unit."""
    return _BY_STAT_TIMES.get(unit, 1.0)
