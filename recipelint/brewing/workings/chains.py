"""Which chain of lines leads to which stat."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from recipelint.brewing.workings import (
    beer,
    boil,
    cask,
    colour,
    contact,
    grist,
    hops,
    keeping,
    label,
    mash,
    mash_ph,
    package,
    ripening,
    volumes,
    water,
    way,
    yeast,
)
from recipelint.brewing.workings.sheet import Known, Sheet

CHAINS: Mapping[str, Callable[[Sheet], Known]] = {
    **volumes.CHAINS,
    **mash.CHAINS,
    **mash_ph.CHAINS,
    **water.CHAINS,
    **beer.CHAINS,
    **boil.CHAINS,
    **hops.CHAINS,
    **colour.CHAINS,
    **grist.CHAINS,
    **package.CHAINS,
    **yeast.CHAINS,
    **way.CHAINS,
    **keeping.CHAINS,
    **ripening.CHAINS,
    **contact.CHAINS,
    **cask.CHAINS,
    **label.CHAINS,
}
