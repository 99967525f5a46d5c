"""What holds for every name of a checklist, however it is typed."""

from __future__ import annotations

import random
import string

from hypothesis import given, settings
from hypothesis import strategies as st
from name_lists import demo, southern_plains

from dwc_pipeline.normalise.scientific_name import judge_name
from dwc_pipeline.terms.name_keys import epithet_key
from dwc_pipeline.terms.taxon import NameUse

PLAIN_USES = [use for use in southern_plains().uses if not use.regional]
SPECIES_USES = [use for use in PLAIN_USES if len(use.listed.split()) == 2]
ENGLISH = [
    use
    for uses in southern_plains().english.values()
    if len({use.taxon.name for use in uses}) == 1
    for use in uses
    if use.is_first
]
#: two or three wrong letters in a short name, Regina, can well spell another, Rena.
LONG_USES = [use for use in PLAIN_USES if len(use.listed) >= 10]
LONG_ENGLISH = [use for use in ENGLISH if len(use.listed) >= 10]
GENDERS = {"us": ("a", "um"), "a": ("us", "um"), "um": ("us", "a"), "is": ("e",)}


def read(typed: str) -> str:
    return judge_name(typed, southern_plains()).value


def typed_forms(use: NameUse, how: random.Random) -> str:
    """The name in other capitals and spaces, perhaps with its author, perhaps with underscores."""
    name = use.listed
    case = how.choice((str, str.upper, str.lower, str.title))
    gap = how.choice((" ", "  ", "\u00a0", "_"))
    author = f" {use.authorship}" if use.authorship and case is str and how.random() < 0.5 else ""
    return how.choice(("", " ", "\t")) + gap.join(case(name).split()) + author + how.choice(("", " ", "."))


@settings(max_examples=200, deadline=None)
@given(use=st.sampled_from(PLAIN_USES), how=st.randoms(use_true_random=False))
def test_capitals_spaces_and_author_do_not_hide_a_name(use: NameUse, how: random.Random) -> None:
    assert read(typed_forms(use, how)) == use.taxon.name


@settings(max_examples=150, deadline=None)
@given(use=st.sampled_from(SPECIES_USES), how=st.randoms(use_true_random=False))
def test_a_gender_ending_does_not_hide_a_name(use: NameUse, how: random.Random) -> None:
    ending = next((ending for ending in GENDERS if use.listed.endswith(ending)), None)
    if ending is None or epithet_key(use.listed.split()[1]) == use.listed.split()[1]:
        return
    assert read(use.listed.removesuffix(ending) + how.choice(GENDERS[ending])) == use.taxon.name


@settings(max_examples=150, deadline=None)
@given(use=st.sampled_from(SPECIES_USES))
def test_an_abbreviated_genus_is_read_if_it_is_the_only_one_and_asked_otherwise(use: NameUse) -> None:
    genus, epithet = use.listed.split()
    fitting = [
        other
        for other in southern_plains().uses
        if len(words := other.listed.split()) == 2
        and words[0][0] == genus[0]
        and epithet_key(words[1]) == epithet_key(epithet)
    ]
    alone = len({other.taxon for other in fitting}) == 1 and not any(other.regional for other in fitting)
    assert read(f"{genus[0]}. {epithet}") == (use.taxon.name if alone else "")


@settings(max_examples=100, deadline=None)
@given(which=st.sampled_from(ENGLISH), how=st.randoms(use_true_random=False))
def test_plural_hyphen_and_apostrophe_do_not_hide_a_common_name(which: object, how: random.Random) -> None:
    use = which
    typed = use.listed.lower() + how.choice(("", "s"))  # type: ignore[attr-defined]
    typed = typed.replace("'", how.choice(("'", "’", ""))).replace("-", how.choice(("-", " ", "")))
    assert read(typed) == use.taxon.name  # type: ignore[attr-defined]


def edited(name: str, how: random.Random, edits: int) -> str:
    """The name with some letters left out, put in, exchanged or swapped."""
    for _ in range(edits):
        at, letter = how.randrange(len(name)), how.choice(string.ascii_lowercase)
        name = how.choice(
            (
                name[:at] + name[at + 1 :],
                name[:at] + letter + name[at:],
                name[:at] + letter + name[at + 1 :],
                name[:at] + name[at + 1 : at + 2] + name[at : at + 1] + name[at + 2 :],
            )
        )
    return name


@settings(max_examples=15, deadline=None)
@given(how=st.randoms(use_true_random=False), edits=st.integers(1, 3))
def test_a_misspelt_name_never_becomes_another_taxon(how: random.Random, edits: int) -> None:
    """750 misspellings in a run."""
    for _ in range(50):
        use = how.choice(LONG_USES) if how.random() < 0.7 else how.choice(LONG_ENGLISH)
        typed = edited(use.listed, how, edits)
        verdict = judge_name(typed, southern_plains())
        is_wider = use.taxon.is_within(verdict.value) and verdict.flags
        assert not verdict.is_read or verdict.value == use.taxon.name or is_wider, (use.listed, typed, verdict)


@settings(max_examples=150, deadline=None)
@given(text=st.text(max_size=60))
def test_any_text_gets_a_verdict_and_the_same_one_again(text: str) -> None:
    verdict = judge_name(text, demo())
    assert verdict == judge_name(text, demo())
    assert verdict.is_read or not verdict.value


@settings(max_examples=100, deadline=None)
@given(use=st.sampled_from(PLAIN_USES))
def test_what_was_written_is_read_back_unchanged(use: NameUse) -> None:
    written = judge_name(use.listed, southern_plains())
    again = judge_name(written.value, southern_plains())
    assert (again.status, again.value) == ("kept", written.value)
