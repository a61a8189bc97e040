"""How often a measure is taken, and the form of the tables that list measures."""

SHIFT, DAY, WEEK = "shift", "day", "week"

Range = tuple[float, float]

# of each stream its title and station
Titles = dict[str, tuple[str, str]]

# weight: (title, unit, decimals, usual, hard, grain); "?" marks one that is not always due
Weights = dict[str, tuple[str, str, int, Range, Range, str]]

# stream: grain, carrier, and of each property usual and hard limits; "?" as above
Analyses = dict[str, tuple[str, str, dict[str, tuple[Range, Range]]]]

# what adds up and is not a weight, by name: stream, property, then as a weight
Amounts = dict[str, tuple[str, str, str, str, int, Range, Range, str]]
