"""What is said of bad files: every finding with its rule, place and sentence, and nothing besides."""

from __future__ import annotations

import pytest

from recipelint.recipe.builder import build, kind_of
from recipelint.recipe.troubles import span_of
from recipelint.source.reader import read
from tests.recipe.messages import BAD, Case
from tests.recipe.samples import SMALL, built

# One word or number first, so that a list of findings can be read down its left side. A few sentences speak of the
# whole file and have no name to begin with.
OPENINGS = ("`", "this file")


@pytest.mark.parametrize("case", BAD, ids=[case.name for case in BAD])
def test_what_is_said(case: Case) -> None:
    found = read("recipes/a.yaml", case.text.encode())
    assert kind_of(found) == case.kind
    made = build(case.kind, found)
    said = []
    for trouble in made.troubles:
        line, column = found.position(span_of(trouble, found).start)
        said.append((trouble.rule, f"{line}:{column}", trouble.message))
    assert tuple(said) == case.said
    assert made.value is None


def test_every_sentence_begins_with_a_name_or_a_number_and_fits_a_line() -> None:
    assert len(BAD) > 70
    for case in BAD:
        assert case.said, case.name
        for _, _, message in case.said:
            assert message.startswith(OPENINGS), message
            assert len(message) <= 160, message
            assert not set("{}\n") & set(message), message


def test_the_names_of_the_cases_differ() -> None:
    names = [case.name for case in BAD]
    assert len(set(names)) == len(names)


def test_two_keys_of_which_one_may_stand_show_both_places() -> None:
    made = built(SMALL + "hops: [{hop: fuggle, boil: 10 min, whirlpool: 20 min}]\n")
    (trouble,) = made.troubles
    assert trouble.at.pointer == "/hops/0/whirlpool"
    assert [at.pointer for _, at in trouble.related] == ["/hops/0/boil"]


def test_a_bill_in_weights_and_shares_shows_both_places() -> None:
    made = built(SMALL + "  - {malt: b, share: 5 %}\n")
    (trouble,) = made.troubles
    assert trouble.at.pointer == "/grist/1/share"
    assert [at.pointer for _, at in trouble.related] == ["/grist/0/weight"]


def test_a_value_deep_in_a_list_is_underlined_not_its_parent() -> None:
    found = read("a.yaml", (SMALL + "mash:\n  rests:\n    - at: 65 °C\n      for: 60\n").encode())
    (trouble,) = build("recipe", found).troubles
    span = span_of(trouble, found)
    assert found.text[span.start : span.end] == "60"


def test_control_characters_and_length_never_reach_the_message() -> None:
    long = "x" * 500
    made = built(SMALL + f'hops: [{{hop: x, weight: "\\u202e3 g\\e[31m", boil: "{long}"}}]\n"{long}": 1\n')
    assert len(made.troubles) == 3
    for trouble in made.troubles:
        assert trouble.message.isprintable()
        assert len(trouble.message) <= 160


def test_a_file_of_thousands_of_faults_is_answered_quickly_and_in_part() -> None:
    many = "".join(f"key{number}: 1\n" for number in range(5000))
    made = built(SMALL + many)
    assert 100 <= len(made.troubles) <= 1000
    assert made.value is None


def test_what_the_reader_has_reported_is_not_reported_again() -> None:
    found = read("a.yaml", SMALL.replace("5 kg", "*nowhere").encode())
    assert len(found.problems) == 1
    made = build("recipe", found)
    assert made.troubles == ()
    assert made.value is None
