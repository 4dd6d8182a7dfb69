# The threads of bd-warehouse, read out of its tables: prints each size as a line of JSON. Only the tables are opened; the package is
# never imported, so nothing of what it would need to run has to be there.
import csv
import importlib.metadata
import json
import re

distribution = importlib.metadata.distribution("bd-warehouse")
tables = sorted(
    (path for path in distribution.files if path.suffix == ".csv" and "bearing" not in path.name),
    key=lambda path: path.name,
)
assert any(path.name == "tap_hole_sizes.csv" for path in tables), "no table of tap drills"


def inches(text):
    """`#10`, `3/8`, `1 1/8` and `1-1/8` in inches."""
    if text.startswith("#"):
        return 0.060 + 0.013 * int(text[1:])
    total = 0.0
    for part in re.split(r"[ -]", text):
        top, _, bottom = part.partition("/")
        total += float(top) / float(bottom or 1)
    return total


FRACTION = r"\d+/\d+|\d+[ -]\d+/\d+|\d+"
sizes = {}
for path in tables:
    if path.name == "drill_sizes.csv":
        continue
    with open(path.locate(), encoding="utf-8", newline="") as table:
        for row in csv.reader(table):
            name = row[0].strip() if row else ""
            # What follows the pitch of a nut that is melted in is its length and width.
            metric = re.match(r"M([\d.]+)-([\d.]+)(?:$|-)", name)
            unified = re.fullmatch(rf"(#\d+|{FRACTION})-(\d+)", name)
            if metric:
                one = ("iso", f"M{metric[1]}-{metric[2]}", float(metric[1]), float(metric[2]))
            elif unified:
                one = ("unified", name, inches(unified[1]) * 25.4, 25.4 / float(unified[2]))
            elif path.name == "clearance_hole_sizes.csv" and re.fullmatch(r"M[\d.]+", name):
                one = ("iso", name, float(name[1:]), None)
            elif path.name == "clearance_hole_sizes.csv" and re.fullmatch(rf"#\d+|{FRACTION}", name):
                one = ("unified", name, inches(name) * 25.4, None)
            elif path.name == "iso_228_1.csv" and row[1].isdigit():
                one = ("pipe", f"G {name}", float(row[2]), 25.4 / float(row[1]))
            else:
                continue
            sizes.setdefault(one[:2], (*one, path.name))
for family, name, major, pitch, where in sizes.values():
    print(json.dumps({"family": family, "name": name, "major": major, "pitch": pitch, "where": where}))
