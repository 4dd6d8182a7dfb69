# The normal law and Student's, judged by scipy: reads what was reckoned as lines of JSON and says which scipy makes otherwise.
# It never decides a verdict: only what the probabilities behind one are.
import json
import math
import sys

from scipy.stats import norm, t


def theirs(case):
    match case["law"]:
        case "below":
            return norm.cdf(case["z"]), 1e-13, 1e-12
        # JCGM 106, 7.2: how much of the law about the value lies between the limits; an end that is null is open.
        case "conformance":
            law = norm(case["value"], case["standard"])
            high = 1.0 if case["high"] is None else law.cdf(case["high"])
            low = 0.0 if case["low"] is None else law.cdf(case["low"])
            return high - low, 1e-12, 1e-9
        # The standard uncertainty that was said to decide a value in limits: 95 %, or as much as the tolerance bears.
        case "decides":
            low, high, most = case["low"], case["high"], case["most"]
            law = norm(case["value"], case["standard"])
            inside = law.cdf(high) - law.cdf(low)
            if most is not None and math.isclose(case["standard"], most, rel_tol=1e-9):
                return max(inside, 0.95), 1e-9, 0.0
            return inside, 1e-6, 0.0
        # JCGM 100, table G.2, is printed to two decimals.
        case "coverage":
            return t.ppf((1 + 0.9545) / 2, case["freedom"]), 0.006, 0.0
    raise ValueError(case["law"])


judged = 0
for line in sys.stdin:
    case = json.loads(line)
    wanted, absolute, relative = theirs(case)
    judged += 1
    if not math.isclose(case["found"], wanted, rel_tol=relative, abs_tol=absolute):
        print(f"{case} is {wanted} there")
        sys.exit(1)
print(f"judged {judged}")
