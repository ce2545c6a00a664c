"""The size of each canonical unit."""

from __future__ import annotations

DEFINITIONS = """
newton_metre = [torque]
foot_pound = 1.3558179483314004 * newton_metre
inch_pound = 0.1129848290276167 * newton_metre
kilogram_force_metre = 9.80665 * newton_metre
kilogram_force_centimetre = 0.0980665 * newton_metre
litre = [volume]
millilitre = 0.001 * litre
centilitre = 0.01 * litre
decilitre = 0.1 * litre
US_gallon = 3.785411784 * litre
US_quart = US_gallon / 4
US_pint = US_gallon / 8
US_fluid_ounce = US_gallon / 128
imperial_gallon = 4.54609 * litre
imperial_quart = imperial_gallon / 4
imperial_pint = imperial_gallon / 8
kilogram = [mass]
gram = 0.001 * kilogram
tonne = 1000 * kilogram
pound = 0.45359237 * kilogram
kilometre = [distance]
mile = 1.609344 * kilometre
millimetre = [length]
centimetre = 10 * millimetre
metre = 1000 * millimetre
micrometre = 0.001 * millimetre
inch = 25.4 * millimetre
foot = 12 * inch
thou = 0.001 * inch
second = [duration]
minute = 60 * second
hour = 60 * minute
day = 24 * hour
month = [calendar]
year = 12 * month
absolute = [temperature]
degree_Celsius = absolute; offset: 273.15
degree_Fahrenheit = 5 / 9 * absolute; offset: 233.15 + 200 / 9
kelvin = [difference_of_temperatures]
Fahrenheit_degree = 5 / 9 * kelvin
kilopascal = [pressure]
megapascal = 1000 * kilopascal
bar = 100 * kilopascal
psi = 4.4482216152605 / 0.64516 * kilopascal
percent = [share]
degree_of_arc = [angle]
turn = 360 * degree_of_arc
kilometre_per_hour = [speed]
mile_per_hour = 1.609344 * kilometre_per_hour
newton = [force]
kilonewton = 1000 * newton
pound_force = 4.4482216152605 * newton
square_millimetre = [area]
square_centimetre = 100 * square_millimetre
square_inch = 645.16 * square_millimetre
kilogram_per_cubic_metre = [density]
gram_per_millilitre = 1000 * kilogram_per_cubic_metre
square_millimetre_per_second = [viscosity]
volt = [voltage]
millivolt = 0.001 * volt
ampere = [current]
milliampere = 0.001 * ampere
ampere_hour = [charge]
litre_per_1000_kilometre = [consumption]
US_quart_per_1000_mile = 0.946352946 / 1.609344 * litre_per_1000_kilometre
"""
"""The canonical units as pint reads them, exact by definition (NIST SP 811, appendix B.8).

Each kind is a dimension of its own, so pint cannot take torque for energy either; months and years differ in
length, so they are no number of days. A registry of these alone is built in a twentieth of the time that the one
with pint's own definitions takes."""
