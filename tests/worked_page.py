"""The page of a trap log that the handbook of the trade works through in section 1.6."""

LOG = """Array,Trap,What,Date,Time,State,Open
A1,,opened,2023-05-14,18:30,F2 closed,
A1,B1,closed,2023-05-14,22:00,,
A1,,checked,2023-05-15,07:40,,
A1,,checked,2023-05-15,17:50,,
A1,,checked and closed,2023-05-16,07:25,P3 flooded,
"""
