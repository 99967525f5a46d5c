"""Makes the invented season of the demo: the animals, the calendar, the sheets and the faults planted in them."""
