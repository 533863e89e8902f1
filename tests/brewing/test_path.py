"""The path of the gravity: masses exact, times by a curve, additions in order."""

from __future__ import annotations

import itertools
import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from recipelint.brewing import fermentation as f
from recipelint.brewing import gravity as g
from recipelint.brewing import path as p
from recipelint.brewing.path import Addition, Culture, Path, Step

WARM = (Step(20.0, 20.0),)
ALE = Culture(low=17.0)


def wort(og: float, litres: float = 20.0) -> tuple[float, float]:
    return g.extract_mass(litres, og), g.water_in(litres, og)


def sugar(at: str, kilograms: float, when: str, value: float | None = None, water: float = 0.0) -> Addition:
    return Addition(at, kilograms, water, 1.0, when, value)


def added(way: Path) -> list[p.Event]:
    return [event for event in way.events if event.what == "added"]


OG = st.floats(1.020, 1.110)
SHARE = st.floats(0.0, 0.85)
WHENS = st.one_of(
    st.tuples(st.just("day"), st.floats(0.0, 700.0)),
    st.tuples(st.just("gravity"), st.floats(0.990, 1.120)),
    st.tuples(st.just("still"), st.none()),
    st.tuples(st.just("after-previous"), st.floats(0.0, 300.0)),
    st.tuples(st.just("unknown"), st.none()),
)
ADDITION = st.builds(
    lambda extract, water, fermentable, when: Addition("", extract, water, fermentable, *when),
    st.floats(0.0, 1.5),
    st.floats(0.0, 2.0),
    st.floats(0.0, 1.0),
    WHENS,
)
ADDITIONS = st.lists(ADDITION, max_size=6)
STEP = st.builds(
    Step,
    st.floats(2.0, 35.0),
    st.floats(2.0, 35.0),
    st.one_of(st.none(), st.floats(0.0, 400.0)),
    st.one_of(st.none(), st.floats(0.0, 100.0)),
    st.one_of(st.none(), st.floats(1.000, 1.100)),
)
STEPS = st.lists(STEP, max_size=4)
CULTURE = st.builds(
    Culture,
    st.one_of(st.none(), st.floats(5.0, 30.0)),
    st.one_of(st.none(), st.floats(0.02, 0.20)),
    st.floats(0.05, 5.0),
)


@given(OG, SHARE, ADDITIONS, STEPS, CULTURE)
def test_every_path_keeps_its_masses_and_its_order(
    og: float, share: float, additions: list[Addition], steps: list[Step], culture: Culture
) -> None:
    extract, water = wort(og)
    way = p.path(extract, water, share, additions, steps, culture)
    assert len(added(way)) + len(way.missed) == len(additions)
    for event in way.events:
        for state in (event.was, event.now):
            keeps_mass(state)
        assert event.now.fermented == pytest.approx(event.was.fermented)
        assert event.hours.low <= event.hours.value <= event.hours.high
        assert event.before.low <= event.before.value <= event.before.high
        assert event.after.low <= event.after.value <= event.after.high
    keeps_mass(way.end)
    hours = [event.hours.value for event in way.events]
    assert hours == sorted(hours)
    assert way.end.extract == pytest.approx(extract + math.fsum(a.extract for a in went_in(way, additions)))
    assert way.end.water == pytest.approx(water + math.fsum(a.water for a in went_in(way, additions)))
    food = extract * share + math.fsum(a.extract * a.fermentable for a in went_in(way, additions))
    assert way.end.fermented + way.end.stalled == pytest.approx(food)


def went_in(way: Path, additions: list[Addition]) -> list[Addition]:
    """By their masses, since all are named alike: the steps of what has gone in."""
    events = added(way)
    masses = [(e.now.extract - e.was.extract, e.now.water - e.was.water) for e in events]
    found = []
    for extract, water in masses:
        found.append(
            min(
                (a for a in additions if not any(a is b for b in found)),
                key=lambda a: abs(a.extract - extract) + abs(a.water - water),
            )
        )
    return found


def keeps_mass(state: p.State) -> None:
    """Balling: fermented extract is ethanol, CO2 and yeast; the rest is in the beer. The beer's own figures agree."""
    yeast = state.fermented * 0.11 / 2.0665
    assert state.ethanol + state.co2 + yeast == pytest.approx(state.fermented, rel=1e-9, abs=1e-12)
    rest = state.extract - state.fermented
    assert rest >= -1e-9
    assert 0.0 <= state.left + state.stalled <= rest + 1e-9
    beer = state.extract + state.water - state.co2 - yeast
    assert state.beer.abw * beer == pytest.approx(state.ethanol, rel=1e-6, abs=1e-9)
    assert state.beer.real_extract / 100.0 * beer == pytest.approx(rest, rel=1e-6, abs=1e-6)
    assert beer == pytest.approx(
        state.beer.real_extract / 100.0 * beer + state.ethanol + state.water, rel=1e-6
    )


@given(OG, SHARE, ADDITIONS, STEPS, CULTURE)
def test_gravity_falls_between_additions(
    og: float, share: float, additions: list[Addition], steps: list[Step], culture: Culture
) -> None:
    way = p.path(*wort(og), share, additions, steps, culture)
    edges = [event.hours.value for event in way.events] + [way.events[-1].hours.value + 500.0]
    for start, end in itertools.pairwise(edges):
        if end - start < 1e-6:
            continue
        moments = [start + (end - start) * part for part in (0.0, 0.1, 0.4, 0.7, 0.999999)]
        states = [p.state_at(way, hours) for hours in moments]
        for before, after in itertools.pairwise(states):
            assert after.beer.gravity <= before.beer.gravity + 1e-8
            assert after.fermented >= before.fermented - 1e-12
            assert after.beer.abv >= before.beer.abv - 1e-9


@pytest.mark.parametrize("least", [1e-300, 1e-307, 5e-324])
def test_food_too_little_for_a_float_changes_nothing(least: float) -> None:
    """Of a dose without food, and of one with next to none, the same beer comes."""
    for share, when in ((0.5, 483.0), (0.0, 24.0), (least, 24.0)):
        doses = [Addition("", 1.0, 0.0, part, "day", when) for part in (0.0, least)]
        none, some = (p.path(*wort(1.047), share, [dose], WARM, ALE) for dose in doses)
        for hours in (when, when + 50.0, when + 5000.0):
            wanted = p.state_at(none, hours).beer.gravity
            assert p.state_at(some, hours).beer.gravity == pytest.approx(wanted, rel=1e-12)


@given(
    OG,
    st.floats(0.3, 0.85),
    st.lists(st.tuples(st.floats(0.05, 1.0), st.floats(0.0, 1.0), st.floats(0.0, 600.0)), max_size=4),
    st.floats(0.01, 1.0),
    st.integers(0, 4),
)
def test_more_extract_is_never_less_alcohol(
    og: float, share: float, doses: list[tuple[float, float, float]], more: float, where: int
) -> None:
    """At written times. A gravity trigger that more wort puts out of reach can well mean less alcohol in the end."""
    additions = [Addition("", kg, 0.0, part, "day", hours) for kg, part, hours in doses]
    extract, water = wort(og)
    one = p.path(extract, water, share, additions, WARM)
    if where < len(additions):
        grown = [*additions]
        grown[where] = grown[where]._replace(extract=grown[where].extract + more)
        two = p.path(extract, water, share, grown, WARM)
    else:
        two = p.path(extract + more, water, share, additions, WARM)
    assert two.end.ethanol >= one.end.ethanol - 1e-9
    assert two.end.extract > one.end.extract


def test_a_trigger_out_of_reach_means_less_alcohol() -> None:
    """The exception named above, so that it is one: with 1.090 the beer never falls to 1.020."""
    weaker = p.path(*wort(1.070), 0.60, [sugar("", 1.0, "gravity", 1.020)], WARM)
    stronger = p.path(*wort(1.090), 0.60, [sugar("", 1.0, "gravity", 1.020)], WARM)
    assert len(added(weaker)) == 1
    assert not added(stronger)
    assert stronger.end.ethanol < weaker.end.ethanol + 0.2


# --- the curve ---


def by_steps(way: Path, until: float, count: int = 4000) -> float:
    """kg fermented by the classical Runge-Kutta method on the equation as the module states it."""
    leg = way.legs[0]
    whole = leg.state.fermented + leg.state.left

    def slope(hours: float, done: float) -> float:
        celsius = next(heat for end, heat in way.temperatures if hours <= end)
        speed = 2.2 ** ((celsius - 20.0) / 10.0)
        if way.culture.low is not None and celsius < way.culture.low:
            speed *= math.exp((celsius - way.culture.low) / 3.0)
        return leg.rate * speed * (done + leg.seed) * (1.0 - done / whole)

    done, h = 0.0, until / count
    for i in range(count):
        t = i * h + 1e-9
        a = slope(t, done)
        b = slope(t + h / 2, done + h / 2 * a)
        c = slope(t + h / 2, done + h / 2 * b)
        d = slope(t + h - 2e-9, done + h * c)
        done += h / 6 * (a + 2 * b + 2 * c + d)
    return done


@pytest.mark.parametrize("until", [12.0, 48.0, 96.0, 144.0])
def test_the_closed_form_solves_the_equation(until: float) -> None:
    steps = (Step(18.0, 18.0, 24.0), Step(18.0, 24.0, 24.0), Step(15.0, 15.0))
    way = p.path(*wort(1.060), 0.65, (), steps, ALE)
    assert p.state_at(way, until).fermented == pytest.approx(by_steps(way, until), rel=1e-3)


@given(OG, st.floats(0.4, 0.85), st.floats(8.0, 30.0), st.floats(0.05, 0.95))
def test_hours_and_gravity_turn_into_each_other(og: float, share: float, celsius: float, part: float) -> None:
    way = p.path(*wort(og), share, (), [Step(celsius, celsius)])
    gravity = og - part * (og - way.end.beer.gravity)
    hours = p.hours_at(way, gravity)
    assert p.state_at(way, hours).beer.gravity == pytest.approx(gravity, abs=1e-6)
    assert p.hours_at(way, og) == 0.0
    assert p.hours_at(way, way.end.beer.gravity - 0.001) == math.inf


def test_the_hour_of_a_gravity_counts_the_sugar_on_the_way() -> None:
    """Without it the beer is at 1.030 before it is with it; what a first fall had reached counts, though."""
    plain = p.path(*wort(1.060), 0.65, (), WARM)
    way = p.path(*wort(1.060), 0.65, [sugar("a", 0.4, "day", 30.0)], WARM)
    hours = p.hours_at(way, 1.030)
    assert hours > p.hours_at(plain, 1.030) > 30.0
    assert p.state_at(way, hours).beer.gravity == pytest.approx(1.030, abs=1e-6)
    early = 0.5 * (1.060 + added(way)[0].before.value)
    assert p.hours_at(way, early) == p.hours_at(plain, early) < 30.0


@given(OG, st.floats(0.4, 0.85), st.floats(12.0, 30.0), st.floats(0.5, 5.0))
def test_warmer_and_better_pitched_is_never_slower(
    og: float, share: float, celsius: float, more: float
) -> None:
    def still(heat: float, pitched: float) -> float:
        return p.path(*wort(og), share, (), [Step(heat, heat)], Culture(15.0, None, pitched)).still.value

    assert still(celsius + more, 1.0) < still(celsius, 1.0)
    assert still(celsius, 1.0 + min(more, 2.5)) < still(celsius, 1.0)


@pytest.mark.parametrize(
    ("og", "celsius", "low", "days"),
    [
        (1.048, 20.0, 17.0, (3.0, 7.0)),  # ale
        (1.048, 10.0, 8.0, (6.0, 14.0)),  # lager
        (1.050, 35.0, 25.0, (1.0, 4.0)),  # kveik
        (1.100, 19.0, 17.0, (6.0, 16.0)),  # strong ale
    ],
)
def test_times_of_the_trade(og: float, celsius: float, low: float, days: tuple[float, float]) -> None:
    """How long the main fermentation takes (from memory): the time lies in the span, its middle in the band."""
    still = p.path(*wort(og), 0.66, (), [Step(celsius, celsius)], Culture(low)).still
    assert days[0] <= still.value / 24.0 <= days[1]
    assert still.low / 24.0 <= math.sqrt(days[0] * days[1]) <= still.high / 24.0


def test_bands_are_a_factor_around_the_expected_time() -> None:
    way = p.path(*wort(1.060), 0.65, (), WARM)
    assert way.still.low / way.still.value == pytest.approx(p.TIME_LOW)
    assert way.still.high / way.still.value == pytest.approx(p.TIME_HIGH)


def test_a_still_beer_is_within_half_a_point_of_its_end() -> None:
    for og in (1.040, 1.070, 1.100):
        way = p.path(*wort(og), 0.65, (), WARM)
        still = way.events[-1]
        assert still.what == "still"
        assert g.points(still.before.value) - g.points(way.end.beer.gravity) == pytest.approx(0.5, abs=0.1)


@pytest.mark.parametrize(
    ("steps", "dose"),
    [
        (WARM, 0.0),  # the crest of the curve
        ((Step(18.0, 18.0, 30.0), Step(22.0, 22.0)), 0.5),  # an addition
        ((Step(20.0, 20.0, 30.0), Step(12.0, 12.0)), 0.0),  # the last warm hour
    ],
)
def test_the_steepest_hour(steps: tuple[Step, ...], dose: float) -> None:
    """By differences, where the curve is steepest for one of three reasons."""
    way = p.path(*wort(1.070), 0.65, [sugar("", dose, "day", 60.0)] if dose else [], steps, ALE)
    grid = [p.state_at(way, 0.05 * i).fermented for i in range(4000)]
    steepest = max((b - a) / 0.05 for a, b in itertools.pairwise(grid))
    assert p.peak_rate(way) == pytest.approx(steepest, rel=2e-3)


def test_where_nothing_ferments_no_hour_is_steep() -> None:
    assert p.peak_rate(p.path(*wort(1.070), 0.0, (), WARM)) == 0.0


def test_the_end_does_not_hang_on_the_time() -> None:
    """Whatever the temperatures, the same extract ends as the same beer: as one wort with all sugar in."""
    additions = [sugar("", 0.6, "gravity", 1.040), sugar("", 0.4, "after-previous", 48.0)]
    extract, water = wort(1.075)
    whole = extract + 1.0
    beer = f.ferment(g.sg_of_masses(whole, water), (0.65 * extract + 1.0) / whole)
    for steps in ((Step(12.0, 12.0),), WARM, (Step(17.0, 17.0, 96.0), Step(17.0, 22.0, 72.0))):
        way = p.path(extract, water, 0.65, additions, steps, ALE)
        assert way.end.beer == pytest.approx(beer, abs=1e-7)


# --- additions ---


def test_a_gravity_trigger_goes_in_at_its_gravity() -> None:
    way = p.path(*wort(1.080), 0.65, [sugar("/grist/3", 0.5, "gravity", 1.045)], WARM)
    event = added(way)[0]
    assert event.at == "/grist/3"
    assert event.before == pytest.approx((1.045, 1.045, 1.045), abs=1e-6)
    # 500 g in a beer that holds the 20 L less what has left: between 9 and 10 points.
    rise = 1000.0 * (event.after.value - event.before.value)
    assert 8.5 < rise < 10.0
    # As if nothing had fermented: points x volume, 382 L°/kg and 0.62 L/kg of sucrose in strong wort.
    assert event.points == pytest.approx((20 * 80.0 + 0.5 * 382.0) / 20.31 - 80.0, abs=0.15)
    assert event.hours.low < event.hours.value < event.hours.high


def test_a_trigger_above_the_gravity_at_pitching_goes_in_at_once() -> None:
    way = p.path(*wort(1.040), 0.65, [sugar("", 0.5, "gravity", 1.045)], WARM)
    assert added(way)[0].hours == (0.0, 0.0, 0.0)


def test_a_trigger_below_the_end_is_missed_and_says_so() -> None:
    way = p.path(*wort(1.080), 0.60, [sugar("/grist/2", 0.5, "gravity", 1.010)], WARM)
    assert not added(way)
    assert len(way.missed) == 1
    missed = way.missed[0]
    assert (missed.at, missed.gravity) == ("/grist/2", 1.010)
    assert missed.lowest == way.end.beer.gravity > 1.010
    assert "fall" in missed.why


def test_what_waits_for_the_missed_is_missed_too() -> None:
    additions = [
        sugar("a", 0.5, "gravity", 1.005),
        sugar("b", 0.5, "after-previous", 48.0),
        sugar("c", 0.5, "after-previous", 48.0),
        sugar("d", 0.1, "day", 48.0),
    ]
    way = p.path(*wort(1.080), 0.60, additions, WARM)
    assert [event.at for event in added(way)] == ["d"]
    assert [(missed.at, missed.gravity) for missed in way.missed] == [("a", 1.005), ("b", None), ("c", None)]


def test_a_later_sugar_can_bring_a_trigger_into_reach() -> None:
    """Sugar ends below the malt: 1.020 is out of reach of the wort, and in reach once a kilogram has gone in."""
    alone = p.path(*wort(1.070), 0.58, [sugar("a", 0.2, "gravity", 1.0195)], WARM)
    assert [missed.at for missed in alone.missed] == ["a"]
    both = p.path(*wort(1.070), 0.58, [sugar("a", 0.2, "gravity", 1.0195), sugar("b", 1.0, "still")], WARM)
    assert [event.at for event in added(both)] == ["b", "a"]


def test_in_the_cold_a_trigger_takes_too_long() -> None:
    way = p.path(*wort(1.080), 0.65, [sugar("a", 0.5, "gravity", 1.040)], [Step(1.0, 1.0)], Culture(18.0))
    assert way.missed[0].lowest < 1.040
    assert "year" in way.missed[0].why
    assert way.still.value == math.inf


def test_equal_triggers_are_one_dose() -> None:
    additions = [sugar("a", 0.4, "gravity", 1.045), sugar("b", 0.4, "gravity", 1.045)]
    one, two = added(p.path(*wort(1.080), 0.65, additions, WARM))
    assert (one.at, two.at) == ("a", "b")
    assert one.hours == two.hours
    assert two.before == one.after
    assert two.before.value > 1.050
    # A thousandth lower it waits until the beer has fallen again.
    additions[1] = sugar("b", 0.4, "gravity", 1.044)
    one, two = added(p.path(*wort(1.080), 0.65, additions, WARM))
    assert two.hours.value > one.hours.value
    assert two.before.value == pytest.approx(1.044, abs=1e-6)


def test_the_higher_trigger_is_passed_first() -> None:
    additions = [sugar("a", 0.3, "gravity", 1.040), sugar("b", 0.3, "gravity", 1.055)]
    way = p.path(*wort(1.080), 0.65, additions, WARM)
    assert [event.at for event in added(way)] == ["b", "a"]


def test_the_same_time_goes_in_the_order_of_the_list() -> None:
    additions = [sugar("a", 0.3, "day", 72.0), sugar("b", 0.3, "day", 72.0), sugar("c", 0.1, "day", 71.0)]
    way = p.path(*wort(1.080), 0.65, additions, WARM)
    assert [event.at for event in added(way)] == ["c", "a", "b"]


def test_after_previous_counts_from_the_line_before_it() -> None:
    additions = [
        sugar("a", 0.3, "after-previous", 30.0),
        sugar("b", 0.3, "gravity", 1.050),
        sugar("c", 0.3, "after-previous", 48.0),
    ]
    way = p.path(*wort(1.080), 0.65, additions, WARM)
    hours = {event.at: event.hours.value for event in added(way)}
    assert hours["a"] == 30.0
    assert hours["c"] == pytest.approx(hours["b"] + 48.0)


def test_an_untold_time_is_marked() -> None:
    way = p.path(*wort(1.080), 0.65, [sugar("a", 0.3, "unknown"), sugar("b", 0.3, "day", 72.0)], WARM)
    told = {event.at: event for event in added(way)}
    assert told["a"].hours.value == told["b"].hours.value == p.UNTOLD_HOURS
    assert told["a"].untold
    assert not told["b"].untold


def test_a_still_beer_starts_again_after_a_lag() -> None:
    way = p.path(*wort(1.080), 0.65, [sugar("a", 0.5, "still")], WARM)
    assert [event.what for event in way.events] == ["pitched", "still", "added", "still"]
    event = added(way)[0]
    assert event.restarts
    assert not event.stalls
    assert event.hours.value == way.events[1].hours.value
    waiting = p.state_at(way, event.hours.value + p.RESTART_HOURS - 0.01)
    assert waiting.fermented == pytest.approx(event.now.fermented)
    assert p.state_at(way, event.hours.value + p.RESTART_HOURS + 6.0).fermented > event.now.fermented
    extract, _ = wort(1.080)
    assert way.end.fermented == pytest.approx(0.65 * extract + 0.5)


def test_sugar_long_after_the_end_still_ferments() -> None:
    way = p.path(*wort(1.060), 0.65, [sugar("a", 0.5, "day", 720.0)], WARM)
    assert added(way)[0].restarts
    extract, _ = wort(1.060)
    assert way.end.fermented == pytest.approx(0.65 * extract + 0.5)
    assert way.still.value > 720.0


def test_lactose_does_not_wake_it() -> None:
    way = p.path(*wort(1.060), 0.65, [Addition("a", 0.5, 0.0, 0.0, "still")], WARM)
    assert [event.what for event in way.events] == ["pitched", "still", "added"]
    event = added(way)[0]
    assert not event.restarts
    assert not event.stalls
    assert way.end.stalled == 0.0
    assert way.still.value == event.hours.value


def test_past_its_tolerance_the_culture_does_not_start_again() -> None:
    """1.080 at 0.65 makes 7.6 % vol: sugar for the still beer stays if it stands 7 %, and goes if it stands 9 %."""
    additions = [sugar("a", 0.5, "still")]
    stalled = p.path(*wort(1.080), 0.65, additions, WARM, Culture(17.0, 0.07))
    event = added(stalled)[0]
    assert event.stalls
    assert not event.restarts
    assert stalled.end.stalled == pytest.approx(0.5)
    assert stalled.end.beer.gravity == pytest.approx(event.after.value, abs=0.001)
    goes = p.path(*wort(1.080), 0.65, additions, WARM, Culture(17.0, 0.09))
    assert added(goes)[0].restarts
    assert goes.end.stalled == 0.0


def test_a_stated_tolerance_does_not_stop_a_beer_that_works() -> None:
    """It is a soft limit. Nor is there a lag before such a beer takes the sugar."""
    way = p.path(*wort(1.080), 0.65, [sugar("a", 0.5, "day", 72.0)], WARM, Culture(17.0, 0.03))
    event = added(way)[0]
    assert event.was.beer.abv > 0.03
    assert not event.stalls
    assert not event.restarts
    assert p.state_at(way, 72.5).fermented > event.now.fermented * 1.001
    assert way.end.beer.abv > 0.085


def test_water_thins_and_sugar_lifts() -> None:
    way = p.path(*wort(1.060), 0.65, [Addition("a", 0.0, 2.0, 0.0, "day", 48.0)], WARM)
    event = added(way)[0]
    assert event.after.value < event.before.value
    assert event.points < 0.0
    assert way.end.water == pytest.approx(wort(1.060)[1] + 2.0)


def test_a_wort_that_nothing_ferments_in() -> None:
    way = p.path(*wort(1.050), 0.0, [sugar("a", 1.0, "still")], WARM)
    assert [event.what for event in way.events] == ["pitched", "still", "added", "still"]
    assert added(way)[0].hours.value == 0.0
    assert way.end.fermented == pytest.approx(1.0)
    with pytest.raises(ValueError):
        p.path(0.0, 0.0, 0.5)
    mead = p.path(0.0, 20.0, 0.5, [sugar("a", 3.0, "day", 0.0)], WARM)
    assert mead.end.fermented == pytest.approx(3.0)


# --- temperatures ---


def test_ramps_are_cut_into_level_pieces_with_the_right_mean() -> None:
    pieces = p.temperatures((Step(10.0, 10.0, 48.0), Step(10.0, 18.0, 24.0), Step(18.0, 18.0)))
    assert pieces[0] == (48.0, 10.0)
    ramp = [celsius for end, celsius in pieces if 48.0 < end <= 72.0]
    assert len(ramp) == 4
    assert sum(ramp) / len(ramp) == pytest.approx(14.0)
    assert pieces[-1] == (math.inf, 18.0)
    assert p.temperatures(()) == ((math.inf, 20.0),)


def test_a_step_until_still_lets_the_next_come_after_it() -> None:
    steps = (Step(20.0, 20.0, None, still_for=72.0), Step(2.0, 2.0))
    way = p.path(*wort(1.060), 0.65, (), steps, ALE)
    still = p.path(*wort(1.060), 0.65, (), WARM, ALE).still.value
    assert way.still.value == pytest.approx(still)
    assert way.temperatures[0] == (pytest.approx(still + 72.0), 20.0)


def test_a_step_until_a_gravity_ends_there() -> None:
    steps = (Step(10.0, 10.0, None, until=1.025), Step(10.0, 16.0, 48.0), Step(16.0, 16.0))
    way = p.path(*wort(1.050), 0.65, (), steps, Culture(8.0))
    ends = way.temperatures[0][0]
    assert p.state_at(way, ends).beer.gravity == pytest.approx(1.025, abs=1e-6)
    cold = p.path(*wort(1.050), 0.65, (), [Step(10.0, 10.0)], Culture(8.0))
    assert way.still.value < cold.still.value


def test_sugar_for_the_still_beer_puts_off_the_crash() -> None:
    """The three still days begin anew when the beer works again."""
    steps = (Step(20.0, 20.0, None, still_for=72.0), Step(2.0, 2.0))
    way = p.path(*wort(1.070), 0.65, [sugar("a", 0.5, "still")], steps, ALE)
    assert way.temperatures[0][0] == pytest.approx(way.still.value + 72.0)


def test_a_step_that_waits_for_ever_is_the_last() -> None:
    steps = (Step(20.0, 20.0, None, until=1.000), Step(2.0, 2.0))
    way = p.path(*wort(1.070), 0.60, (), steps, ALE)
    assert way.temperatures == ((math.inf, 20.0),)


# --- where the brewer states the end ---


@given(OG, st.floats(0.5, 0.8), st.lists(st.floats(0.05, 0.8), max_size=3))
def test_a_stated_end_is_met(og: float, limit: float, doses: list[float]) -> None:
    extract, water = wort(og)
    additions = [sugar("", kilograms, "day", 48.0) for kilograms in doses]
    share = p.wort_share(limit, extract, additions)
    assume(0.0 < share < 1.0)
    way = p.path(extract, water, share, additions, WARM)
    assert way.end.share == pytest.approx(limit)


def test_many_additions_end() -> None:
    additions = [sugar(str(i), 0.02, "gravity", 1.075 - 0.0005 * i) for i in range(40)]
    additions += [sugar(f"s{i}", 0.02, "still") for i in range(20)]
    additions += [sugar(f"p{i}", 0.02, "after-previous", 0.0) for i in range(20)]
    way = p.path(*wort(1.080), 0.70, additions, WARM)
    assert len(added(way)) == 80
