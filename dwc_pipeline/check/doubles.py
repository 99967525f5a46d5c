"""When two rows are taken for one animal typed twice; all are choices of ours."""

from __future__ import annotations

#: A row that says less than this many things may well repeat itself. [filled cells]
LEAST_FILLED = 4
#: Measurements that must agree before two unmarked animals are taken for one. [number]
LEAST_EQUAL = 2
#: Where the time of a row is that of its animal; animals in traps have that of the check. [eventType]
TIMED = ("roadSurvey", "incidental")
