"""What would bring a stat in: each change is written into a recipe and brewed again. No source: a consistency."""

from __future__ import annotations

import pytest

from recipelint.brewing.levers import causes, changes
from tests.brewing.paper import brewed, value

TEXT = """recipe: 1
name: Levers
batch: {{volume: {batch} L, into: {into}}}
brewhouse:
  mash: {{kind: recirculated, absorption: 0.8 L/kg, dead_space: 1 L}}
  kettle: {{boil_off: 3 L/h, loss: 1 L}}
  fermenter: {{lees: 1 L}}
grist:
  - {{malt: maris-otter-pale-malt, weight: {malt} kg}}
  - {{malt: chocolate-malt, weight: {dark} kg}}
  - {{sugar: sucrose, weight: {sugar} kg, boil: 10 min}}
mash: {{liquor: 18 L, rests: [{{at: {rest} °C, for: 60 min}}, {{at: 76 °C, for: 10 min}}]}}
boil: {{for: 60 min}}
hops:
  - {{hop: target, weight: {hop} g, alpha: 10 %, boil: 60 min}}
  - {{hop: fuggle, weight: 20 g, alpha: 4 %, boil: 5 min}}
yeast: [{{culture: english-ale, packs: 1, attenuation: {attenuation} %}}]
"""
PLAIN = {
    "batch": 20.0, "into": "fermenter", "malt": 5.5, "dark": 0.2, "sugar": 0.5, "rest": 70.0, "hop": 30.0,
    "attenuation": 85.0,
}  # fmt: skip
KEYS = {"malt": "malt", "sugar": "sugar", "batch": "batch", "rest": "rest", "dark malt": "dark", "hop": "hop"}


@pytest.mark.parametrize("into", ["fermenter", "package", "kettle"])
@pytest.mark.parametrize(
    ("stat", "by", "whats"),
    [
        ("original_gravity", 0.004, {"malt", "sugar", "batch"}),
        ("original_gravity", -0.003, {"malt", "sugar", "batch"}),
        ("final_gravity", -0.002, {"rest", "malt", "sugar for malt"}),
        ("final_gravity", 0.002, {"rest", "malt", "sugar for malt"}),
        ("abv", 0.004, {"malt", "sugar", "batch"}),
        ("bitterness", 8.0, {"hop"}),
        ("bitterness", -8.0, {"hop"}),
        ("colour_srm", 3.0, {"dark malt"}),
    ],
)
def test_each_change_does_it_alone(stat: str, by: float, whats: set[str], into: str) -> None:
    plain = {**PLAIN, "into": into}
    before = brewed(TEXT.format(**plain))
    wanted = value(before, stat) + by
    found = changes(before.run, stat, wanted)
    assert {change.what for change in found} == whats
    for change in found:
        key = KEYS.get(change.what)
        if key is None:
            continue  # the swap moves two lines: see below
        grams = 1000.0 if key == "hop" else 1.0
        assert change.before * grams == pytest.approx(plain[key])
        after = value(brewed(TEXT.format(**{**plain, key: change.after * grams})), stat)
        assert abs(after - wanted) < 0.02 * abs(by), change


def test_the_swap_keeps_the_original_gravity() -> None:
    before = brewed(TEXT.format(**PLAIN))
    wanted = value(before, "final_gravity") - 0.003
    swap = next(one for one in changes(before.run, "final_gravity", wanted) if one.what == "sugar for malt")
    more = swap.after - 0.5
    # The malt that goes for it, by the extract that each brings to this beer; less grain is a little better lautered.
    malt, _, sugar = before.run.extracts()
    text = TEXT.format(**{**PLAIN, "sugar": swap.after, "malt": 5.5 - more * (sugar / 0.5) / (malt / 5.5)})
    after = brewed(text)
    assert value(after, "final_gravity") == pytest.approx(wanted, abs=1e-4)
    assert value(after, "original_gravity") == pytest.approx(value(before, "original_gravity"), abs=2e-3)


def test_what_cannot_be_is_left_out() -> None:
    before = brewed(TEXT.format(**PLAIN))
    assert changes(before.run, "final_gravity", 0.960) == ()
    assert changes(before.run, "package_volume", 25.0) == ()
    assert all(one.what != "hop" for one in changes(before.run, "original_gravity", 1.080))
    share = brewed(
        "recipe: 1\nname: No yeast\nbatch: {volume: 20 L, into: fermenter}\n"
        "grist: [{malt: pale-ale-malt, weight: 4 kg}]\n"
    )
    assert changes(share.run, "final_gravity", 1.010) == ()


def test_the_part_that_decides_is_named() -> None:
    hot = brewed(TEXT.format(**PLAIN))  # 70 °C under a culture of 85 %: the mash decides
    names = {cause.what: cause.without for cause in causes(hot.run, "final_gravity", 1.012)}
    assert set(names) == {"mash"} and names["mash"] < value(hot, "final_gravity")
    weak = brewed(TEXT.format(**{**PLAIN, "rest": 65.0, "attenuation": 68.0}))
    names = {cause.what: cause.without for cause in causes(weak.run, "final_gravity", 1.012)}
    assert set(names) == {"culture"} and names["culture"] < value(weak, "final_gravity")
    dry = brewed(TEXT.format(**{**PLAIN, "sugar": 1.5, "rest": 65.0, "attenuation": 78.0}))
    names = {cause.what: cause.without for cause in causes(dry.run, "final_gravity", 1.014)}
    assert "sugar" in names and names["sugar"] > value(dry, "final_gravity") + 0.002


SHARES = """recipe: 1
name: Shares
batch: {{volume: {batch} L, into: {into}, gravity: {gravity:.6f}}}
grist:
  - {{malt: maris-otter-pale-malt, share: {malt:.6f} %}}
  - {{malt: chocolate-malt, share: {dark:.6f} %}}
  - {{sugar: sucrose, share: {sugar:.6f} %, boil: 10 min}}
mash: {{rests: [{{at: {rest:.4f} °C, for: 60 min}}]}}
boil: {{for: 60 min}}
hops: [{{hop: target, weight: {hop:.6f} g, alpha: 10 %, boil: 60 min}}]
yeast: [{{culture: english-ale, packs: 1, attenuation: 85 %}}]
"""
IN_SHARES = {
    "batch": 20.0, "gravity": 1.060, "malt": 88.0, "dark": 4.0, "sugar": 8.0, "rest": 70.0, "hop": 30.0,
}  # fmt: skip


@pytest.mark.parametrize("into", ["fermenter", "package"])
@pytest.mark.parametrize(
    ("stat", "by", "whats"),
    [
        ("original_gravity", 0.004, {"gravity"}),
        ("final_gravity", -0.002, {"rest", "sugar", "gravity"}),
        ("abv", 0.004, {"gravity", "sugar", "rest"}),
        ("bitterness", 8.0, {"hop"}),
        ("colour_srm", 3.0, {"dark malt"}),
        ("colour_srm", -3.0, {"dark malt"}),
    ],
)
def test_in_a_bill_of_shares_what_is_written_is_moved(
    stat: str, by: float, whats: set[str], into: str
) -> None:
    """A share that grows takes from the others alike; the weights follow from the gravity as before."""
    plain: dict[str, float | str] = {**IN_SHARES, "into": into}
    before = brewed(SHARES.format(**plain))
    wanted = value(before, stat) + by
    found = changes(before.run, stat, wanted)
    assert {change.what for change in found} == whats
    for change in found:
        new = dict(plain)
        if change.unit == "1":
            key = KEYS[change.what]
            assert 100.0 * change.before == pytest.approx(IN_SHARES[key])
            rest = (1.0 - change.after) / (1.0 - change.before)
            new |= {one: IN_SHARES[one] * rest for one in ("malt", "dark", "sugar")}
            new[key] = 100.0 * change.after
        else:
            new[change.what] = change.after * (1000.0 if change.what == "hop" else 1.0)
        after = value(brewed(SHARES.format(**new)), stat)
        assert abs(after - wanted) < 0.03 * abs(by), change


@pytest.mark.parametrize("into", ["fermenter", "package", "kettle"])
def test_another_batch_takes_other_defaults_with_it(into: str) -> None:
    """Without a brewhouse boil-off, dead space and lees go with the batch, as do hops in g/L."""
    text = """recipe: 1
name: Bare
batch: {{volume: {batch:.6f} L, into: {into}}}
grist: [{{malt: pale-ale-malt, weight: 5 kg}}]
mash: {{rests: [{{at: 66 °C, for: 60 min}}]}}
hops: [{{hop: target, weight: 3 g/L, alpha: 10 %, boil: 60 min}}]
"""
    before = brewed(text.format(batch=20.0, into=into))
    wanted = value(before, "original_gravity") + 0.008
    (batch,) = [one for one in changes(before.run, "original_gravity", wanted) if one.what == "batch"]
    after = brewed(text.format(batch=batch.after, into=into))
    assert value(after, "original_gravity") == pytest.approx(wanted, abs=2e-5)
