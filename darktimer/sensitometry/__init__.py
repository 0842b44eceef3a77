"""From densities, or from words, to a development time.

Knows film by what can be seen and read of it: exposures, densities, times. Knows nothing of plans,
of where readings are kept or how they are shown. Every result comes with its standard uncertainty,
and what the readings cannot bear is refused.
"""
