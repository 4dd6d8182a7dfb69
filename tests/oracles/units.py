# Units, judged by pint: reads conversions as lines of JSON and says which of them pint makes otherwise.
# It has no conversion factor of its own: it only says what our symbols are called there.
import json
import math
import sys

import pint

NAMES = {
    "": "dimensionless", "%": "percent", "µm": "micrometer", "thou": "thou", "in": "inch",
    "UK fl oz": "imperial_fluid_ounce", "US fl oz": "fluid_ounce", "UK pt": "imperial_pint", "US pt": "pint",
    "UK qt": "imperial_quart", "US qt": "quart", "UK gal": "imperial_gallon", "US gal": "gallon",
    "lb": "pound", "lbm": "pound", "oz": "ounce", "oz av": "ounce", "UK cwt": "UK_hundredweight",
    "US cwt": "US_hundredweight", "UK ton": "UK_ton", "US ton": "US_ton", "kgf": "kilogram_force",
    "lbf": "pound_force", "ozf": "ounce_force", "atm": "standard_atmosphere", "inHg": "inch_Hg", "mmHg": "mmHg",
    "°": "degree", "arcmin": "arcminute", "arcsec": "arcsecond", "turn": "turn", "°C": "degC", "°F": "degF",
    "K": "kelvin", "t": "metric_ton", "L": "liter", "rpm": "rpm", "rev/s": "revolution/second", "mi": "mile",
    "kn": "knot", "mph": "mile/hour", "hp": "horsepower", "PS": "metric_horsepower", "Ω": "ohm", "kΩ": "kiloohm",
    "mΩ": "milliohm", "min": "minute", "h": "hour", "hp mech": "horsepower",
}
registry = pint.UnitRegistry(autoconvert_offset_to_baseunit=True)


def expression(symbol):
    if symbol in NAMES:
        return NAMES[symbol]
    parts = symbol.replace("²", "**2").replace("³", "**3").replace("·", "*")
    out = ""
    word = ""
    for letter in parts + " ":
        if letter.isalpha() or letter in "°µΩ":
            word += letter
            continue
        out += (NAMES.get(word, word) if word else '') + letter
        word = ""
    return out.strip()


judged = 0
for line in sys.stdin:
    case = json.loads(line)
    start = registry.Quantity(case["value"], expression(case["from"]))
    theirs = start.to(expression(case["to"])).magnitude
    ours = case["found"]
    judged += 1
    if not math.isclose(ours, theirs, rel_tol=1e-9, abs_tol=1e-9):
        print(f"{case['value']} {case['from']} is {ours} {case['to']} here and {theirs} there")
        sys.exit(1)
print(f"judged {judged}")
