"""What can be wrong with a typed name."""

from __future__ import annotations

from dwc_pipeline.core.rule import Rule, Severity, declare

NOT_IN_CHECKLIST = declare(
    Rule(
        id="name-not-in-checklist",
        severity=Severity.ERROR,
        what="A name, code or common name is in the checklist neither as it stands nor by a safe repair.",
        why="The animal would be counted under no species, or under a wrong one if its name were guessed.",
        remedy="Say which taxon is meant, add the spelling under [names] in the survey file, or add the taxon to the "
        "checklist if it is new to the site.",
        asks=True,
    )
)
TWO_READINGS = declare(
    Rule(
        id="name-has-two-readings",
        severity=Severity.ERROR,
        what="A name can mean more than one taxon of the checklist.",
        why="P. obsoletus is a ratsnake or a skink: taking the first would put animals into the wrong species.",
        remedy="Say which taxon is meant, or add the spelling under [names] in the survey file.",
        asks=True,
    )
)
CODE_TWO_READINGS = declare(
    Rule(
        id="code-has-two-readings",
        severity=Severity.ERROR,
        what="A field code can stand for more than one taxon of the checklist, by its present or old name.",
        why="Codes made of two and two letters collide, and codes of old names are still typed years after a change.",
        remedy="Say which taxon the code means on these sheets, or list it under fieldCodes in the checklist.",
        source="common practice; code lists in Fisher et al. 2008, USGS Techniques and Methods 2-A5",
        asks=True,
    )
)
FITS_TOO = declare(
    Rule(
        id="code-fits-another-name",
        severity=Severity.WARNING,
        what="A field code was read for one taxon, and the letters of another name make the same code.",
        why="A crew with another or an older code list may have meant the other taxon.",
        remedy="Compare with the code list of that season; if the other taxon was meant, say so under [names].",
    )
)
SMALL_CODE = declare(
    Rule(
        id="code-in-small-letters",
        severity=Severity.NOTE,
        what="A word in small letters was read as a field code.",
        why="Codes are written in capitals; a word such as site or cave is also the code of a species.",
        remedy="Look whether the word was meant as a code.",
    )
)
REPAIRED = declare(
    Rule(
        id="name-repaired",
        severity=Severity.WARNING,
        what="A name was spelt differently from every name of the checklist and read as the only close one.",
        why="A spelling mistake is likely, but another species with a similar name may have been meant.",
        remedy="Compare the name with the one that was put in; correct the cell, or add it under [names].",
    )
)
VENOMOUS_BY_REPAIR = declare(
    Rule(
        id="venomous-name-by-repair",
        severity=Severity.ERROR,
        what="A misspelt name is close to a venomous or protected species.",
        why="Reports of such species have consequences for safety and permits, so they never rest on a repair alone.",
        remedy="Confirm the species, or correct the cell.",
        asks=True,
    )
)
REGIONAL_SYNONYM = declare(
    Rule(
        id="name-by-regional-synonym",
        severity=Severity.ERROR,
        what="A name is accepted for another species elsewhere and stands for a species of the checklist only here.",
        why="Old sheets use the name for the local species; the animal could also be the species that keeps it.",
        remedy="Say which species is meant; an entry under [names] settles it for the whole survey.",
        asks=True,
    )
)
DOUBTFUL = declare(
    Rule(
        id="identification-doubtful",
        severity=Severity.WARNING,
        what="The name carries a sign of doubt (cf., aff., ?) or names two possible taxa.",
        why="A doubtful animal must not enter a count of species unless a person says so.",
        remedy="Keep it as it is, or correct the cell if the animal was identified later (a photograph, a voucher).",
        source="Darwin Core, identificationQualifier",
    )
)
WHOLE_NAME_DOUBTFUL = declare(
    Rule(
        id="whole-name-doubtful",
        severity=Severity.ERROR,
        what="The sign of doubt stands before the whole name, so no rank of it is certain.",
        why="Neither the species nor its genus can be written as a fact.",
        remedy="Say to which rank the animal was certain; the doubt is kept in identificationQualifier.",
        source="Darwin Core, identificationQualifier",
        asks=True,
    )
)
SUBSPECIES_LEFT_OUT = declare(
    Rule(
        id="subspecies-not-in-checklist",
        severity=Severity.WARNING,
        what="A subspecies is not in the checklist; its species was written, the subspecies kept as typed.",
        why="Many subspecies have become species of their own, so the name may belong to another species today.",
        remedy="Check that the species still holds it; list subspecies in the checklist if you report them.",
    )
)
AUTHORSHIP_DIFFERS = declare(
    Rule(
        id="authorship-differs",
        severity=Severity.NOTE,
        what="The author or year typed after a name differs from the checklist's.",
        why="Brackets and years are often mistyped; a wholly different author can mean another animal of that name.",
        remedy="Nothing to do if only brackets or the year differ; else check which animal the name was given to.",
        source="International Code of Zoological Nomenclature, articles 51.3 and 52",
    )
)
GROUP_ONLY = declare(
    Rule(
        id="name-of-a-group-only",
        severity=Severity.NOTE,
        what='A word such as "snake" or "toad" names a group; it was written at the rank that is certain.',
        why="The record counts as an animal, but not towards the list of species.",
        remedy="Give the species if notes or photographs allow it.",
    )
)
NA_IN_NAME = declare(
    Rule(
        id="na-in-the-name-column",
        severity=Severity.ERROR,
        what="The name column holds NA, a dash or the like.",
        why="It can mean that nothing was caught, that the name was not written down, or be a species code: an empty "
        "check is data, a missing name is not.",
        remedy="Say what it means on these sheets: not_available under [table.habits] of their "
        "table in the survey file, or an answer.",
        asks=True,
    )
)
UNIDENTIFIED = declare(
    Rule(
        id="animal-not-identified",
        severity=Severity.WARNING,
        what="The name column says only that the animal was not identified.",
        why="It is a capture of an unknown animal, neither an empty check nor a missing row.",
        remedy="Give the narrowest group that is certain, such as snake or Anura.",
        asks=True,
    )
)
TRAP_STATE_IN_NAME = declare(
    Rule(
        id="trap-state-in-the-name-column",
        severity=Severity.ERROR,
        what="The name column holds the state of a trap, such as closed or flooded.",
        why="A trap that could not catch is not an empty check; its nights must leave the effort.",
        remedy="Move the word to the trap log, or say what the row stands for.",
        asks=True,
    )
)
TWO_NAMES = declare(
    Rule(
        id="two-names-in-one-cell",
        severity=Severity.ERROR,
        what="A name cell names two different animals.",
        why="One row would have to become two records, and its measurements belong to one of them only.",
        remedy="Give each animal its own row.",
        asks=True,
    )
)
SIGN_ONLY = declare(
    Rule(
        id="sign-without-animal",
        severity=Severity.ERROR,
        what="The name cell tells of a sign, such as a shed skin, tracks or a call, not of an animal in the hand.",
        why="A sign is no capture; counted as one it raises the catch rate.",
        remedy="Say whether the row is a record of a sign, or an animal that was caught.",
        asks=True,
    )
)
ESCAPED_UNNAMED = declare(
    Rule(
        id="escaped-before-it-was-named",
        severity=Severity.WARNING,
        what="An animal got away before it was identified.",
        why="It is a capture of its group but of no species; the observer must say how far it was identified.",
        remedy="Say which group is certain.",
        asks=True,
    )
)
VAGUE_COUNT = declare(
    Rule(
        id="count-in-the-name-is-vague",
        severity=Severity.WARNING,
        what='The name cell holds a count such as "~20" or "several" that is no number.',
        why="A vague count must not become an exact one.",
        remedy="Give the number in the count column if it is known.",
    )
)
WORDS_CONTRADICT = declare(
    Rule(
        id="words-beside-a-name-contradict",
        severity=Severity.ERROR,
        what="Words beside a name contradict each other or the name, such as juvenile adult, or a count of 0.",
        why="Life stage, sex and number would be wrong whichever word was taken.",
        remedy="Correct the cell.",
        asks=True,
    )
)
OUTSIDE_CHECKLIST = declare(
    Rule(
        id="name-declared-outside-checklist",
        severity=Severity.NOTE,
        what="The survey file declares a name that the checklist does not have; it was written as declared.",
        why="Its family, order and authorship are unknown to the tool.",
        remedy="Add the taxon to the checklist if it is to be reported with its classification.",
    )
)
MARKED = declare(
    Rule(
        id="name-carries-a-star",
        severity=Severity.WARNING,
        what="A star stands beside a name or code, and nothing says what it means.",
        why="A star points to a legend or a note: it may mean a juvenile, an escape, a recapture or a doubt.",
        remedy="Answer with the name and the word that the star stands for, such as 'SCUN juv', or as it is.",
        asks=True,
    )
)
