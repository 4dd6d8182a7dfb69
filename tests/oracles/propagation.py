# Propagation of uncertainty, judged by the uncertainties package: reads results with their standard uncertainty as lines of JSON and
# says which it makes otherwise. Formulas are written out here anew, and their derivatives are the package's own.
import json
import math
import sys

from uncertainties import ufloat, umath

# JCGM 100, 4.3.7, 4.3.9, F.2.2.1: what a half-width, or a step, is as a standard uncertainty.
LAWS = {
    "standard": lambda part: part,
    "limits": lambda part: part / math.sqrt(3),
    "triangular": lambda part: part / math.sqrt(6),
    "steps": lambda part: part / math.sqrt(12),
    "expanded": lambda part: part / 2,
}


def read(value, instrument):
    """A reading with an instrument whose error lies anywhere within its limit, read to its step."""
    within = ufloat(value, LAWS["limits"](instrument["limit"]))
    # A leaf has no steps to read.
    return within + ufloat(0, LAWS["steps"](instrument["step"])) if instrument["step"] else within


def result(case):
    at = {name: ufloat(value, standard) for name, (value, standard) in case.get("at", {}).items()}
    match case["what"]:
        case "together":
            return sum(ufloat(0, LAWS[case["law"]](part)) for part in case["parts"])
        case "clearance":
            return read(case["bore"], case["bore_with"]) - read(case["inner"], case["inner_with"])
        # The spread of two readings with one instrument, like taper or out-of-round.
        case "spread":
            return read(case["most"], case["with"]) - read(case["least"], case["with"])
        case "difference":
            return ufloat(case["first"], case["first_u"]) - ufloat(case["second"], case["second_u"])
        case "displacement":
            return math.pi / 4 * at["bore"] ** 2 * at["stroke"] * 4
        case "compression_ratio":
            disc = math.pi / 4 * at["bore"] ** 2
            clearance = at["chamber"] + disc * (at["gasket_thickness"] + at["deck"])
            return (disc * at["stroke"] + clearance) / clearance
        case "preload":
            return at["torque"] / (at["factor"] * at["diameter"])
        case "hone":
            return 2 * umath.atan(2 * at["stroke"] * at["cycles"] / (math.pi * at["bore"] * at["turning"])) * 180 / math.pi
    raise ValueError(case["what"])


judged = 0
for line in sys.stdin:
    case = json.loads(line)
    theirs = result(case)
    judged += 1
    fits = math.isclose(case["value"], theirs.nominal_value, rel_tol=1e-9, abs_tol=1e-9) and math.isclose(
        case["standard"], theirs.std_dev, rel_tol=case.get("to", 1e-9), abs_tol=1e-12
    )
    if not fits:
        print(f"{case} is {theirs.nominal_value} ± {theirs.std_dev} there")
        sys.exit(1)
print(f"judged {judged}")
