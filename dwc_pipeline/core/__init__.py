"""Tables, cells, verdicts and findings: what every stage shares. Nothing here knows an animal."""

import pandas as pd

# Texts are held the same way on every machine. Where pyarrow happens to be installed pandas would hold them in it,
# and a few operations on them (on tables without rows, above all) behave otherwise there.
pd.set_option("mode.string_storage", "python")
