"""Marked animals: one organismID for each animal, within species and project.

The mark alone never makes the identifier: marks are reused and misread. Two captures are one animal where mark
and accepted species agree. If the mark or the species of an animal is corrected in all its captures, it keeps its
identifier, known by those captures.
"""

from __future__ import annotations

import json

import pandas as pd

from dwc_pipeline.assemble.identifiers import Assigned, lines_of, match_exactly, registered
from dwc_pipeline.core.marks import marks_apart

#: Share of an animal's captures, before and after, by which it is known again under another mark; our choice.
MOST_CAPTURES = 0.5


def organisms(
    occurrence: pd.DataFrame, mark: pd.Series, code: str, register: pd.DataFrame
) -> tuple[pd.Series, Assigned]:
    """organismID per occurrence ("" for unmarked animals), and the register of organisms.

    occurrence: with occurrenceID and scientificName, indexed like mark. mark: standard mark, "" where none.
    """
    animals = marked_animals(occurrence, mark)
    given = identify(animals, code, register)
    found = pd.Series("", index=occurrence.index, dtype=object)
    by_capture = pd.Series(given.identifiers, index=animals.index).reindex(animals.index)
    of_capture = {
        capture: identifier
        for captures, identifier in zip(animals["captures"], by_capture, strict=True)
        for capture in captures.split()
    }
    marked = (mark != "") & (occurrence["scientificName"] != "")
    found[marked] = occurrence.loc[marked, "occurrenceID"].map(of_capture)
    return found, given


def marks_of(occurrence: pd.DataFrame, rows: pd.DataFrame) -> pd.Series:
    """The mark by which each animal is known; where only its second mark was read, the one that goes with it.

    occurrence: with scientificName and individualCount. rows: standard capture rows with `mark` and `second_mark`,
    same index. Two marks of a species that went with each other and with no third are one animal, whichever of them
    was read and in whichever column. A second mark that went with several marks settles nothing; then, or where it
    never went with one, it stands for itself.
    """
    if "individualCount" in occurrence:  # a name may give the count: "2 ASSE"
        rows = rows.assign(individualCount=occurrence["individualCount"])
    mark, second = marks_apart(rows)
    species = occurrence["scientificName"].astype(object)
    both = pd.DataFrame({"species": species, "mark": mark, "second": second})
    both = both[(mark != "") & (second != "") & (mark != second)].drop_duplicates()
    one = both[~both.duplicated(["species", "second"], keep=False)].set_index(["species", "second"])["mark"]
    partner = looked_up(one, species, second)
    known = mark.where(mark != "", partner.where(partner != "", second))
    pair = looked_up(lone_pairs(both), species, known)
    return pair.where(pair != "", known)


def lone_pairs(both: pd.DataFrame) -> pd.Series:
    """Of pairs of marks that went with no third mark: the one typed first, by species and the other one.

    both: species, mark and second of rows with two different marks.
    """
    turned = both["mark"] > both["second"]
    low, high = both["mark"].mask(turned, both["second"]), both["second"].mask(turned, both["mark"])
    pairs = both[~pd.DataFrame({"species": both["species"], "low": low, "high": high}).duplicated()]
    ends = pd.concat([pairs[["species", end]].set_axis(["species", "mark"], axis=1) for end in ("mark", "second")])
    several = pd.MultiIndex.from_frame(ends[ends.duplicated()])
    in_several = [pd.MultiIndex.from_frame(pairs[["species", end]]).isin(several) for end in ("mark", "second")]
    return pairs[~in_several[0] & ~in_several[1]].set_index(["species", "second"])["mark"]


def looked_up(known: pd.Series, species: pd.Series, mark: pd.Series) -> pd.Series:
    """What is known of each mark of a species; "" where nothing is."""
    found = known.reindex(pd.MultiIndex.from_arrays([species, mark])).to_numpy()
    return pd.Series(found, index=mark.index, dtype=object).fillna("")


def marked_animals(occurrence: pd.DataFrame, mark: pd.Series) -> pd.DataFrame:
    """One line for each species and mark: species, mark, captures (their identifiers, sorted)."""
    marked = (mark != "") & (occurrence["scientificName"] != "")
    frame = pd.DataFrame(
        {
            "species": occurrence.loc[marked, "scientificName"].astype(object),
            "mark": mark[marked].astype(object),
            "captures": occurrence.loc[marked, "occurrenceID"].astype(object),
        }
    )
    grouped = frame.sort_values("captures").groupby(["species", "mark"], sort=True)["captures"].agg(" ".join)
    return grouped.reset_index().astype(object)


def organism_stem(animals: pd.DataFrame, code: str) -> pd.Series:
    """Start of the organismID of each animal."""
    return (code + "-animal-" + animals["species"].str.replace(" ", "-")).astype(object)


def organism_features(animals: pd.DataFrame) -> pd.Series:
    """What the register keeps of each marked animal."""
    return pd.Series(
        [json.dumps(one, ensure_ascii=False) for one in animals[["species", "mark", "captures"]].to_dict("records")],
        index=animals.index,
        dtype=object,
    )


def identify(animals: pd.DataFrame, code: str, register: pd.DataFrame) -> Assigned:
    """Identifiers of the animals: by species and mark, then by their captures."""
    old = lines_of(register, "organism")
    named = old["features"].map(lambda text: without_captures(str(text)))
    keyed = old.assign(features=named, stem="")
    name = pd.Series(
        [json.dumps(one, ensure_ascii=False) for one in animals[["species", "mark"]].to_dict("records")],
        index=animals.index,
        dtype=object,
    )
    nothing = pd.Series("", index=animals.index, dtype=object)
    matched = pd.Series(-1, index=animals.index)
    match_exactly(matched, keyed[keyed["retired"] == ""], nothing, name)
    match_by_captures(matched, old[old["retired"] == ""], animals)
    match_exactly(matched, keyed[keyed["retired"] != ""], nothing, name)
    return registered("organism", matched, {}, old, organism_stem(animals, code), organism_features(animals))


def without_captures(features: str) -> str:
    """The features of a register line without the captures."""
    return json.dumps(
        {key: text for key, text in json.loads(features).items() if key != "captures"}, ensure_ascii=False
    )


def match_by_captures(matched: pd.Series, in_use: pd.DataFrame, animals: pd.DataFrame) -> None:
    """Animals under a new name or mark that hold most captures of an animal that is gone. Fills `matched`."""
    free = in_use[~in_use.index.isin(matched[matched >= 0])]
    owner = {
        capture: line
        for line, text in free["features"].items()
        for capture in json.loads(text).get("captures", "").split()
    }
    size = pd.Series(owner).value_counts() if owner else pd.Series(dtype=int)
    for row in matched.index[matched < 0]:
        captures = animals.at[row, "captures"].split()
        held = pd.Series([owner[one] for one in captures if one in owner]).value_counts()
        if held.empty:
            continue
        line, shared = held.index[0], int(held.iloc[0])
        if shared > MOST_CAPTURES * len(captures) and shared > MOST_CAPTURES * int(size[line]):
            matched.loc[row] = line
