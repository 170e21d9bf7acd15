"""Physics: pure functions on numbers and NumPy arrays in SI.

Nothing here knows a keg by name or reads a file. Pressures are absolute (Pa) unless a name says
gauge; temperatures are kelvin; carbonation is in volumes (litres of CO2 at 0 °C and 1 atm for each
litre of beer).
"""
