# Assignments, judged by scipy's linear_sum_assignment: reads plans as lines of JSON and says which of them can be bettered.
# It never makes a plan for the program: it only finds what the best one costs. Lengths come in whole nanometres.
import json
import math
import sys

import numpy as np
from scipy.optimize import linear_sum_assignment


def least(costs):
    """The least sum there is, of whole numbers that a float holds exactly."""
    rows, columns = linear_sum_assignment(costs)
    return int(costs[rows, columns].sum())


def of(costs, chosen):
    return int(sum(costs[row, column] for row, column in enumerate(chosen)))


def all_different(chosen, rows, columns):
    return len(chosen) == rows == len(set(chosen)) and all(0 <= column < columns for column in chosen)


def cost(case):
    costs = np.array(case["costs"])
    if of(costs, case["chosen"]) != least(costs):
        return f"costs {of(costs, case['chosen'])} here and {least(costs)} there"
    return None


def narrowest(table, allowed):
    """Every window of clearances, as narrow as can be, that gives each row a column of its own."""
    values = np.unique(table[allowed])
    holds = lambda low, high: least(np.where(allowed & (table >= low) & (table <= high), 0, 1)) == 0
    windows, end = [], 0
    for low in values:
        # What did not hold from a lower start does not hold from here.
        while end < len(values) and (values[end] < low or not holds(low, values[end])):
            end += 1
        if end == len(values):
            break
        windows.append((int(values[end] - low), int(low), int(values[end])))
    if not windows:
        return []
    best = min(windows)[0]
    return [(low, high) for spread, low, high in windows if spread == best]


def select_fit(case):
    table = np.array(case["bores"])[:, None] - np.array(case["inners"])[None, :]
    low = case["low"] if case["low"] is not None else -(10**12)
    high = case["high"] if case["high"] is not None else 10**12
    if case["low"] is not None and case["high"] is not None:
        aim = (case["low"] + case["high"]) // 2
    else:
        aim = int(table.sum() / table.size)
    # Beside the spread: how far off the middle, in whole micrometres, squared.
    beside = np.trunc((table - aim) / 1000).astype(np.int64) ** 2
    allowed = (table >= low) & (table <= high)
    chosen = case["chosen"]
    picked = [int(table[row, column]) for row, column in enumerate(chosen)]
    windows = narrowest(table, allowed) if allowed.any() else []
    if windows:
        start, end = windows[0]
        if max(picked) - min(picked) != end - start:
            return f"spread {max(picked) - min(picked)} here and {end - start} there"
        if case["spread"] != end - start:
            return f"says a spread of {case['spread']}, and it is {end - start}"
        far = 10**13
        best = min(
            least(np.where(allowed & (table >= start) & (table <= end), beside, far)) for start, end in windows
        )
        if of(beside, chosen) != best:
            return f"off the middle by {of(beside, chosen)} here and {best} there"
        return None
    # Not all can be inside: as few outside as can be, and those by as little.
    off = np.maximum(np.maximum(table - high, low - table), 0)
    costs = (off > 0) * 10**11 + off
    if of(costs, chosen) != least(costs):
        return f"outside {of(costs, chosen)} here and {least(costs)} there"
    return None


def ring_plan(case):
    bores, gauge = np.array(case["bores"]), case["gauge"]
    low, high = case["low"], case["high"]
    gaps = np.array(case["gaps"])[None, :] + math.pi * (bores - gauge)[:, None]
    over = np.maximum(np.rint(gaps - high), 0).astype(np.int64)
    file = np.maximum(np.rint(low - gaps), 0).astype(np.int64)
    # No ring too wide, then too wide by as little as can be, then the least filing: each weighs more than all after it.
    costs = (over > 0) * (2 * 10**14) + over * (2 * 10**7) + file
    chosen = case["chosen"]
    # A nanometre a ring may round the other way.
    if abs(of(costs, chosen) - least(costs)) > len(chosen):
        return f"costs {of(costs, chosen)} here and {least(costs)} there"
    if case["too_wide"] != of((over > 0).astype(int), chosen):
        return f"says {case['too_wide']} too wide"
    if abs(case["file"] - of(file, chosen)) > len(chosen):
        return f"says {case['file']} to file, and it is {of(file, chosen)}"
    return None


KINDS = {"cost": cost, "select_fit": select_fit, "ring_plan": ring_plan}
judged = 0
for line in sys.stdin:
    case = json.loads(line)
    rows = len(case["costs"]) if case["kind"] == "cost" else len(case["bores"])
    columns = len(case.get("inners", case.get("gaps", case.get("costs", [[]])[0])))
    fault = None if all_different(case["chosen"], rows, columns) else "not each its own"
    fault = fault or KINDS[case["kind"]](case)
    judged += 1
    if fault:
        print(f"{fault}: {case}")
        sys.exit(1)
print(f"judged {judged}")
