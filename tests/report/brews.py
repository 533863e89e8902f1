"""A brew with round numbers, standing in for the process: renderers are tested on what they are given."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any, NamedTuple

from recipelint.recipe import model
from recipelint.workspace.workspace import Brewed


class Stat(NamedTuple):
    value: float | None
    unit: str = ""
    why: str = ""
    parts: tuple[tuple[str, float], ...] = ()
    risk: float | None = None


class Fact(SimpleNamespace):
    """One row of what went into the brew."""


_GRAVITY_PARTS = (
    ("/grist/0", 0.08),
    ("brewhouses/quarry-barn.yaml#/efficiency/mash", 0.01),
    ("/grist/0", 0.003),
)
_STATS: dict[str, tuple[Stat, tuple[float, float] | None]] = {
    "pre_boil_gravity": (Stat(1.064), (1.060, 1.068)),
    "pre_boil_volume": (Stat(31.7), (31.0, 32.4)),
    "kettle_fill": (Stat(0.79), None),
    "pitching_gravity": (Stat(1.088), (1.083, 1.092)),
    "original_gravity": (Stat(1.093, parts=_GRAVITY_PARTS), (1.088, 1.097)),
    "final_gravity": (Stat(1.016), (1.012, 1.021)),
    "apparent_attenuation": (Stat(0.82), (0.78, 0.86)),
    "abv": (Stat(0.1013), (0.094, 0.108)),
    "fermenter_volume": (Stat(21.0), (20.5, 21.5)),
    "mash_efficiency": (Stat(0.71), (0.66, 0.76)),
    "bitterness": (Stat(62.0), (52.0, 73.0)),
    "colour_srm": (Stat(16.4), (14.0, 19.0)),
    "sulphate_chloride_ratio": (Stat(1.5), None),
    "peak_pressure": (Stat(3.1, risk=5.2), None),
    "mash_ph": (Stat(None, why="the recipe gives no water"), None),
    "calcium": (Stat(None, why="the recipe gives no water"), None),
}


class Brew:
    """What a renderer asks of a brew."""

    def __init__(self, recipe: model.Recipe, brewhouse: model.Brewhouse | None) -> None:
        self.recipe = recipe
        self.brewhouse = brewhouse
        self.grist = (
            Fact(
                at="/grist/0",
                name="Pale ale malt",
                stage="mash",
                weight=7.4,
                extract=5.0,
                weight_share=0.967,
                extract_share=0.9,
            ),
            Fact(
                at="/grist/1",
                name="Dark candi sugar",
                stage="ferment",
                weight=0.25,
                extract=0.25,
                weight_share=0.033,
                extract_share=0.1,
            ),
        )
        self.hops = (
            Fact(
                at="/hops/0",
                utilisation=0.2,
                name="Northern Brewer",
                stage="boil",
                minutes=80.0,
                weight=0.055,
                ibu=48.26,
            ),
            Fact(
                at="/hops/1",
                utilisation=0.0,
                name="Willamette",
                stage="dry_hop",
                minutes=None,
                weight=0.035,
                ibu=0.0,
            ),
        )
        self.cultures = self.vessels = self.rests = self.contacts = ()
        self.way = None
        self.plan = SimpleNamespace(came=None, assumed=(("dead space (L)", 0.4), ("a tun", None)))

    def causes(self, name: str, wanted: float) -> tuple[Fact, ...]:
        return (Fact(what="mash", name="", without=1.026),) if name == "final_gravity" else ()

    def changes(self, name: str, wanted: float) -> tuple[Fact, ...]:
        if name == "original_gravity":
            return (
                Fact(what="malt", name="Pale ale malt", before=7.4, after=8.444, unit="kg"),
                Fact(what="batch", name="", before=21.0, after=18.4, unit="L"),
            )
        if name == "final_gravity":
            return (Fact(what="rest", name="", before=68.0, after=66.5, unit="°C"),)
        return ()

    def least_sure(self, count: int) -> tuple[str, ...]:
        return ("mash efficiency", "attenuation", "boil-off", "alpha acids")[:count]

    def widest(self, name: str, count: int = 3) -> tuple[tuple[str, float], ...]:
        if name == "original_gravity":
            return (("mash efficiency", 0.8), ("malt yield", 0.15), ("boil-off", 0.02))[:count]
        return (("malt colour", 0.6),)

    def stat(self, name: str) -> Stat:
        return _STATS[name][0] if name in _STATS else Stat(None, why="not part of this test")

    def dissolved(self, name: str) -> float:
        return 1.0

    def band(self, name: str) -> tuple[float, float] | None:
        return _STATS[name][1] if name in _STATS else None


def harrow_field(brewhouse: bool = True, name: str = "Harrow Field") -> Brewed:
    at_1 = "/grist/1"
    items = (
        model.GristItem("/grist/0", model.Named("malt", "pale-ale-malt", "/grist/0/malt")),
        model.GristItem(
            at_1,
            model.Named("sugar", "candi-sugar-dark", "/grist/1/sugar"),
            when=model.Timing("ferment", "gravity", None, "/grist/1/ferment", "below 1.040"),
        ),
    )
    recipe = model.Recipe("", "recipes/harrow-field.yaml", name, model.Batch("/batch"), items, revision=7)
    house = model.Brewhouse("", file="brewhouses/quarry-barn.yaml", name="Quarry Barn") if brewhouse else None
    brew: Any = Brew(recipe, house)
    return Brewed(recipe, brew, None)
