"""Which chain of lines leads to which stat."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from recipelint.brewing import (
    working_beer,
    working_boil,
    working_cask,
    working_colour,
    working_contact,
    working_grist,
    working_hops,
    working_keeping,
    working_label,
    working_mash,
    working_mash_ph,
    working_package,
    working_ripening,
    working_volumes,
    working_water,
    working_way,
    working_yeast,
)
from recipelint.brewing.working import Known, Sheet

CHAINS: Mapping[str, Callable[[Sheet], Known]] = {
    **working_volumes.CHAINS,
    **working_mash.CHAINS,
    **working_mash_ph.CHAINS,
    **working_water.CHAINS,
    **working_beer.CHAINS,
    **working_boil.CHAINS,
    **working_hops.CHAINS,
    **working_colour.CHAINS,
    **working_grist.CHAINS,
    **working_package.CHAINS,
    **working_yeast.CHAINS,
    **working_way.CHAINS,
    **working_keeping.CHAINS,
    **working_ripening.CHAINS,
    **working_contact.CHAINS,
    **working_cask.CHAINS,
    **working_label.CHAINS,
}
